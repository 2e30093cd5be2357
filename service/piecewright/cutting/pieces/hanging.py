"""Loops that hang on a way: begun and ended in one hole, without a lap, on the way to something else.

    ---o    o----o    o---      leaves on a vine, letters joined by a run
       ( )       ( )

Terms: see loops.py; a loop *hangs* on a trail if the needle goes down in one hole before and after it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.geometry import pairs_within
from piecewright.cutting.pieces.paths import LEAST_LOOP_MM2, MOST_TURNS, SHORTEST_LOOP_MM, arc_lengths

if TYPE_CHECKING:
    from piecewright.cutting.geometry import FloatArray, IntArray

ONE_HOLE_MM: Final = 0.35
"""Half the diagonal of what two roundings to 0.1 mm and a needle's play leave of one place."""

ENDS_MM: Final = 1.0
"""A tie at the end of a thread takes the last hole with it: there a trail ends this near to where it was."""

MOST_PAIRS: Final = 20_000
"""A line that meets its own holes more often is sewn many times over, no loops on a way."""

WAY_MM: Final = 4.0
"""With less beside it a loop is all of its trail, which is closed as other lines are."""


def hung_loops(trail: FloatArray) -> tuple[list[FloatArray], list[FloatArray]]:
    """Take the loops off a trail (n, 2) mm, their first points not repeated; the ways that are left."""
    arc = arc_lengths(trail)
    loops: list[FloatArray] = []
    ways: list[FloatArray] = []
    start, pairs = 0, _same_holes(trail, arc)
    for _ in range(MOST_TURNS):
        later = pairs[pairs[:, 0] >= start]
        if not len(later):
            break
        begin, end = (int(index) for index in later[0])
        if arc[-1] - (arc[end] - arc[begin]) < WAY_MM:
            break
        loops.append(trail[begin:end])
        ways.append(trail[start : begin + 1])
        start = end
    return loops, [*ways, trail[start:]]


def _at_ends(trail: FloatArray) -> IntArray:
    """The last point with the points that it ends near to, and the first likewise, (p, 2)."""
    last = len(trail) - 1
    here = np.flatnonzero(np.hypot(*(trail - trail[-1]).T) <= ENDS_MM)
    there = np.flatnonzero(np.hypot(*(trail - trail[0]).T) <= ENDS_MM)
    pairs = [(index, last) for index in here.tolist()] + [(0, index) for index in there.tolist()]
    return np.array(pairs, dtype=np.int64).reshape(-1, 2)


def _same_holes(trail: FloatArray, arc: FloatArray) -> IntArray:
    """Needle points of a trail in one hole with a loop between them, first to close first, (p, 2)."""
    begin, end = np.vstack([pairs_within(trail, ONE_HOLE_MM, MOST_PAIRS), _at_ends(trail)]).T
    x, y = (trail - trail[0]).T
    swept = np.r_[0.0, np.cumsum(x[:-1] * y[1:] - x[1:] * y[:-1])]
    area = (swept[end] - swept[begin] + x[end] * y[begin] - x[begin] * y[end]) / 2
    wide = (arc[end] - arc[begin] > SHORTEST_LOOP_MM) & (np.abs(area) >= LEAST_LOOP_MM2)
    kept = np.column_stack([begin, end])[wide]
    return np.asarray(kept[np.lexsort((-kept[:, 0], kept[:, 1]))], dtype=np.int64)
