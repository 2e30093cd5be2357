"""How each stitch lies to the way that the sewing goes.

Terms: the *progress* is the direction in which the sewing goes on, over some stitches; a *spur* is a stitch
that is sewn back into the hole that it came from; a spur *doubles* if it lies along the progress, as a bean's
do, and *bites* if it lies across; a *fold* is a needle point where the thread turns back.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

if TYPE_CHECKING:
    from piecewright.cutting.geometry import BoolArray, FloatArray, IntArray
    from piecewright.cutting.passes.trace import Steps

SAME_HOLE_MM: Final = 0.3
"""Needle points this close count as one hole: rounding, and a little stretch of the cloth."""

PROGRESS_OVER: Final = 6
"""Needle points looked at before and after: a bean of five comes on by one hole in five."""

MIDDLE_OVER: Final = 3
"""The same for the middle of what is sewn, which must follow tight bends."""

RAY: Final = 0.94
"""Cosine of 20 degrees: spurs of one hole that differ by more are rays of a figure."""

LENGTHWISE: Final = 0.75
"""Cosine of 41 degrees: a spur nearer to the progress doubles, one farther from it bites."""

CROSSING: Final = 0.5
"""Sine of 30 degrees: the threads of a cross meet at more; those of a zigzag that folds over itself in a bend
at less."""

FOLD_DEG: Final = 110.0
"""Rows of a fill turn back by more, also where they follow a curved edge."""

SWING_DEG: Final = 45.0
"""A zigzag 4 mm long and 1.2 mm wide turns by 62 degrees, to the other side each time."""

STEP_DEG: Final = 35.0
"""At a square end the row turns twice, by this at least."""

WIDEST_STEP_MM: Final = 1.7
"""From one row of a light fill to the next; wider apart they are lines."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bites:
    """One value for each of the steps, (k,).

    Attributes:
        returns: Whether the needle goes back to the hole that it came from.
        doubles: Whether it does so along the progress.
        spur_side: -1 or 1 at the tip of a spur, by the side of the progress that it lies on; 0 elsewhere.
        ray: Whether the next spur leaves the same hole in another direction.
        side: -1 or 1, by the side of what is sewn that it lies on.
        forward: Whether the step from it leads on along the progress.
        tooth: Whether it does so on one side of what is sewn.
        across: Whether the step from it leads to the other side, across the progress.
        crossed: Whether the step after the next crosses the step from it, as in a cross.
        swings: Whether the thread turns to the other side than before and after, as in a zigzag.
        fold: Whether the thread turns back there.
        squared: Whether the fold is the second of two turns at the square end of a row.
    """

    returns: BoolArray
    doubles: BoolArray
    spur_side: FloatArray
    ray: BoolArray
    side: FloatArray
    forward: BoolArray
    tooth: BoolArray
    across: BoolArray
    crossed: BoolArray
    swings: BoolArray
    fold: BoolArray
    squared: BoolArray


def bites_of(steps: Steps) -> Bites:
    """Set every step beside the progress around it."""
    progress = _progress(steps)
    spur = np.roll(steps.vector, 1, axis=0)
    along = np.abs(_cosines(spur, progress))
    returns = _returns(steps)
    ahead = np.minimum(np.arange(len(progress)) + 1, steps.last)
    side = _sides(steps, progress)
    onward = _cosines(steps.vector, progress)
    squared = _squared(steps)
    return Bites(
        returns=returns,
        doubles=returns & (along >= LENGTHWISE),
        spur_side=np.where(returns & ~np.r_[False, returns[:-1]], np.sign(_cross(progress, spur)), 0.0),
        ray=_rays(steps, returns),
        side=side,
        forward=onward >= LENGTHWISE,
        tooth=(onward >= LENGTHWISE) & (side == side[ahead]),
        across=(side != side[ahead]) & (np.abs(onward) < LENGTHWISE),
        crossed=_crossed(steps) & ~np.roll(returns, -1) & ~np.roll(returns, -2),
        swings=_swings(steps),
        fold=(np.abs(steps.turn) >= FOLD_DEG) | squared,
        squared=squared,
    )


