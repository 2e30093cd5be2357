"""Taking out of a path what is no part of its line: ties, repeats, ways out and straight back.

Terms: a *tie* is a few small stitches back and forth that lock the thread; a *spur* goes out and back
along itself.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.geometry import nearest, ring_area
from piecewright.cutting.pieces.paths import (
    LAP_BREAK_MM,
    LAP_MM,
    LEAST_LOOP_MM2,
    MOST_TURNS,
    SAMPLE_MM,
    SHORTEST_LOOP_MM,
    arc_lengths,
    finely,
)

if TYPE_CHECKING:
    from piecewright.cutting.geometry import FloatArray, IntArray

TIE_STEP_MM: Final = 1.0
"""Ties are made of stitches shorter than this."""

CROSSED_STEP_MM: Final = 1.3
"""The same of ties that come back to their hole; even the smallest dot takes more steps to come round."""

TIE_FOLD_DEG: Final = 140.0
"""In a tie the thread goes straight back."""

TIE_POINTS: Final = 9
"""Ties have fewer needle points than this."""

BACK_DEG: Final = 150.0
"""Where a path turns by more it may go back along itself."""

SHORTEST_BACK_MM: Final = 4.0
"""A pointed tip of 20 degrees has its sides within half a mm of each other for 1.5 mm only."""

ARC_SCALE: Final = 20.0

MOST_STITCHES_BACK: Final = 3
"""Locks sewn in whole stitches go back over two of them, seldom over three (common practice, no source)."""

WHOLE_BACK: Final = 0.8
"""A path that goes back over this share of all before it is a double run; a shorter way back is a spur."""

SOON: Final = 64
TIMES_MORE: Final = 8
"""So many places are looked up first, and so many times more each time after."""

SAME_HOLE_MM: Final = 0.3


def once(path: FloatArray) -> FloatArray:
    """A bean line (n, 2) sewn once: points in the holes that were just left are left out."""
    kept = [path[0]]
    for point in path[1:]:
        if all(np.hypot(*(point - hole)) > SAME_HOLE_MM for hole in kept[-3:]):
            kept.append(point)
    return np.array(kept)


def without_ties(path: FloatArray) -> FloatArray:
    """The path (n, 2) from where the tie-in ends to where the tie-off begins."""
    first = _tie_length(path[: 2 * TIE_POINTS])
    last = len(path) - _tie_length(path[::-1][: 2 * TIE_POINTS])
    return path[first:last] if last - first > 1 else path


def unretraced(path: FloatArray) -> list[FloatArray]:
    """The path (n, 2) without spurs (out and straight back), cut where it turns back after closing a loop."""
    whole: list[FloatArray] = []
    place = 1
    for _ in range(MOST_TURNS):
        found = _next_turn(path, place)
        if found is None:
            break
        place = found + 1
        if _closes_at(path, found):
            whole.append(path[: found + 1])
            path, place = path[found:], 1
        elif (back := _length_back(path, found)) >= SHORTEST_BACK_MM:
            path, place = _cut_out(path, found, back)
            place += 1
    return [*whole, path]


def _next_turn(path: FloatArray, place: int) -> int | None:
    """Index of the next point, from a place on, at which the path turns back."""
    steps = np.diff(path[max(place - 1, 0) :], axis=0)
    size = np.hypot(steps[:-1, 0], steps[:-1, 1]) * np.hypot(steps[1:, 0], steps[1:, 1])
    back = np.einsum("ij,ij->i", steps[:-1], steps[1:]) < np.cos(np.radians(BACK_DEG)) * size
    found = np.flatnonzero(back)
    return max(place, 1) + int(found[0]) if len(found) else None


def _closes_at(path: FloatArray, place: int) -> bool:
    """Whether the path comes to where it was a loop's length before."""
    arc = arc_lengths(path[: place + 1])
    before = path[: place + 1][arc <= arc[-1] - SHORTEST_LOOP_MM]
    if len(before) < 2:  # noqa: PLR2004 - no path yet
        return False
    earlier = finely(before)
    here = np.hypot(*(earlier - path[place]).T) <= LAP_MM
    if not here.any():
        return False
    last = float(arc_lengths(earlier)[np.flatnonzero(here)[-1]])
    loop = path[: place + 1][arc >= last - SAMPLE_MM]
    return len(loop) > 3 and abs(ring_area(loop)) >= LEAST_LOOP_MM2  # noqa: PLR2004 - a triangle


