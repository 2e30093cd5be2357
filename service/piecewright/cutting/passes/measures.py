"""What can be measured of every stretch at once.

Terms: the *spine* is the middle of what is sewn: the line itself, or half-way between the bites; the
*advance* is the distance from one bite to the next on the same side; a needle point is *shared* if
the needle goes down there more than once in the stretch.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.passes.bites import SAME_HOLE_MM
from piecewright.cutting.passes.stretches import SHARP_DEG, Manner
from piecewright.cutting.passes.trace import group_medians

if TYPE_CHECKING:
    from piecewright.cutting.geometry import BoolArray, FloatArray, IntArray
    from piecewright.cutting.passes.bites import Bites
    from piecewright.cutting.passes.stretches import Stretches
    from piecewright.cutting.passes.trace import Steps

ALIKE: Final = 0.2
"""Bites of one width differ by less; where a path turns sharply they are longer or shorter."""

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
        leg_mm: Median length from one fold to the next.
        advance_mm: Mean advance over the folds.
        spine_mm: Length of the spine.
        row_mm: Median distance from one row to the next, square to the rows.
        bite_mm: Median length of the stitches that lead across.
        apart_mm: Median distance from one bite to the next.
        returning: Share of points where the needle came from the hole that it goes to.
        doubling: Share of these where it does so along the progress.
        one_sided: By how much the spurs keep to one side of the progress, 0 to 1.
        rays: Share of points that are tips of spurs from one hole in several directions.
        forward: Share of steps that lead on along the progress.
        teeth: Share of steps that do so on one side of what is sewn.
        alike: Share of the stitches across that are about as long as most of them.
        across: Share of steps that lead to the other side, across the progress.
        crossed: Share of steps that are crossed by the step after the next.
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
    row_mm: FloatArray
    bite_mm: FloatArray
    apart_mm: FloatArray
    returning: FloatArray
    doubling: FloatArray
    one_sided: FloatArray
    rays: FloatArray
    forward: FloatArray
    teeth: FloatArray
    alike: FloatArray
    across: FloatArray
    crossed: FloatArray
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


def spines_of(steps: Steps, stretches: Stretches, bites: Bites) -> Spines:
    """Draw the middle of every stretch."""
    stretch = owners(stretches)
    manner = stretches.manner[stretch]
    corner = (manner != Manner.HATCH) | bites.fold
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


def measure(steps: Steps, stretches: Stretches, spines: Spines, bites: Bites) -> Measures:
    """Measure every stretch."""
    stretch, first, last = owners(stretches), stretches.first, stretches.last
    inner = np.ones(len(stretch), dtype=np.bool_)
    inner[first] = inner[last] = False
    turn = np.abs(steps.turn)
    fold = inner & np.where(
        stretches.manner[stretch] >= Manner.LATTICE, (turn >= SHARP_DEG) | bites.swings, bites.fold
    )
    low = np.minimum.reduceat(steps.points, first, axis=0)
    high = np.maximum.reduceat(steps.points, first, axis=0)
    count = last - first + 1
    sewn = np.r_[0.0, np.cumsum(steps.length)]
    length = sewn[last] - sewn[first]
    folds = _sum(fold, first)
    leg_mm, advance_mm, row_mm = _legs(steps.points, stretch, fold, len(first))
    other_side = inner & ((turn >= SHARP_DEG) & (steps.turn * np.roll(steps.turn, 1) < 0) | bites.swings)
    size = high - low
    back, across = inner & bites.returns, inner & bites.across
    bite_mm = _medians(steps.length[across], stretch[across], len(first))
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
        row_mm=row_mm,
        bite_mm=bite_mm,
        apart_mm=_apart(steps.points, stretch, across & ~np.roll(bites.across, 1), bites.side),
        returning=_share(back, inner, first),
        doubling=_share(inner & bites.doubles, back, first),
        one_sided=_one_sided(inner * bites.spur_side, first),
        rays=_share(inner & bites.ray, inner, first),
        forward=_share(inner & bites.forward, inner, first),
        teeth=_share(inner & bites.tooth, inner, first),
        alike=_share(
            across & (np.abs(steps.length - bite_mm[stretch]) <= ALIKE * bite_mm[stretch]), across, first
        ),
        across=_share(across, inner, first),
        crossed=_share(inner & bites.crossed, inner, first),
        alternating=_share(other_side, inner, first),
        shared=_shared(steps.points, stretch, count),
    )


def _legs(
    points: FloatArray, stretch: IntArray, fold: BoolArray, count: int
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Median leg, mean advance and median row of each stretch; 0 without folds."""
    corner, owner = points[fold], stretch[fold]
    legs = np.diff(corner, axis=0)
    leg = np.hypot(*legs.T)
    ahead = corner[2:] - corner[:-2]
    advance = np.hypot(*ahead.T)
    square_mm = np.abs(legs[:-1, 0] * ahead[:, 1] - legs[:-1, 1] * ahead[:, 0]) / np.maximum(leg[:-1], 1e-9)
    same = owner[:-2] == owner[2:]
    one = owner[:-1] == owner[1:]
    return (
        _medians(leg[one], owner[1:][one], count),
        _means(advance[same], owner[2:][same], count),
        _medians(square_mm[same] / 2, owner[2:][same], count),
    )


