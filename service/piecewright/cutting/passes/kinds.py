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

DOUBLING: Final = 0.5
"""A bean's spurs lie along it, but at corners; those of a blanket, however often it is sewn, lie across."""

BLANKET_RETURNS: Final = 0.15
"""Of cross-stitches hardly any goes back into the hole just left."""

FIGURE_RETURNS: Final = 0.2
ONE_SIDED: Final = 0.6
"""The bites of a blanket lie on one side; the twigs of a feather on both."""

RAYS: Final = 0.2
"""Of a knot nearly half of the points are tips of its rays."""

ALL_DOUBLING: Final = 0.8
"""Where a bean turns at every hole, as on a dot, its spurs look like rays, but all lie along it."""

ALIKE: Final = 0.6
"""Most bites of a blanket are of one length; those of a scroll are not."""

FORWARD: Final = 0.13
ACROSS: Final = 0.4
"""Of a blanket's three steps one leads forward and two across; two of four with open teeth, one of seven
sewn thrice."""

BOTH: Final = 0.7
"""Together they are nearly all of its steps."""

CROSSED: Final = 0.2
"""Of a cross's three or four steps one is crossed at once."""

CROSS_SHARED: Final = 0.3
"""In cross-stitch most holes are used by several crosses."""

MOTIF_SHARED: Final = 0.08
"""The figures of a motif touch themselves; the scallops of an outline do so only where its ends overlap."""

ZIGZAG_ALTERNATES: Final = 0.6
ALL_ALTERNATES: Final = 0.85
"""Where nearly every turn is to the other side it is no blanket, two thirds of whose turns are so at most."""

TWICE: Final = 0.55
"""Share of a double run that has other thread of the same run along it."""

WANDERING: Final = 7.0
"""Length over the root of its box's area: a circle has 3, a flower 5, a stipple 8 and more."""

STRAIGHT_ON: Final = 1.7
"""Thread over the diagonal of its box: a line that goes straight on has 1, however narrow its box."""


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
    # A blanket whose teeth are wide open turns so little that it goes on like a line.
    _refine(found, choice == 4, _open_comb(measures), Stitch.BLANKET)  # noqa: PLR2004 - motifs
    for test, kind in reversed(_lattices(measures, repeating)):
        _refine(found, (choice == 2) & test, None, kind)  # noqa: PLR2004 - the third test above
    return found


def _refine(found: list[Stitch], where: BoolArray, also: BoolArray | None, kind: Stitch) -> None:
    for index in np.flatnonzero(where if also is None else where & also).tolist():
        found[index] = kind


def _areas(m: Measures) -> BoolArray:
    """Hatches that fill an area: several stitches a row, and too wide or too short for a column."""
    many = m.per_leg > ONE_BITE
    return many & ((m.leg_mm > WIDEST_SATIN_MM) | (m.spine_mm < COLUMN * m.leg_mm))


def _lattices(m: Measures, repeating: BoolArray) -> list[tuple[BoolArray, Stitch]]:
    """Tests for open stitches, the strongest first."""
    bean = (m.returning >= BEAN_RETURNS) & (m.doubling >= DOUBLING)
    rays = (m.rays >= RAYS) & (m.doubling < ALL_DOUBLING)
    twigs = (m.returning >= FIGURE_RETURNS) & (m.one_sided < ONE_SIDED)
    comb = (m.returning >= BLANKET_RETURNS) & (m.forward >= FORWARD) & _bites(m)
    cross = (m.shared >= CROSS_SHARED) & (m.returning < BLANKET_RETURNS)
    # A zigzag crosses itself in tight bends, but its turns alternate; those of a cross go one way.
    crosses = (m.crossed >= CROSSED) & (m.alternating < ZIGZAG_ALTERNATES)
    return [
        (rays, Stitch.MOTIF),
        (bean, Stitch.BEAN),
        (twigs, Stitch.MOTIF),
        (cross | crosses, Stitch.CROSS_STITCH),
        (m.alternating >= ALL_ALTERNATES, Stitch.ZIGZAG),
        (comb | _open_comb(m), Stitch.BLANKET),
        (m.alternating >= ZIGZAG_ALTERNATES, Stitch.ZIGZAG),
        (repeating, Stitch.MOTIF),
        (_wanders(m), Stitch.MEANDER),
    ]


def _bites(m: Measures) -> BoolArray:
    return (m.across >= ACROSS) & (m.alike >= ALIKE)


def _open_comb(m: Measures) -> BoolArray:
    """Bites that come back beside their hole, and steps along one side or the other from bite to bite."""
    return _bites(m) & (m.teeth >= FORWARD) & (m.forward + m.across >= BOTH)


def _wanders(m: Measures) -> BoolArray:
    around = m.sewn_mm / np.sqrt(np.maximum(m.box_mm2, 1.0))
    there_and_on = m.sewn_mm > STRAIGHT_ON * m.extent_mm
    return there_and_on & ((around > WANDERING) & ~_returned(m) | (around > 2 * WANDERING))


def _returned(m: Measures) -> BoolArray:
    """Lines that end near their start: outlines, also scalloped ones."""
    return m.gap_mm <= 3 * m.stitch_mm
