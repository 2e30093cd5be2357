"""The designer's curves: dense polylines that know their length and their corners."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely.geometry import Polygon

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

    from piecewright.cutting.geometry import FloatArray

DENSE_MM = 0.2
"""Curves are drawn with points this close; ten times finer than any stitch."""

CORNER_DEG = 22.0
"""A vertex of the dense polyline that turns more than this is one that the designer drew as a corner."""


@dataclass(frozen=True)
class Line:
    """A curve; closed ones repeat their first point at the end."""

    points: FloatArray

    @cached_property
    def lengths(self) -> FloatArray:
        """Length from the start to each point."""
        steps = np.linalg.norm(np.diff(self.points, axis=0), axis=1)
        return np.concatenate([[0.0], np.cumsum(steps)])

    @property
    def length(self) -> float:
        """Whole length in mm."""
        return float(self.lengths[-1])

    @property
    def closed(self) -> bool:
        """Whether it ends where it starts."""
        return bool(np.linalg.norm(self.points[0] - self.points[-1]) < 1e-6)

    @cached_property
    def corners(self) -> FloatArray:
        """Lengths at which the designer drew a corner, ends left out."""
        steps = np.diff(self.points, axis=0)
        heading = np.arctan2(steps[:, 1], steps[:, 0])
        turn = np.abs((np.diff(heading) + np.pi) % (2 * np.pi) - np.pi)
        return np.asarray(self.lengths[1:-1][turn > np.radians(CORNER_DEG)])

    def at(self, where: FloatArray) -> FloatArray:
        """Points at these lengths."""
        x = np.interp(where, self.lengths, self.points[:, 0])
        y = np.interp(where, self.lengths, self.points[:, 1])
        return np.column_stack([x, y])

    def normals(self, where: FloatArray, span: float = 0.8) -> FloatArray:
        """Unit vectors to the left-hand side (y down: turn the heading by +90 degrees) at these lengths."""
        if self.closed:
            ahead = self.at((where + span / 2) % self.length)
            behind = self.at((where - span / 2) % self.length)
        else:
            ahead = self.at(np.minimum(where + span / 2, self.length))
            behind = self.at(np.maximum(where - span / 2, 0.0))
        step = ahead - behind
        step /= np.maximum(np.linalg.norm(step, axis=1, keepdims=True), 1e-9)
        return np.column_stack([-step[:, 1], step[:, 0]])

    def part(self, first: float, last: float) -> Line:
        """From one length to a later one; on a closed line past its end, round again."""
        cycle = self.length if self.closed else np.inf
        inner = [self.lengths[:-1] if self.closed else self.lengths]
        if self.closed:
            rounds = int(np.ceil(max(last, 0.0) / cycle)) + 1
            inner = [self.lengths[:-1] + k * cycle for k in range(-1 - int(abs(first) // cycle), rounds)]
        every = np.concatenate(inner)
        every = every[(every > first + 1e-6) & (every < last - 1e-6)]
        where = np.concatenate([[first], every, [last]])
        return Line(self.at(where % cycle if self.closed else where))

    def reversed(self) -> Line:
        """The other way round."""
        return Line(self.points[::-1])

    def started_at(self, where: float) -> Line:
        """A closed line begun elsewhere."""
        return self.part(where, where + self.length)

    def moved(self, dx: float, dy: float) -> Line:
        """Somewhere else."""
        return Line(self.points + np.array([dx, dy]))

    def turned(self, degrees: float) -> Line:
        """Turned about the middle of its box."""
        c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
        middle = (self.points.min(axis=0) + self.points.max(axis=0)) / 2
        return Line((self.points - middle) @ np.array([[c, s], [-s, c]]) + middle)

    def mirrored(self) -> Line:
        """Turned over, left to right."""
        return Line(self.points * np.array([-1.0, 1.0]))

    def grown(self, by_mm: float) -> Line:
        """The line this much outside (or inside) a closed one; less where nothing would be left."""
        grown = largest(Polygon(self.points).buffer(by_mm))
        if grown.area < self.region.area / 12:
            return self.grown(by_mm / 2)
        return dense(np.array(grown.exterior.coords))

    @property
    def region(self) -> Polygon:
        """What a closed line encloses."""
        return Polygon(self.points)

    @property
    def size(self) -> FloatArray:
        """Width and height of its box."""
        return np.asarray(self.points.max(axis=0) - self.points.min(axis=0))


def largest(area: BaseGeometry) -> Polygon:
    """The largest polygon of an area, empty if there is none."""
    polygons = [part for part in shapely.get_parts(area) if isinstance(part, Polygon)]
    return max(polygons, key=lambda polygon: polygon.area, default=Polygon())


def dense(points: FloatArray) -> Line:
    """A line through these points with straight sides filled in, all points kept."""
    parts = []
    for a, b in pairwise(points):
        n = max(1, int(np.ceil(np.linalg.norm(b - a) / DENSE_MM)))
        parts.append(a + (b - a) * (np.arange(n) / n)[:, None])
    filled = np.concatenate([*parts, points[-1:]])
    keep = np.concatenate([[True], np.linalg.norm(np.diff(filled, axis=0), axis=1) > 1e-6])
    return Line(filled[keep])