def _length_back(path: FloatArray, place: int) -> float:
    """How far the path after a point goes back the way it came to it, mm."""
    ahead, behind = finely(path[place:]), finely(path[: place + 1][::-1])
    gone, come = arc_lengths(ahead), arc_lengths(behind)
    # A third axis, far shorter than the path, prefers what was sewn just before where laps meet.
    to, on = np.column_stack([ahead, gone / ARC_SCALE]), np.column_stack([behind, come / ARC_SCALE])
    # Most paths leave the way back soon, and what lies behind need not be looked up.
    first, size = 0, SOON
    while first < len(to):
        some = slice(first, first + size)
        _, where = nearest(to[some], on)
        away, back = np.hypot(*(behind[where] - ahead[some]).T), come[where]
        off = (away > LAP_MM) | (np.abs(gone[some] - back) > LAP_BREAK_MM + 0.1 * gone[some])
        if off.any():
            count = first + int(np.argmax(off))
            return float(gone[count - 1]) if count > 1 else 0.0
        first, size = first + size, TIMES_MORE * size
    return float(gone[-1])


def _cut_out(path: FloatArray, place: int, back: float) -> tuple[FloatArray, int]:
    """Take out what is sewn again after a point, and for a spur also the way to it."""
    before, after = arc_lengths(path[: place + 1]), arc_lengths(path[place:])
    rest = path[place:][after > back + SAMPLE_MM / 2]
    if back >= WHOLE_BACK * before[-1]:
        return (path[: place + 1], place) if not len(rest) else (np.vstack([path[: place + 1], rest]), place)
    kept = path[: place + 1][before < before[-1] - back + SAMPLE_MM]
    return np.vstack([kept, rest]), max(len(kept) - 1, 0)


def _tie_length(start: FloatArray) -> int:
    """How many points at the start of a path belong to a tie: up to its last fold, or to its last hole."""
    over = _sewn_over(start)
    return over + max(_folded(start[over:]), _back_in_its_hole(start[over:]))


def _sewn_over(start: FloatArray) -> int:
    """Index from which the first stitches, however long, are sewn again after a lock over them.

    No needle point is lost: each of the lock's has its like among those that follow.
    """
    for stitches in range(MOST_STITCHES_BACK, 0, -1):
        if len(start) > 3 * stitches:
            out, back, again = start[_there_and_back(stitches)]
            away = np.hypot(*np.vstack([back - out, again - out]).T)
            if float(away.max()) <= SAME_HOLE_MM:
                return 2 * stitches
    return 0


def _there_and_back(stitches: int) -> IntArray:
    """Indices of needle points on the way out, on the way back and on the way out again, (3, n)."""
    out = np.arange(stitches + 1)
    return np.array([out, 2 * stitches - out, 2 * stitches + out])


def _back_in_its_hole(start: FloatArray) -> int:
    """Index of the last point at which the needle has come back, by a tie's steps, to where it was before.

    So end stars, crosses and triangles, whose last step comes from a side and not from straight back.
    """
    short = np.hypot(*np.diff(start[: TIE_POINTS + 1], axis=0).T) < CROSSED_STEP_MM
    points = start[: 1 + (len(short) if short.all() else int(np.argmin(short)))]
    for last in range(len(points) - 1, 1, -1):
        away = np.hypot(*(points[: last + 1] - points[last]).T)
        if (away[: last - 1] <= SAME_HOLE_MM / 2).any() and away.max() > SAME_HOLE_MM:
            return last
    return 0


def _folded(start: FloatArray) -> int:
    """Index of the last point of a tie at which the thread goes straight back."""
    steps = np.diff(start, axis=0)
    size = np.hypot(steps[:, 0], steps[:, 1])
    if len(steps) < 2:  # noqa: PLR2004 - one step cannot turn
        return 0
    cos = np.einsum("ij,ij->i", steps[1:], steps[:-1]) / np.maximum(size[1:] * size[:-1], 1e-9)
    still = np.minimum(size[1:], size[:-1]) < 0.05  # noqa: PLR2004 - the needle stays in its hole
    back = (cos < np.cos(np.radians(TIE_FOLD_DEG))) | still
    tie = np.flatnonzero(back & (np.minimum(size[1:], size[:-1]) < TIE_STEP_MM))
    tie = tie[tie < TIE_POINTS]
    return int(tie[-1]) + 1 if len(tie) else 0
