"""Telling how each stretch is stitched, from what was measured of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.passes.stretches import Manner
from piecewright.cutting.passes.values import Stitch

if TYPE_CHECKING:
    from piecewright.cutting.geometry import BoolArray, FloatArray, IntArray
    from piecewright.cutting.passes.measures import Measures

FEWEST_POINTS: Final = 4
"""Of fewer needle points nobody can say how they are stitched."""

COLUMN: Final = 2.0
"""A satin column is this many times longer than wide; a fill is an area."""

WIDEST_SATIN_MM: Final = 12.5
"""A stitch of 12.1 mm is the longest that the common formats hold; wider columns are fills."""

ONE_BITE: Final = 1.5
"""Stitches from side to side: one in satin, more in split satin and fill."""

BEAN_RETURNS: Final = 0.45
"""Of three stitches of a bean two come back to a hole just left; of a blanket's three one does."""

BLANKET_RETURNS: Final = 0.15
BLANKET_SQUARE: Final = 0.3

CROSS_SHARED: Final = 0.3
"""In cross-stitch most holes are used by several crosses."""

MOTIF_SHARED: Final = 0.05
"""The figures of a motif touch themselves, the scallops of an outline do not."""

ZIGZAG_ALTERNATES: Final = 0.6

TWICE: Final = 0.55
"""Share of a double run that has other thread of the same run along it."""

WANDERING: Final = 7.0
"""Length over the root of its box's area: a circle has 3, a flower 5, a stipple 8 and more."""


def stitches_of(
    manner: IntArray, measures: Measures, twice: FloatArray, repeating: BoolArray
) -> list[Stitch]:
    """How each stretch is stitched.

    Args:
        manner: Of each stretch, (s,).
        measures: Of each stretch.
        twice: Share of each that runs along itself, (s,).
        repeating: Whether a figure repeats along it, (s,).
    """
    tests = [
        (measures.points < FEWEST_POINTS, Stitch.UNCLEAR),
        (manner == Manner.HATCH, Stitch.SATIN),
        (manner >= Manner.LATTICE, Stitch.UNCLEAR),
        (twice >= TWICE, Stitch.DOUBLE_RUN),
        (repeating & ((measures.shared > MOTIF_SHARED) | ~_returned(measures)), Stitch.MOTIF),
        (_wanders(measures), Stitch.MEANDER),
    ]
    choice = np.select([test for test, _ in tests], range(len(tests)), len(tests))
    kinds = [*(kind for _, kind in tests), Stitch.SINGLE_RUN]
    found = [kinds[index] for index in choice.tolist()]
    _refine(found, choice == 1, _areas(measures), Stitch.FILL)
    for test, kind in reversed(_lattices(measures)):
        _refine(found, (choice == 2) & test, None, kind)  # noqa: PLR2004 - the third test above
    return found


def _refine(found: list[Stitch], where: BoolArray, also: BoolArray | None, kind: Stitch) -> None:
    for index in np.flatnonzero(where if also is None else where & also).tolist():
        found[index] = kind


def _areas(m: Measures) -> BoolArray:
    """Hatches that fill an area: several stitches a row, and too wide or too short for a column."""
    many = m.per_leg > ONE_BITE
    return many & ((m.leg_mm > WIDEST_SATIN_MM) | (m.spine_mm < COLUMN * m.leg_mm))


def _lattices(m: Measures) -> list[tuple[BoolArray, Stitch]]:
    """Tests for open stitches, the strongest first."""
    bean = m.returning >= BEAN_RETURNS
    blanket = (m.returning >= BLANKET_RETURNS) & (m.square >= BLANKET_SQUARE)
    return [
        (bean, Stitch.BEAN),
        (blanket, Stitch.BLANKET),
        (m.shared >= CROSS_SHARED, Stitch.CROSS_STITCH),
        (m.alternating >= ZIGZAG_ALTERNATES, Stitch.ZIGZAG),
    ]


def _wanders(m: Measures) -> BoolArray:
    around = m.sewn_mm / np.sqrt(np.maximum(m.box_mm2, 1.0))
    return (around > WANDERING) & ~_returned(m) | (around > 2 * WANDERING)


def _returned(m: Measures) -> BoolArray:
    """Lines that end near their start: outlines, also scalloped ones."""
    return m.gap_mm <= 3 * m.stitch_mm
