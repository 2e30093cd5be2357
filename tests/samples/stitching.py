"""Stitches along curves, as a digitizer lays them: lines, zigzag, satin with underlay, blanket, meander.

Every function returns needle points, (n, 2) mm, in sewing order.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from tests.samples.shapes import Curve

if TYPE_CHECKING:
    from tests.samples.shapes import Points

TIE_MM = 0.6
"""Length of the small stitches that fasten the thread at both ends."""


def line(curve: Curve, length: float = 2.5, *, start: float = 0.3, lap: int = 2, tie: bool = True) -> Points:
    """Single run: stitches of one length, shortened so that every corner is met.

    Args:
        curve: What is followed.
        length: Stitch length.
        start: Where a closed curve begins, as a share of its length.
        lap: Stitches by which the end overlaps the start of a closed curve; -1 leaves a gap.
        tie: Whether the ends are fastened.
    """
    points = _stepped(curve, length)
    if curve.closed:
        ring = np.roll(points[:-1], -round(start * (len(points) - 1)), axis=0)
        points = np.concatenate([ring, ring[: lap + 1]]) if lap >= 0 else ring
    return _tied(points) if tie else points


def double(curve: Curve, length: float = 2.5, start: float = 0.6) -> Points:
    """Double run: round and back again."""
    once = line(curve, length, start=start, lap=0, tie=False)
    return np.concatenate([once, once[-2::-1]])


def bean(curve: Curve, length: float = 2.5, start: float = 0.1) -> Points:
    """Bean: every stitch forward, back, forward."""
    once = line(curve, length, start=start, lap=1, tie=False)
    steps = [[a, b, a] for a, b in pairwise(once)]
    return np.concatenate([np.asarray(steps).reshape(-1, 2), once[-1:]])


def zigzag(curve: Curve, width: float = 2.0, spacing: float = 1.6, start: float = 0.45) -> Points:
    """Zigzag across the curve; spacing is the advance of each half."""
    at, normal = _along(curve, spacing, start, smooth=width)
    side = np.where(np.arange(len(at)) % 2 == 0, width / 2, -width / 2)
    return at + normal * side[:, None]


def satin(curve: Curve, width: float = 3.5, density: float = 0.4, start: float = 0.2) -> Points:
    """Satin column over the curve with a centre-line underlay; density is the distance of two rows."""
    underlay = line(curve, 2.5, start=start, lap=0)
    return np.concatenate([underlay, zigzag(curve, width, density / 2, start)])


def blanket(curve: Curve, bite: float = 2.8, spacing: float = 2.8, start: float = 0.7) -> Points:
    """Blanket stitch: along the edge, with a bite into the piece at every step."""
    at, normal = _along(curve, spacing, start, smooth=1.0)
    inward = at - normal * bite * np.sign(_area(curve.points))
    stitches = [[edge, bitten, edge] for edge, bitten in zip(at, inward, strict=True)]
    return np.asarray(stitches).reshape(-1, 2)


def inset(curve: Curve, distance: float) -> Curve:
    """The closed curve drawn inside itself, for a line that holds a piece away from its edge.

    Points moved along their normals overtake each other at corners; those that come too near to the
    curve again are left out. No geometry library is used, so that none of its versions shows here.
    """
    dense = resampled(curve.points, 0.1)
    ring, normal = _along(curve, 0.1, start=0.0, smooth=0.2)
    moved = ring - normal * distance * np.sign(_area(curve.points))
    apart = np.array([np.hypot(*(dense - point).T).min() for point in moved[: len(dense) - 1]])
    kept = moved[: len(dense) - 1][apart > 0.99 * distance]
    return Curve(points=np.concatenate([kept, kept[:1]]), corners=())


def wave(start: tuple[float, float], end: tuple[float, float], height: float, waves: int) -> Points:
    """A wavy line of quilting stitches, open."""
    a, b = np.asarray(start, dtype=float), np.asarray(end, dtype=float)
    along = b - a
    across = np.array([-along[1], along[0]]) / np.hypot(*along)
    t = np.linspace(0, 1, 2000)[:, None]
    dense = a + along * t + across * height * np.sin(2 * np.pi * waves * t)
    return resampled(dense, 2.6)


def there_and_back(dense: Points, length: float = 2.2) -> Points:
    """An open line sewn to its end and back."""
    once = resampled(dense, length)
    return np.concatenate([once, once[-2::-1]])


def resampled(dense: Points, length: float) -> Points:
    """Points at equal distances of about this length along a dense line."""
    s = _lengths(dense)
    count = max(1, round(float(s[-1]) / length))
    targets = np.linspace(0, s[-1], count + 1)
    return np.column_stack([np.interp(targets, s, dense[:, k]) for k in (0, 1)])


def _stepped(curve: Curve, length: float) -> Points:
    stops = sorted({0, *curve.corners, len(curve.points) - 1})
    spans = [resampled(curve.points[a : b + 1], length) for a, b in pairwise(stops)]
    return np.concatenate([spans[0], *(s[1:] for s in spans[1:])])


def _along(curve: Curve, step: float, start: float, smooth: float) -> tuple[Points, Points]:
    """Points at equal steps and their normals, turned evenly round corners."""
    ring = resampled(curve.points, step)[:-1]
    ring = np.roll(ring, -round(start * len(ring)), axis=0)
    reach = max(1, round(smooth / step / 2))
    tangent = np.roll(ring, -reach, axis=0) - np.roll(ring, reach, axis=0)
    tangent /= np.maximum(np.hypot(tangent[:, 0], tangent[:, 1]), 1e-9)[:, None]
    normal = np.column_stack([tangent[:, 1], -tangent[:, 0]])
    lap = min(len(ring), 3)
    return np.concatenate([ring, ring[:lap]]), np.concatenate([normal, normal[:lap]])


def _tied(points: Points) -> Points:
    """Three small stitches back and forth at both ends."""
    first = _toward(points[0], points[1])
    last = _toward(points[-1], points[-2])
    return np.concatenate([[points[0], first, points[0]], points[1:], [last, points[-1]]])


def _toward(point: Points, other: Points) -> Points:
    step = other - point
    result: Points = point + step * (TIE_MM / max(float(np.hypot(*step)), 1e-9))
    return result


def _lengths(points: Points) -> Points:
    steps = np.diff(points, axis=0)
    return np.concatenate([[0.0], np.cumsum(np.hypot(steps[:, 0], steps[:, 1]))])


def _area(ring: Points) -> float:
    x, y = ring.T
    return float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y) / 2)
