"""Cutting runs into stretches that are stitched in one manner throughout.

A machine often sews an underlay and the satin over it, or a travel and the line it leads to, without
a cut between. What tells them apart is how the needle moves from hole to hole.

Terms: a *line* goes on; a *hatch* goes to and fro in rows close to each other (satin, fill); a
*lattice* goes to and fro with ground showing between (zigzag, blanket, bean, cross-stitch), an *open*
one with bites 2 mm apart and more; a *leg* is what lies between two folds; see bites.py for the rest.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.passes.crumbs import FEWEST, levelled, parts_of, without_crumbs
from piecewright.cutting.passes.figures import figures
from piecewright.cutting.passes.trace import turns

if TYPE_CHECKING:
    from piecewright.cutting.geometry import BoolArray, FloatArray, IntArray
    from piecewright.cutting.passes.bites import Bites
    from piecewright.cutting.passes.trace import Steps

SHARP_DEG: Final = 75.0
"""Lines turn this sharply only at corners; bites across a line at nearly every point."""

SHARP_SHARE: Final = 0.55
"""Of seven points in a row: four. A bean turns sharply at two of three points, a blanket at all."""

REACH: Final = 3
"""Points looked at on either side: together the seven above."""

PARALLEL_DEG: Final = 35.0
"""Neighbouring legs of a hatch are parallel but for this, also where a column bends."""

STRAIGHT: Final = 0.9
"""Chord over path of a leg that counts as straight."""

DENSE_ADVANCE_MM: Final = 1.1
"""From one bite to the next on the same side: satin and fill lie closer, 0.3 to 0.8 mm; a zigzag shows
ground between its bites, 1.5 mm and more (common practice, no source)."""

OPEN_ADVANCE_MM: Final = 2.0
"""A zigzag that holds or underlies is this open; one that covers is closer."""

DENSE_SHARE: Final = 0.8
"""Nearly all bites of a satin are close; of a bean two in three are back in their hole."""

LIGHT_ADVANCE_SHARE: Final = 0.3
"""Rows of a light fill may lie farther apart if they are long against it."""

SQUARE_ADVANCE_SHARE: Final = 0.5
"""The same of rows with square ends, which no zigzag has."""

DOUBLED: Final = 0.55
"""Of seven points in a row of a bean four lead back along the line; of a dense satin none does."""

RAYS: Final = 0.3
"""Rays of a knot lie close to each other, but are no rows."""

FEWEST_ROWS: Final = 3
"""Two sides of a slender leaf lie beside each other too; a hatch has more rows."""


class Manner(IntEnum):
    """How the needle moves."""

    LINE = 0
    HATCH = 1
    LATTICE = 2
    OPEN = 3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stretches:
    """Parts of runs, in sewing order, each of one manner.

    Attributes:
        first: Index of the first point of each among the steps, (s,).
        last: Index of the last, included, (s,).
        manner: (s,) of Manner.
    """

    first: IntArray
    last: IntArray
    manner: IntArray


def find_stretches(steps: Steps, bites: Bites) -> Stretches:
    """Label every point by how the needle moves around it, and cut where the label changes."""
    manner = _manners(steps, bites)
    for fewest in (3, FEWEST, FEWEST):
        manner = without_crumbs(steps, manner, Manner.LINE, fewest)
    sharp = bites.swings | (np.abs(steps.turn) >= SHARP_DEG)
    manner = levelled(steps, manner, Manner.LINE, sharp, _advance(steps))
    manner[figures(steps)] = Manner.LINE
    parts = parts_of(steps.run, manner)
    return Stretches(first=parts.first, last=parts.last, manner=parts.label)


def _manners(steps: Steps, bites: Bites) -> IntArray:
    doubled = _share(bites.doubles, steps.has_turn, steps) >= DOUBLED
    doubled |= _share(bites.ray, steps.has_turn, steps) >= RAYS
    hatched = _hatched(steps, bites) & ~doubled
    sharp = bites.swings | (np.abs(steps.turn) >= SHARP_DEG)
    turning = _share(sharp, steps.has_turn, steps) >= SHARP_SHARE
    advance = _advance(steps)
    dense = _share(advance < DENSE_ADVANCE_MM, steps.has_turn, steps) >= DENSE_SHARE
    wide = _share(advance > OPEN_ADVANCE_MM, steps.has_turn, steps) >= DENSE_SHARE
    return np.select(
        [hatched | (turning & dense & ~doubled), turning & wide, turning],
        [Manner.HATCH, Manner.OPEN, Manner.LATTICE],
        Manner.LINE,
    )


def _advance(steps: Steps) -> FloatArray:
    """Distance between the points before and after each, (k,) mm."""
    return np.asarray(np.hypot(*(np.roll(steps.points, -1, axis=0) - np.roll(steps.points, 1, axis=0)).T))


def _hatched(steps: Steps, bites: Bites) -> BoolArray:
    """Points between folds whose legs lie side by side, however many stitches a leg has."""
    # The first and the last leg of a run end where the run does.
    fold = np.flatnonzero(bites.fold | ~steps.has_turn)
    hatched = np.zeros(len(steps.at), dtype=np.bool_)
    if len(fold) < FEWEST:
        return hatched
    side_by_side = _side_by_side(steps, fold, bites.squared)
    _mark(hatched, fold[:-2][side_by_side], fold[2:][side_by_side])
    return hatched


def _side_by_side(steps: Steps, fold: IntArray, squared: BoolArray) -> BoolArray:
    """Which pairs of neighbouring legs go to and fro beside each other, (f - 2,)."""
    corner, one_run = steps.points[fold], steps.run[fold[2:]] == steps.run[fold[:-2]]
    leg = np.diff(corner, axis=0)
    chord = np.hypot(leg[:, 0], leg[:, 1])
    sewn = np.r_[0.0, np.cumsum(np.where(np.roll(squared, -1), 0.0, steps.length))]
    straight = chord >= STRAIGHT * (sewn[fold[1:]] - sewn[fold[:-1]])
    back = np.abs(turns(leg[:-1], -leg[1:])) <= PARALLEL_DEG
    advance = np.hypot(*(corner[2:] - corner[:-2]).T)
    longer = np.maximum(chord[:-1], chord[1:])
    share = np.where(squared[fold[1:-1]], SQUARE_ADVANCE_SHARE, LIGHT_ADVANCE_SHARE)
    near = (advance <= DENSE_ADVANCE_MM) | _lasting(advance <= share * longer, leg)
    beside = straight[:-1] & straight[1:] & back & near & one_run & (longer > advance)
    return _in_a_row(beside, FEWEST_ROWS)


def _lasting(near: BoolArray, leg: FloatArray) -> BoolArray:
    """Rows farther apart count where six in a row keep their direction; the rays of a sun do not."""
    kept = np.zeros(len(near), dtype=np.bool_)
    if len(leg) > 7:  # noqa: PLR2004 - a row and the sixth after it
        turned = np.abs(turns(leg[:-6], leg[6:])) <= PARALLEL_DEG / 2
        _mark(kept, np.flatnonzero(turned), np.minimum(np.flatnonzero(turned) + 6, len(near) - 1))
    return _in_a_row(near, 6) & kept


def _in_a_row(flags: BoolArray, count: int) -> BoolArray:
    """Flags that stand in a row of at least so many."""
    if len(flags) < count:
        return np.zeros(len(flags), dtype=np.bool_)
    whole = np.lib.stride_tricks.sliding_window_view(flags, count).all(axis=1)
    kept = np.zeros(len(flags), dtype=np.bool_)
    _mark(kept, np.flatnonzero(whole), np.flatnonzero(whole) + count - 1)
    return kept


def _mark(flags: BoolArray, first: IntArray, last: IntArray) -> None:
    """Set every flag from each first to its last, included."""
    change = np.zeros(len(flags) + 1, dtype=np.int64)
    np.add.at(change, first, 1)
    np.add.at(change, last + 1, -1)
    flags |= np.cumsum(change)[:-1] > 0


def _share(flags: BoolArray, counted: BoolArray, steps: Steps) -> FloatArray:
    """Share of flagged ones among the counted points within reach, inside the same run."""
    return _window((flags & counted).astype(np.float64), steps) / np.maximum(
        _window(counted.astype(np.float64), steps), 1
    )


def _window(values: FloatArray, steps: Steps) -> FloatArray:
    total = np.r_[0.0, np.cumsum(values)]
    here = np.arange(len(values))
    return np.asarray(
        total[np.minimum(here + REACH, steps.last) + 1] - total[np.maximum(here - REACH, steps.first)]
    )
