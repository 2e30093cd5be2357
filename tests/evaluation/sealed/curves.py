"""Drawn curves, and where a needle goes down on them.

Terms: a *curve* is what the designer drew, dense enough to be taken for smooth; a *corner* is a bend
that he meant; a *division* is the habit by which a length is broken into stitches.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, MultiPolygon, Polygon

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

FloatArray = NDArray[np.float64]
Division = Literal["even", "march", "chord"]
"""Evenly from corner to corner; on and on past corners; shorter where the curve is tight."""

STEP_MM = 0.1
CORNER_DEG = 25.0
SAG_MM = 0.12
"""How far a stitch of the division ``chord`` may leave the curve."""


@dataclass(frozen=True, eq=False)
class Curve:
    """A drawn curve.

    Attributes:
        points: (n, 2) mm; of a closed curve the last is the first again.
        along: Length up to each point, (n,).
        corners: Lengths at which the curve bends sharply.
        closed: Whether it comes round.
    """

    points: FloatArray
    along: FloatArray
    corners: FloatArray
    closed: bool

    @property
    def length(self) -> float:
        """Once along, mm."""
        return float(self.along[-1])

    def at(self, lengths: FloatArray | float) -> FloatArray:
        """Points at these lengths; closed curves go on round."""
        s = np.atleast_1d(np.asarray(lengths, dtype=float))
        s = np.mod(s, self.length) if self.closed else np.clip(s, 0.0, self.length)
        return np.column_stack([np.interp(s, self.along, self.points[:, k]) for k in (0, 1)])

    def outward(self, lengths: FloatArray, window: float) -> FloatArray:
        """Unit vectors across the curve: out of a closed one, to one side of an open one."""
        ahead = self.at(lengths + window) - self.at(lengths - window)
        across = np.column_stack((ahead[:, 1], -ahead[:, 0]))
        size = np.maximum(np.linalg.norm(across, axis=1, keepdims=True), 1e-9)
        return np.asarray(across / size * (self._turning() if self.closed else 1.0))

    def _turning(self) -> float:
        x, y = self.points.T
        return float(np.sign(np.sum(x[:-1] * y[1:] - x[1:] * y[:-1])))

    def between(self, a: float, b: float) -> list[float]:
        """The corners from a to b, both left out, in the order in which they are met."""
        low, high = min(a, b), max(a, b)
        laps = np.arange(np.floor(low / self.length), np.ceil(high / self.length) + 1) if self.closed else [0]
        every = sorted(float(c + lap * self.length) for lap in laps for c in self.corners)
        inside = [c for c in every if low + 0.4 < c < high - 0.4]
        return inside if b >= a else inside[::-1]


def curve(points: FloatArray | Sequence[tuple[float, float]], *, closed: bool = True) -> Curve:
    """Make a curve of the points of a polyline."""
    xy = np.asarray(points, dtype=float)
    if closed and not np.allclose(xy[0], xy[-1]):
        xy = np.vstack([xy, xy[:1]])
    xy = np.asarray(shapely.get_coordinates(LineString(xy).segmentize(STEP_MM)))
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(xy, axis=0), axis=1))])
    return Curve(xy, along, _corners(xy, along, closed), closed)


def _corners(xy: FloatArray, along: FloatArray, closed: bool) -> FloatArray:
    steps = np.diff(xy, axis=0)
    heading = np.arctan2(steps[:, 1], steps[:, 0])
    bends = np.abs((np.diff(heading) + np.pi) % (2 * np.pi) - np.pi)
    sharp = along[1:-1][bends > np.radians(CORNER_DEG)]
    seam = abs((heading[0] - heading[-1] + np.pi) % (2 * np.pi) - np.pi)
    return np.concatenate([[0.0], sharp]) if closed and seam > np.radians(CORNER_DEG) else sharp


def rings(region: Polygon) -> list[Curve]:
    """The outer curve of a region, and those of its holes."""
    return [curve(shapely.get_coordinates(ring)) for ring in (region.exterior, *region.interiors)]


def parts(region: shapely.Geometry) -> list[Polygon]:
    """The polygons that a region consists of, largest first."""
    found = [region] if isinstance(region, Polygon) else list(getattr(region, "geoms", ()))
    return sorted((p for p in found if isinstance(p, Polygon) and p.area > 1.0), key=lambda p: -p.area)


def inset(region: Polygon, by: float) -> Polygon:
    """The region made smaller all round, larger if negative; only its largest part is kept."""
    got = region.buffer(-by, quad_segs=24, join_style="mitre" if by > 0 else "round", mitre_limit=2.0)
    return got if isinstance(got, Polygon) else parts(MultiPolygon(got))[0]


def divide(line: Curve, a: float, b: float, stitch: float, division: Division) -> FloatArray:
    """Lengths at which the needle goes down from a to b, both included; b may lie behind a."""
    if division == "march":
        n = int(abs(b - a) / stitch)
        return np.append(a + np.sign(b - a) * stitch * np.arange(n + 1), b)
    stops = [a, *line.between(a, b), b]
    pieces = [list(_span(line, p, q, stitch, division)) for p, q in pairwise(stops)]
    return np.array([a, *(s for piece in pieces for s in piece)])


def _span(line: Curve, a: float, b: float, stitch: float, division: Division) -> Iterator[float]:
    n = max(1, round(abs(b - a) / stitch))
    if division == "even":
        yield from np.linspace(a, b, n + 1)[1:].tolist()
        return
    at = a
    while abs(b - at) > 1e-6:
        step = min(stitch, abs(b - at))
        while step > 0.7 and _sag(line, at, at + np.sign(b - a) * step) > SAG_MM:
            step *= 0.85
        at = b if abs(b - at) - step < 0.5 else at + float(np.sign(b - a)) * step
        yield at


def _sag(line: Curve, a: float, b: float) -> float:
    p, q, m = line.at(np.array([a, b, (a + b) / 2]))
    return float(np.linalg.norm(m - (p + q) / 2))
