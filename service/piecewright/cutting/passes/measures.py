"""What can be measured of every stretch at once.

Terms: the *spine* is the middle of what is sewn: the line itself, or half-way between the bites; the
*advance* is the distance from one bite to the next on the same side; a needle point is *shared* if
the needle goes down there more than once in the stretch.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.passes.stretches import FOLD_DEG, SHARP_DEG, Manner

if TYPE_CHECKING:
    from piecewright.cutting.geometry import BoolArray, FloatArray, IntArray
    from piecewright.cutting.passes.stretches import Stretches
    from piecewright.cutting.passes.trace import Steps

SAME_HOLE_MM: Final = 0.3
"""Needle points this close count as one hole: rounding, and a little stretch of the cloth."""

SMOOTHED_OVER: Final = 3
"""Half-way points averaged to a spine: a blanket stitch repeats after three or four."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Measures:
    """One value for each stretch, (s,).

    Attributes:
        points: How many needle points.
        sewn_mm: Length of the thread on top.
        extent_mm: Diagonal of its box.
        box_mm2: Area of its box.
        gap_mm: From its last point to its first.
        stitch_mm: Mean length of a stitch.
        per_leg: Stitches from one fold to the next.
        leg_mm: Mean length from one fold to the next.
        advance_mm: Mean advance over the folds.
        spine_mm: Length of the spine.
        spur_mm: Mean length of the stitch that leads back from a hole at which the needle turned.
        returning: Share of points where the needle came from the hole that it goes to.
        square: Share of points with a turn of about 90 degrees.
        alternating: Share of points that turn sharply to the other side than the point before.
        shared: Share of needle points in holes that are used again.
    """

    points: IntArray
    sewn_mm: FloatArray
    extent_mm: FloatArray
    box_mm2: FloatArray
    gap_mm: FloatArray
    stitch_mm: FloatArray
    per_leg: FloatArray
    leg_mm: FloatArray
    advance_mm: FloatArray
    spine_mm: FloatArray
    spur_mm: FloatArray
    returning: FloatArray
    square: FloatArray
    alternating: FloatArray
    shared: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spines:
    """The spines of all stretches, end to end.

    Attributes:
        points: (m, 2) mm.
        start: Index of the first point of each stretch, and at the end m, (s + 1,).
    """

    points: FloatArray
    start: IntArray


def spines_of(steps: Steps, stretches: Stretches) -> Spines:
    """Draw the middle of every stretch."""
    stretch = owners(stretches)
    manner = stretches.manner[stretch]
    corner = (manner != Manner.HATCH) | (np.abs(steps.turn) >= FOLD_DEG)
    corner[stretches.first] = corner[stretches.last] = True
    points, owner = steps.points[corner], stretch[corner]
    crossing = manner[corner] != Manner.LINE
    middle = np.where(crossing[:, None], _half_way(points, owner), points)
    return Spines(points=middle, start=np.searchsorted(owner, np.arange(len(stretches.first) + 1)))