def _spine_lengths(spines: Spines) -> FloatArray:
    length = np.r_[0.0, np.cumsum(np.hypot(*np.diff(spines.points, axis=0).T))]
    return np.asarray(length[np.maximum(spines.start[1:] - 1, 0)] - length[spines.start[:-1]])


def _sum(flags: BoolArray | FloatArray, first: IntArray) -> FloatArray:
    return np.add.reduceat(flags.astype(np.float64), first)


def _share(flags: BoolArray, counted: BoolArray, first: IntArray) -> FloatArray:
    return np.asarray(_sum(flags, first) / np.maximum(_sum(counted, first), 1))


def _one_sided(side: FloatArray, first: IntArray) -> FloatArray:
    return np.asarray(np.abs(_sum(side, first)) / np.maximum(_sum(np.abs(side), first), 1))


def _apart(points: FloatArray, stretch: IntArray, begins: BoolArray, side: FloatArray) -> FloatArray:
    """Median distance between the places where bites of the same side begin, of each stretch."""
    at = np.flatnonzero(begins)
    at = at[np.lexsort((at, side[at], stretch[at]))]
    apart = np.hypot(*np.diff(points[at], axis=0).T)
    same = (stretch[at[1:]] == stretch[at[:-1]]) & (side[at[1:]] == side[at[:-1]])
    return _medians(apart[same], stretch[at[1:]][same], int(stretch[-1]) + 1)


def _means(values: FloatArray, group: IntArray, count: int) -> FloatArray:
    """Mean of the values of each group; on a bend the advance is long outside and short inside."""
    return np.asarray(
        np.bincount(group, values, minlength=count) / np.maximum(np.bincount(group, minlength=count), 1)
    )


def _medians(values: FloatArray, group: IntArray, count: int) -> FloatArray:
    """Median of the values of each group; 0 for a group without values."""
    found = np.zeros(count)
    known = group_medians(values, group)
    found[: len(known)] = known
    return found


def _shared(points: FloatArray, stretch: IntArray, count: IntArray) -> FloatArray:
    """Share of the points of each stretch beyond one for each hole."""
    x, y = np.round(points / SAME_HOLE_MM).astype(np.int64).T
    x, y = x - x.min(), y - y.min()
    # One number for each hole of each stretch; sorting rows would take ten times as long.
    holes = np.unique((stretch * (int(x.max()) + 1) + x) * (int(y.max()) + 1) + y)
    owner = holes // ((int(x.max()) + 1) * (int(y.max()) + 1))
    return np.asarray(1 - np.bincount(owner, minlength=len(count)) / count)
