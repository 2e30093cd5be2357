"""Closed chains of cubic Béziers: flattening, area, length, moving about."""

from __future__ import annotations

from typing import Final, overload

import numpy as np

from piecewright.cutting.geometry.values import BoolArray, CurvedRegion, FloatArray, Region, frozen

_QUARTER_TURNS: Final = {0.0: (1.0, 0.0), 90.0: (0.0, 1.0), 180.0: (-1.0, 0.0), 270.0: (0.0, -1.0)}
"""Cosine and sine without rounding, so that a piece laid square stays square."""

_GAUSS: Final = np.polynomial.legendre.leggauss(16)
"""Nodes and weights on -1 to 1; 16 give the length of a fair cubic to 1e-6 of itself or better."""


def flatten(curve: FloatArray, tolerance_mm: float) -> FloatArray:
    """Turn a curve into a ring whose points lie on it and whose edges stray at most so far from it.

    The number of equal steps per cubic is ``ceil(sqrt(3/4 max|P[i+2] - 2 P[i+1] + P[i]| / tolerance))``.
    Source: Wang's formula for degree 3 (G.-Z. Wang, 1984; R. Goldman, Pyramid Algorithms, 2003, 5.6.3).

    Args:
        curve: (m, 4, 2) mm.
        tolerance_mm: Greatest distance between ring and curve, over 0.

    Returns:
        A ring, (n, 2) mm, at least three points unless the curve has only one or two straight segments.
    """
    second = curve[:, 2:] - 2 * curve[:, 1:-1] + curve[:, :-2]
    bend = np.hypot(second[..., 0], second[..., 1]).max(axis=1)
    steps = np.maximum(np.ceil(np.sqrt(0.75 * bend / tolerance_mm)), 1).astype(np.int64)
    segment = np.repeat(np.arange(len(curve)), steps)
    first = np.cumsum(steps) - steps
    t = (np.arange(len(segment)) - first[segment]) / steps[segment]
    return frozen(_at(curve[segment], t))


def flattened(region: CurvedRegion, tolerance_mm: float) -> Region:
    """A region bounded by rings that stray at most so far from the curves."""
    return Region(
        exterior=flatten(region.exterior, tolerance_mm),
        holes=tuple(flatten(hole, tolerance_mm) for hole in region.holes),
    )


def curved(region: Region) -> CurvedRegion:
    """The same region with each straight edge written as a cubic."""
    return CurvedRegion(exterior=_straight(region.exterior), holes=tuple(map(_straight, region.holes)))


STRAIGHT_MM: Final = 1e-4
"""How far the control points of a straight segment may lie beside it: no machine can tell."""


def straight(curve: FloatArray) -> BoolArray:
    """Which segments of a curve (m, 4, 2) are straight lines run through once, (m,)."""
    chord = curve[:, 3] - curve[:, 0]
    length = np.hypot(chord[:, 0], chord[:, 1])
    along = chord / np.where(length > 0, length, 1.0)[:, None]
    arms = curve[:, 1:3] - curve[:, :1]
    aside = np.abs(arms[..., 0] * along[:, None, 1] - arms[..., 1] * along[:, None, 0]).max(axis=1)
    way = (arms * along[:, None]).sum(axis=-1)
    ordered = (way[:, 0] >= -STRAIGHT_MM) & (way[:, 1] >= way[:, 0]) & (way[:, 1] <= length + STRAIGHT_MM)
    return np.asarray((length > 0) & (aside <= STRAIGHT_MM) & ordered)


def curve_area(curve: FloatArray) -> float:
    """Exact signed area inside a curve (n, 4, 2) in mm2, positive if it runs clockwise on the page (y down).

    Source: Green's theorem with the products of Bernstein polynomials integrated in closed form.
    """
    p = curve - curve[0, 0]
    cross = np.zeros(len(p))
    for i, j, weight in ((0, 1, 6), (0, 2, 3), (0, 3, 1), (1, 2, 3), (1, 3, 3), (2, 3, 6)):
        cross += weight * (p[:, i, 0] * p[:, j, 1] - p[:, j, 0] * p[:, i, 1])
    return float(cross.sum() / 20)