def _half_way(points: FloatArray, owner: IntArray) -> FloatArray:
    """Half-way points between neighbours, averaged over some of them, inside each stretch."""
    after = np.minimum(np.arange(len(points)) + 1, len(points) - 1)
    after = np.where(owner[after] == owner, after, np.maximum(after - 1, 0))
    middle = (points + points[after]) / 2
    first = np.searchsorted(owner, owner, side="left")
    last = np.searchsorted(owner, owner, side="right") - 1
    total = np.vstack([np.zeros(2), np.cumsum(middle, axis=0)])
    here = np.arange(len(points))
    low, high = np.maximum(here - SMOOTHED_OVER // 2, first), np.minimum(here + SMOOTHED_OVER // 2, last)
    return np.asarray((total[high + 1] - total[low]) / (high + 1 - low)[:, None])


def owners(stretches: Stretches) -> IntArray:
    """Which stretch each of the steps belongs to, (k,)."""
    return np.repeat(np.arange(len(stretches.first)), stretches.last - stretches.first + 1)


def measure(steps: Steps, stretches: Stretches, spines: Spines) -> Measures:
    """Measure every stretch."""
    stretch, first, last = owners(stretches), stretches.first, stretches.last
    inner = np.ones(len(stretch), dtype=np.bool_)
    inner[first] = inner[last] = False
    turn = np.abs(steps.turn)
    least_deg = np.where(stretches.manner >= Manner.LATTICE, SHARP_DEG, FOLD_DEG)
    fold = inner & (turn >= least_deg[stretch])
    back = inner & _returns(steps)
    low = np.minimum.reduceat(steps.points, first, axis=0)
    high = np.maximum.reduceat(steps.points, first, axis=0)
    count = last - first + 1
    sewn = np.r_[0.0, np.cumsum(steps.length)]
    length = sewn[last] - sewn[first]
    folds = _sum(fold, first)
    leg_mm, advance_mm = _legs(steps.points, stretch, fold, len(first))
    other_side = inner & (turn >= SHARP_DEG) & (steps.turn * np.roll(steps.turn, 1) < 0)
    size = high - low
    return Measures(
        points=count,
        sewn_mm=length,
        extent_mm=np.hypot(size[:, 0], size[:, 1]),
        box_mm2=size[:, 0] * size[:, 1],
        gap_mm=np.hypot(*(steps.points[last] - steps.points[first]).T),
        stitch_mm=length / np.maximum(count - 1, 1),
        per_leg=(count - 1) / (folds + 1),
        leg_mm=leg_mm,
        advance_mm=advance_mm,
        spine_mm=_spine_lengths(spines),
        spur_mm=_mean_where(steps.length, back, first),
        returning=_share(back, inner, first),
        square=_share(inner & (turn >= SHARP_DEG - 20) & (turn <= SHARP_DEG + 45), inner, first),
        alternating=_share(other_side, inner, first),
        shared=_shared(steps.points, stretch, count),
    )


def _returns(steps: Steps) -> BoolArray:
    """Points where the needle goes back to the hole that it came from."""
    around = np.hypot(*(np.roll(steps.points, -1, axis=0) - np.roll(steps.points, 1, axis=0)).T)
    return np.asarray(around <= SAME_HOLE_MM)


def _legs(
    points: FloatArray, stretch: IntArray, fold: BoolArray, count: int
) -> tuple[FloatArray, FloatArray]:
    """Mean length of the legs and mean advance over them, of each stretch; 0 without folds."""
    corner, owner = points[fold], stretch[fold]
    leg = np.hypot(*np.diff(corner, axis=0).T)
    advance = np.hypot(*(corner[2:] - corner[:-2]).T)
    return (
        _mean_of(leg, owner[:-1], owner[1:], count),
        _mean_of(advance, owner[:-2], owner[2:], count),
    )


def _mean_of(values: FloatArray, owner: IntArray, other: IntArray, count: int) -> FloatArray:
    same = owner == other
    total = np.bincount(owner[same], values[same], minlength=count)
    return np.asarray(total / np.maximum(np.bincount(owner[same], minlength=count), 1))


def _spine_lengths(spines: Spines) -> FloatArray:
    length = np.r_[0.0, np.cumsum(np.hypot(*np.diff(spines.points, axis=0).T))]
    return np.asarray(length[np.maximum(spines.start[1:] - 1, 0)] - length[spines.start[:-1]])


def _sum(flags: BoolArray, first: IntArray) -> IntArray:
    return np.add.reduceat(flags.astype(np.int64), first)


def _share(flags: BoolArray, counted: BoolArray, first: IntArray) -> FloatArray:
    return np.asarray(_sum(flags, first) / np.maximum(_sum(counted, first), 1))


def _mean_where(values: FloatArray, chosen: BoolArray, first: IntArray) -> FloatArray:
    total = np.add.reduceat(np.where(chosen, values, 0.0), first)
    return np.asarray(total / np.maximum(_sum(chosen, first), 1))


def _shared(points: FloatArray, stretch: IntArray, count: IntArray) -> FloatArray:
    """Share of the points of each stretch beyond one for each hole."""
    hole = np.round(points / SAME_HOLE_MM).astype(np.int64)
    holes = np.unique(np.column_stack([stretch, hole]), axis=0)
    return np.asarray(1 - np.bincount(holes[:, 0], minlength=len(count)) / count)
