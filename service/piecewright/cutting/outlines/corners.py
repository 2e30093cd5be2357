"""Corners: where the design turns, told from where a smooth curve only bends.

At a needle point of a smooth curve the line turns about as much as at its neighbours; the tangents
that each side alone would have there meet without a break. The *break* at a point is its turn less
half the turn of each neighbour (in proportion to the stitches), which is the angle between these
two tangents.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.outlines.polyline import NEEDLE_SIGMA_MM, edge_lengths, turns_deg

if TYPE_CHECKING:
    from piecewright.cutting.geometry import FloatArray, IntArray

SURE_DEG: Final = 70.0
"""No curve with a radius over 0.9 stitch lengths turns as much at one needle point."""

LEAST_TURN_DEG: Final = 30.0
"""Less is no corner that a blade or an eye sees."""

CORNER_DEG: Final = 40.0
"""A break as large as this is a corner ..."""

BREAK_SIGMAS: Final = 2.4
"""... and so is one that rounding may have made so many of its standard deviations smaller. Arcs of 90
degrees with a radius of 1.2 stitch lengths show up to 34 degrees, at stitches of 3.5 mm."""

SIGMA_DEG_MM: Final = float(np.degrees(np.sqrt(17.5) * NEEDLE_SIGMA_MM))
"""Standard deviation of a break, times the stitch length: five needle points enter it with the weights
-1/2, 2, -3, 2 and -1/2, whose squares add up to 17.5."""


def find_corners(ring: FloatArray) -> IntArray:
    """Indices of the needle points that are corners.

    Args:
        ring: Cleaned needle points in order, (n, 2) mm.

    Returns:
        (k,) in rising order.
    """
    turns = turns_deg(ring)
    steps = edge_lengths(ring)
    before = np.roll(steps, 1)
    curvature = turns / ((steps + before) / 2)
    explained_before = _same_way(np.roll(curvature, 1), turns) * before / 2
    explained_after = _same_way(np.roll(curvature, -1), turns) * steps / 2
    breaks = np.abs(turns - explained_before - explained_after)
    size = np.abs(turns)
    least = CORNER_DEG - BREAK_SIGMAS * SIGMA_DEG_MM / np.minimum(steps, before)
    return np.flatnonzero((size > SURE_DEG) | ((size > LEAST_TURN_DEG) & (breaks > least)))


def _same_way(curvature: FloatArray, turns: FloatArray) -> FloatArray:
    """The neighbour's curvature where it bends the same way, else none: a wiggle explains no turn."""
    return np.where(curvature * turns > 0, curvature, 0.0)