def _progress(steps: Steps) -> FloatArray:
    """Unit vectors from the middle of what comes before each point to the middle of what comes after."""
    here = np.arange(len(steps.points))
    low, high = np.maximum(here - PROGRESS_OVER, steps.first), np.minimum(here + PROGRESS_OVER, steps.last)
    total = _total(steps)
    way = _means(total, here, high) - _means(total, low, here)
    return np.asarray(way / np.maximum(np.hypot(way[:, 0], way[:, 1]), 1e-9)[:, None])


def _sides(steps: Steps, progress: FloatArray) -> FloatArray:
    """On which side of the middle of its neighbours each point lies."""
    here = np.arange(len(steps.points))
    low, high = np.maximum(here - MIDDLE_OVER, steps.first), np.minimum(here + MIDDLE_OVER, steps.last)
    return np.asarray(np.sign(_cross(progress, steps.points - _means(_total(steps), low, high))))


def _total(steps: Steps) -> FloatArray:
    return np.vstack([np.zeros(2), np.cumsum(steps.points, axis=0)])


def _means(total: FloatArray, low: IntArray, high: IntArray) -> FloatArray:
    return np.asarray((total[high + 1] - total[low]) / (high + 1 - low)[:, None])


def _cosines(one: FloatArray, other: FloatArray) -> FloatArray:
    """Cosine of the angle between steps and unit vectors; 0 where there is no step."""
    size = np.maximum(np.hypot(one[:, 0], one[:, 1]), 1e-9)
    return np.asarray(np.einsum("ij,ij->i", one, other) / size)


def _cross(one: FloatArray, other: FloatArray) -> FloatArray:
    return np.asarray(one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0])


def _returns(steps: Steps) -> BoolArray:
    around = np.hypot(*(np.roll(steps.points, -1, axis=0) - np.roll(steps.points, 1, axis=0)).T)
    return np.asarray(steps.has_turn & (around <= SAME_HOLE_MM))


def _rays(steps: Steps, returns: BoolArray) -> BoolArray:
    """Tips of spurs after whose hole another spur leads elsewhere, but not straight back as in a bean."""
    one, other = -np.roll(steps.vector, 1, axis=0), np.roll(steps.vector, -1, axis=0)
    both = returns & np.roll(returns, -2) & (steps.last - np.arange(len(returns)) > 2)  # noqa: PLR2004 - the next tip
    cosine = -np.einsum("ij,ij->i", one, other) / np.maximum(
        np.hypot(one[:, 0], one[:, 1]) * np.hypot(other[:, 0], other[:, 1]), 1e-9
    )
    return np.asarray(both & (np.abs(cosine) < RAY))


def _crossed(steps: Steps) -> BoolArray:
    """Whether each step and the step after the next cross each other."""
    a, b, c, d = (np.roll(steps.points, -k, axis=0) for k in range(4))
    one = _cross(b - a, c - a) * _cross(b - a, d - a)
    other = _cross(d - c, a - c) * _cross(d - c, b - c)
    inside = steps.last - np.arange(len(steps.points)) > 2  # noqa: PLR2004 - four points in one run
    slant = np.abs(_cross(b - a, d - c)) >= CROSSING * np.hypot(*(b - a).T) * np.hypot(*(d - c).T)
    return np.asarray(inside & slant & (one < 0) & (other < 0))


def _swings(steps: Steps) -> BoolArray:
    before, after = np.roll(steps.turn, 1) * steps.turn, np.roll(steps.turn, -1) * steps.turn
    return np.asarray((np.abs(steps.turn) >= SWING_DEG) & (before <= 0) & (after <= 0))


def _squared(steps: Steps) -> BoolArray:
    """The second of two turns the same way with a short step between: the square end of a row."""
    before = np.roll(steps.turn, 1)
    same = (before * steps.turn > 0) & (np.minimum(np.abs(before), np.abs(steps.turn)) >= STEP_DEG)
    short = np.roll(steps.length, 1) <= WIDEST_STEP_MM
    around = np.abs(before + steps.turn)
    single = (np.abs(before) < FOLD_DEG) & (np.abs(steps.turn) < FOLD_DEG)
    return np.asarray(same & short & single & (around >= FOLD_DEG) & (around <= 360 - FOLD_DEG))
