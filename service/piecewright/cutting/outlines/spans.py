"""Spans: smoothed needle points joined to a dense ring, straight where the design is straight.

Terms: a *span* is the stretch of a ring between two corners, or the whole ring if it has none; a
*tip* is the point of a corner.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np
from scipy.interpolate import CubicSpline

from piecewright.cutting.geometry import FloatArray, IntArray, frozen, ring_area
from piecewright.cutting.outlines.clean import clean_ring
from piecewright.cutting.outlines.corners import find_corners
from piecewright.cutting.outlines.polyline import roll_to
from piecewright.cutting.outlines.smooth import smoothed

SAMPLE_MM: Final = 0.2
"""Distance of the points of a dense ring: on a radius of 1 mm it strays 0.005 mm from the curve."""

LEAST_SAMPLES: Final = 8
"""Points of a span, however short."""

STRAIGHT_MM: Final = 0.085
"""Needle points of a line stray this far from it at most: 0.07 mm by rounding, and a little."""

LEAST_MM2: Final = 0.5
"""A ring around less is a stitch or a tie, and no piece of fabric."""

LEAST_CROSSING: Final = 0.3
"""Sine of the least angle between two lines that fixes where they cross: at 17 degrees rounding moves
the crossing by 0.1 mm."""


@dataclass(frozen=True, slots=True, eq=False)
class DenseRing:
    """A smooth closed line.

    Attributes:
        ring: Points every 0.2 mm on curves, only the ends of lines, (n, 2) mm, read-only.
        corners: Indices of its corners in the ring, (k,), rising.
    """

    ring: FloatArray
    corners: IntArray

    @property
    def tips(self) -> FloatArray:
        """The points of its corners, (k, 2) mm."""
        return self.ring[self.corners]


@dataclass(frozen=True, slots=True, eq=False)
class _Line:
    """A straight span: a point on it and its direction, either way round."""

    point: FloatArray
    ahead: FloatArray


def dense_ring(needle_points: FloatArray) -> DenseRing | None:
    """Draw the designer's curve through the needle points of a closed line.

    Args:
        needle_points: In sewing order, (n, 2) mm.

    Returns:
        The curve as a dense ring; None if it goes round no fabric.
    """
    ring = clean_ring(needle_points)
    if abs(ring_area(ring)) < LEAST_MM2:
        return None
    corners = find_corners(ring)
    if len(corners) == 0:
        points = smoothed(ring, corners)
        return DenseRing(frozen(_curve(np.vstack([points, points[:1]]), loop=True)), corners)
    ring, corners = roll_to(ring, int(corners[0])), corners - corners[0]
    return _joined(ring, smoothed(ring, corners), corners)


def _joined(ring: FloatArray, points: FloatArray, corners: IntArray) -> DenseRing:
    """Draw each span and join them at the tips."""
    spans = [np.arange(a, b + 1) % len(ring) for a, b in pairwise([*corners, len(ring)])]
    lines = [_line(ring[span]) for span in spans]
    tips = [_tip(lines[k - 1], lines[k], points[corner]) for k, corner in enumerate(corners)]
    parts = []
    for k, span in enumerate(spans):
        ends = tips[k], tips[(k + 1) % len(tips)]
        inner = points[span[1:-1]]
        parts.append(ends[0][None] if lines[k] else _curve(np.vstack([ends[0], inner, ends[1]]), loop=False))
    begins = np.cumsum([0, *(len(part) for part in parts[:-1])])
    return DenseRing(frozen(np.concatenate(parts)), begins)


def _line(points: FloatArray) -> _Line | None:
    """The line through the needle points of a span, if it is straight."""
    middle = points.mean(axis=0)
    ahead = np.linalg.svd(points - middle, full_matrices=False)[2][0]
    off = (points - middle) @ np.array([-ahead[1], ahead[0]])
    return _Line(middle, ahead) if np.abs(off).max() < STRAIGHT_MM else None


def _tip(before: _Line | None, after: _Line | None, otherwise: FloatArray) -> FloatArray:
    """Where two lines cross; the smoothed needle point where a side is curved or they hardly turn."""
    if before is None or after is None:
        return otherwise
    (ax, ay), (bx, by) = before.ahead, after.ahead
    crossing = ax * by - ay * bx
    if abs(crossing) < LEAST_CROSSING:
        return otherwise
    dx, dy = after.point - before.point
    return np.asarray(before.point + (dx * by - dy * bx) / crossing * before.ahead)


def _curve(points: FloatArray, *, loop: bool) -> FloatArray:
    """A cubic spline by chord length through points, sampled densely, without its last point."""
    t = np.append(0.0, np.cumsum(np.hypot(*np.diff(points, axis=0).T)))
    where = np.linspace(0, t[-1], max(int(np.ceil(t[-1] / SAMPLE_MM)), LEAST_SAMPLES) + 1)[:-1]
    spline = CubicSpline(t, points, bc_type="periodic" if loop else "not-a-knot")
    return np.asarray(spline(where))