def curve_length(curve: FloatArray) -> float:
    """Length of a curve (n, 4, 2) in mm, by Gauss-Legendre quadrature on each cubic."""
    nodes, weights = _GAUSS
    t = (nodes[:, None] + 1) / 2
    d = 3 * np.diff(curve, axis=1)
    speed = (
        (1 - t)[..., None] ** 2 * d[:, 0]
        + 2 * (t * (1 - t))[..., None] * d[:, 1]
        + t[..., None] ** 2 * d[:, 2]
    )
    return float((weights @ np.hypot(speed[..., 0], speed[..., 1])).sum() / 2)


def transformed_points(
    points: FloatArray, turned_deg: float, mirrored: bool, x_mm: float, y_mm: float
) -> FloatArray:
    """Points after ``turn(mirror(p)) + (x, y)``; any array whose last axis is x, y.

    Args:
        points: (..., 2) mm.
        turned_deg: Turn about the origin, clockwise on the page (y down).
        mirrored: Whether x is reversed before the turn.
        x_mm: Where the origin comes to lie.
        y_mm: Where the origin comes to lie.
    """
    exact = _QUARTER_TURNS.get(turned_deg % 360.0)
    cos, sin = exact or (np.cos(np.radians(turned_deg)), np.sin(np.radians(turned_deg)))
    x = -points[..., 0] if mirrored else points[..., 0]
    y = points[..., 1]
    return frozen(np.stack([cos * x - sin * y + x_mm, sin * x + cos * y + y_mm], axis=-1))


@overload
def transformed(
    region: CurvedRegion, turned_deg: float, mirrored: bool, x_mm: float, y_mm: float
) -> CurvedRegion: ...
@overload
def transformed(region: Region, turned_deg: float, mirrored: bool, x_mm: float, y_mm: float) -> Region: ...
def transformed(
    region: CurvedRegion | Region, turned_deg: float, mirrored: bool, x_mm: float, y_mm: float
) -> CurvedRegion | Region:
    """A region after ``turn(mirror(p)) + (x, y)``, see ``transformed_points``; the order of points stays."""
    return type(region)(
        exterior=transformed_points(region.exterior, turned_deg, mirrored, x_mm, y_mm),
        holes=tuple(transformed_points(hole, turned_deg, mirrored, x_mm, y_mm) for hole in region.holes),
    )


def scaled(
    region: CurvedRegion, x_factor: float, y_factor: float, centre: tuple[float, float]
) -> CurvedRegion:
    """A region drawn wider and higher by two factors, while one point stays where it is."""
    middle, factors = np.array(centre), np.array([x_factor, y_factor])
    return CurvedRegion(
        exterior=frozen((region.exterior - middle) * factors + middle),
        holes=tuple(frozen((hole - middle) * factors + middle) for hole in region.holes),
    )


def _at(curve: FloatArray, t: FloatArray) -> FloatArray:
    """Point of each cubic (n, 4, 2) at its own parameter (n,)."""
    t = t[:, None]
    s = 1 - t
    return np.asarray(
        s**3 * curve[:, 0] + 3 * s * s * t * curve[:, 1] + 3 * s * t * t * curve[:, 2] + t**3 * curve[:, 3]
    )


def _straight(ring: FloatArray) -> FloatArray:
    """A ring as a chain of straight cubics."""
    ends = np.roll(ring, -1, axis=0)
    thirds = np.array([0.0, 1 / 3, 2 / 3, 1.0])[None, :, None]
    chain = ring[:, None] * (1 - thirds) + ends[:, None] * thirds
    chain[:, 0], chain[:, 3] = ring, ends
    return frozen(chain)
