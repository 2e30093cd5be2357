"""Designs in which nothing is to be cut stay that way."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np
import pytest

from tests.cutting import sewing as sew
from tests.cutting.pieces.support import understood

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from piecewright.cutting.geometry import FloatArray

CIRCLE, BESIDE = sew.circle(25.0), sew.circle(18.0, (70.0, 0.0))
SLENDER = sew.rectangle(0.0, 0.0, 8.0, 60.0)
INNER = sew.circle(12.0)
STROKES = [
    sew.dense(np.array(stroke, dtype=np.float64))
    for stroke in (
        ((0, 0), (20, 30), (40, 10)),
        ((-20, -20), (-40, 10), (-10, 40)),
        ((10, -30), (50, -40)),
    )
]
RINGS = [sew.circle(radius) for radius in (12.0, 24.0, 36.0)]
BARS = [
    sew.dense(np.array([(0.0, 0.0), (38 * np.cos(angle), 38 * np.sin(angle))]))
    for angle in np.radians(np.arange(0.0, 360.0, 60.0))
]


def ring_fill() -> FloatArray:
    """Rows to and fro over a ring, 25 mm to 12 mm from the origin, row by row across its hole."""
    return np.vstack([row for row in _rows() if len(row)])


def _rows() -> list[FloatArray]:
    rows = []
    for number, level in enumerate(np.arange(-24.7, 24.8, 0.5)):
        outer = np.sqrt(25.0**2 - level**2)
        inner = np.sqrt(max(12.0**2 - level**2, 0.0))
        spans = [(-outer, -inner), (inner, outer)] if inner else [(-outer, outer)]
        for first, last in spans:
            along = np.linspace(first, last, max(int((last - first) / 3.5), 1) + 1)
            row = np.column_stack([along, np.full(len(along), level)])
            rows.append(row[::-1] if number % 2 else row)
    return rows


def oval(turned_deg: float, flat: float) -> FloatArray:
    """A closed oval about the origin, 60 mm long."""
    c, s = np.cos(np.radians(turned_deg)), np.sin(np.radians(turned_deg))
    return np.asarray(sew.circle(30.0) * (1.0, flat) @ np.array([[c, s], [-s, c]]))


def wavy(shift: float) -> FloatArray:
    """A closed ring that swings 2 mm out and in, seven times round."""
    angle = np.linspace(0, 2 * np.pi, 2000)
    radius = 30.0 + 2.0 * np.sin(7 * angle + shift)
    return np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])


def knot() -> FloatArray:
    """A closed line that goes round twice and crosses itself five times."""
    angle = np.linspace(0, 2 * np.pi, 2000)
    radius = 30.0 + 12.0 * np.cos(5 * angle)
    return np.column_stack([radius * np.cos(2 * angle), radius * np.sin(2 * angle)])


def cut_apart(curves: list[FloatArray], manner: Callable[[FloatArray], FloatArray]) -> list[FloatArray]:
    """One block in which each curve is sewn in one manner, the thread cut between."""
    return [part for curve in curves for part in (manner(curve), sew.CUT)]


RING_FILL = ring_fill()

NET = [
    sew.dense(np.array(((level, -half), (level, half))))
    for level in np.arange(-21.0, 22.0, 3.0)
    for half in (float(np.sqrt(23.0**2 - level**2)),)
]
SMILE = sew.part(sew.circle(10.0), 4.0, 24.0)
SHADE = [sew.dense(np.array(((x, 4.0), (x + 3.0, 14.0)))) for x in np.arange(-6.0, 8.0, 1.5)]
ROSETTE = [
    sew.circle(14.0, (14.0 * np.cos(angle), 14.0 * np.sin(angle)))
    for angle in np.radians(np.arange(0.0, 360.0, 60.0))
]
RIPPLES = [sew.circle(float(radius)) for radius in (12, 16, 20, 24, 28)]

NEGATIVES: Final[dict[str, Sequence[FloatArray | Sequence[FloatArray]]]] = {
    "a line drawing sewn twice in one block": [
        np.vstack([sew.run(CIRCLE), sew.run(CIRCLE)]),
        sew.fill(60, 0, 20, 20),
    ],
    "a bean drawing": [cut_apart([CIRCLE, BESIDE, *STROKES], sew.bean)],
    "a drawing sewn again in another colour": [
        cut_apart([CIRCLE, *STROKES], sew.run),
        cut_apart([CIRCLE, *STROKES], sew.run),
    ],
    "an outline round a fill": [sew.disc_fill(25.0), sew.run(CIRCLE)],
    "an outline round a fill, and a satin on it": [sew.disc_fill(25.0), sew.run(CIRCLE), sew.satin(CIRCLE)],
    "a fill with an edge run and a satin border": [
        np.vstack([sew.run(sew.circle(24.0)), sew.disc_fill(25.0)]),
        np.vstack([sew.run(CIRCLE), sew.satin(CIRCLE)]),
    ],
    "an outline that is filled later": [sew.run(CIRCLE), sew.disc_fill(25.0)],
    "an outline, its fill, its border": [sew.run(CIRCLE), sew.disc_fill(25.0), sew.satin(CIRCLE)],
    "echo quilting": [sew.run(sew.circle(radius)) for radius in (10, 15, 20, 25)],
    "echo quilting in two threads": [
        cut_apart([sew.circle(float(radius)) for radius in (10, 14, 18, 22)], sew.run),
        cut_apart([sew.circle(float(radius)) for radius in (12, 16, 20, 24)], sew.run),
    ],
    "echo quilting with a halt after each close line": [
        sew.bean(sew.circle(float(radius))) if radius == 14 else sew.run(sew.circle(float(radius)))
        for radius in (10, 12, 14, 16)
    ],
    "loops of quilting in two lines": [sew.run(CIRCLE), sew.run(sew.circle(22.5))],
    "stippling": [sew.meander(0, 0, 100, 100), sew.meander(3, 3, 90, 90)],
    "cross-stitch": [sew.cross_stitch(0, 0, 12, 12), sew.cross_stitch(30, 0, 12, 12)],
    "satin rings over their underlay": [
        np.vstack([sew.run(CIRCLE), sew.zigzag(CIRCLE, 2.0, 2.4), sew.satin(CIRCLE)]),
        np.vstack([sew.run(BESIDE), sew.satin(BESIDE)]),
    ],
    "an underlay that a later colour highlights": [
        np.vstack([sew.run(CIRCLE), sew.satin(CIRCLE)]),
        sew.satin(CIRCLE, 1.5),
    ],
    "lines on top of satin": [sew.satin(CIRCLE, 4.0), sew.run(CIRCLE), sew.run(CIRCLE)],
    "small rings inside rings": [
        cut_apart([sew.circle(4.5, (x, 0.0)) for x in (0.0, 20.0)], lambda c: sew.run(c, 1.3)),
        cut_apart([sew.circle(2.3, (x, 0.0)) for x in (0.0, 20.0)], lambda c: sew.run(c, 1.3)),
    ],
    "ovals turned about one middle": [
        cut_apart([oval(turn, 0.8) for turn in (0.0, 45.0, 90.0)], sew.run),
        cut_apart([oval(turn, 0.8) for turn in (22.5, 67.5, 112.5)], sew.run),
    ],
    "ovals, nearly round, turned about one middle": [
        cut_apart([oval(turn, 0.9) for turn in (0.0, 45.0, 90.0)], sew.run),
        cut_apart([oval(turn, 0.9) for turn in (22.5, 67.5, 112.5)], sew.run),
    ],
    "wavy rings that plait": [sew.run(wavy(0.0)), sew.run(wavy(np.pi))],
    "a drawing and its shadow in another thread": [sew.run(CIRCLE), sew.run(CIRCLE + np.array([1.6, 1.0]))],
    "a drawing and its shadow not a millimetre aside": [
        cut_apart([CIRCLE, BESIDE], sew.run),
        cut_apart([CIRCLE + np.array([0.8, 0.0]), BESIDE + np.array([0.8, 0.0])], sew.run),
    ],
    "lace: rings and bars, and satin over them all": [
        cut_apart([*RINGS, *BARS], lambda c: sew.run(np.vstack([c, c[::-1]]))),
        cut_apart([*RINGS, *BARS], lambda c: sew.satin(c, 2.0)),
    ],
    "rings that touch on one side and part on the other": [
        sew.run(CIRCLE),
        sew.run(sew.circle(23.4, (1.5, 0.0))),
    ],
    "an outline again, a millimetre outside": [sew.run(CIRCLE), sew.bean(sew.circle(26.0))],
    "an outline, open rows, the outline again": [
        sew.run(CIRCLE),
        sew.disc_fill(24.5, row=2.5),
        sew.run(CIRCLE),
    ],
    "loose rows, an outline, the outline thicker": [
        sew.disc_fill(24.5, row=2.0),
        sew.run(CIRCLE),
        sew.bean(CIRCLE),
    ],
    "a narrow outline, short rows across it, the outline again": [
        sew.run(SLENDER),
        sew.fill(0.5, 0.5, 7.0, 59.0, row=3.0),
        sew.bean(SLENDER),
    ],
    "a narrow shape filled, its outline, a satin on that": [
        sew.fill(0.3, 0.3, 7.4, 59.4, row=0.8),
        sew.run(SLENDER),
        sew.satin(SLENDER, 2.2),
    ],
    "a ring filled first, both its edges drawn, and satins on them": [
        RING_FILL,
        cut_apart([CIRCLE, INNER], sew.run),
        cut_apart([CIRCLE, INNER], sew.satin),
    ],
    "a knot of one line, and again": [sew.run(knot()), sew.bean(knot())],
    "a line, a picture inside it, a satin on the line": [
        sew.run(CIRCLE),
        sew.disc_fill(6.0),
        sew.satin(CIRCLE),
    ],
    "two lines, a picture inside one of them, satins on both": [
        cut_apart([CIRCLE, BESIDE], sew.run),
        sew.disc_fill(6.0),
        cut_apart([CIRCLE, BESIDE], sew.satin),
    ],
    "a drawing that is shaded before it is drawn again": [
        sew.run(CIRCLE),
        cut_apart(SHADE, sew.run),
        sew.bean(CIRCLE),
    ],
    "an outline, rows close together in a part of it, a satin": [
        sew.run(CIRCLE),
        sew.fill(-15.0, 0.0, 30.0, 14.0, row=1.0),
        sew.satin(CIRCLE),
    ],
    "the edge runs of a satin ring, then the satin": [
        cut_apart([sew.circle(23.6), sew.circle(26.4)], sew.run),
        sew.satin(CIRCLE, 4.5),
    ],
    "a band's edges, satin between them, its edges again": [
        cut_apart([sew.circle(22.5), sew.circle(27.5)], sew.run),
        sew.satin(CIRCLE, 5.6),
        cut_apart([sew.circle(22.5), sew.circle(27.5)], sew.bean),
    ],
    "ripples with a halt after each, then each in a bean": [
        *(sew.run(ripple) for ripple in RIPPLES),
        cut_apart(RIPPLES, sew.bean),
    ],
    "three lines 3 mm apart, then a satin on each": [
        cut_apart([sew.circle(22.0), CIRCLE, sew.circle(28.0)], sew.run),
        cut_apart([sew.circle(22.0), CIRCLE, sew.circle(28.0)], lambda c: sew.satin(c, 1.6)),
    ],
    "lace: a net in a ring, a zigzag and a satin round it": [
        cut_apart([CIRCLE, *NET], sew.run),
        sew.zigzag(CIRCLE),
        sew.satin(CIRCLE),
    ],
    "a face whose smile is drawn again with it": [
        cut_apart([CIRCLE, BESIDE, SMILE], sew.run),
        cut_apart([CIRCLE, BESIDE, SMILE], sew.bean),
    ],
    "a knot in a ring, both drawn again": [
        cut_apart([knot(), sew.circle(46.0)], sew.run),
        cut_apart([knot(), sew.circle(46.0)], sew.run),
    ],
    "wavy rings in three threads, then all in bean": [
        *(sew.run(wavy(shift)) for shift in (0.0, 2.0, 4.0)),
        cut_apart([wavy(shift) for shift in (0.0, 2.0, 4.0)], sew.bean),
    ],
    "rings through each other's middles, then some of them in bean": [
        cut_apart(ROSETTE, sew.run),
        cut_apart(ROSETTE[::2], sew.bean),
    ],
    "a frame": [sew.run(sew.rectangle(-90, -90, 180, 180)), sew.satin(sew.rectangle(-80, -80, 160, 160))],
    "a line beyond the fabric": [sew.run(CIRCLE), sew.run(sew.circle(27.5))],
}


@pytest.mark.parametrize("name", NEGATIVES)
def test_nothing_is_cut_from(name: str) -> None:
    found = understood(sew.design(*NEGATIVES[name]))
    assert [piece.evidence for piece in found.pieces if piece.cut] == []


def test_a_design_without_pieces_says_so_and_how_to_name_its_blocks() -> None:
    (finding,) = understood(sew.design(sew.run(STROKES[0]), sew.run(STROKES[1]))).findings
    assert finding.code == "no-piece"
    assert "by_hand:" in finding.advice
    assert "inspect" in finding.advice


def test_a_design_in_one_block_cannot_be_applique_as_it_is() -> None:
    (finding,) = understood(sew.design([sew.run(CIRCLE), sew.CUT, sew.satin(CIRCLE)])).findings
    assert finding.code == "no-halt"
    assert "colour changes" in finding.advice


def test_a_line_sewn_together_with_outlines_of_fills_is_one_too_though_its_own_is_not_seen() -> None:
    """Two filled discs and a stroke too narrow for rows, all outlined before and after."""
    stroke = sew.rectangle(120.0, -20.0, 4.0, 40.0)
    outlines = [sew.run(CIRCLE), sew.CUT, sew.run(BESIDE), sew.CUT, sew.run(stroke)]
    fills = [sew.disc_fill(24.5, row=2.0), sew.CUT, sew.disc_fill(17.5, (70.0, 0.0), row=2.0)]
    found = understood(sew.design(outlines, fills, outlines))
    assert [piece for piece in found.pieces if piece.cut] == []
    alone = understood(sew.design(sew.run(stroke), sew.run(stroke)))
    assert [piece.cut for piece in alone.pieces] == [True]


#    ____________
#   |-|--|--|--|-|     a slender shape, its rows two or three stitches long
#   |_|__|__|__|_|
@pytest.mark.parametrize("width", [6.0, 8.0, 10.0])
@pytest.mark.parametrize("row", [1.5, 2.0, 3.0, 3.5])
@pytest.mark.parametrize("stitch", [2.5, 3.0, 4.0])
def test_short_rows_in_a_slender_outline_are_a_fill_however_far_apart(
    width: float, row: float, stitch: float
) -> None:
    line = sew.rectangle(0.0, 0.0, width, 60.0)
    rows = sew.fill(0.5, 0.5, width - 1.0, 59.0, row=row, stitch=stitch)
    found = understood(sew.design(sew.run(line), rows, sew.bean(line)))
    assert [piece.evidence for piece in found.pieces if piece.cut] == []


#    _________
#   |#|  _  |#|     a frame that is filled before its edges are covered; nothing lies in its window
#   |#| |_| |#|
def test_the_window_of_a_frame_that_is_filled_is_no_piece() -> None:
    window, rim = sew.circle(14.0), sew.circle(30.0)
    rows = [sew.fill(x, -29.0, 14.0, 58.0) for x in (-28.0, 15.0)]
    lids = [sew.fill(-13.0, y, 26.0, 11.0) for y in (-28.0, 17.0)]
    parts = [part for one in (*rows, *lids) for part in (one, sew.CUT)]
    found = understood(
        sew.design(
            [sew.run(rim), sew.CUT, sew.run(window)], parts, [sew.satin(rim), sew.CUT, sew.satin(window)]
        )
    )
    assert [piece.evidence for piece in found.pieces if piece.cut] == []


LAID: Final[dict[str, Sequence[FloatArray | Sequence[FloatArray]]]] = {
    "a picture on what is held": [
        sew.run(CIRCLE),
        sew.run(sew.circle(24.5)),
        sew.disc_fill(6.0),
        sew.satin(CIRCLE),
    ],
    "shading on what is held": [
        sew.run(CIRCLE),
        sew.run(sew.circle(24.5)),
        cut_apart(SHADE, sew.run),
        sew.satin(CIRCLE),
    ],
    "rows far apart that hold it": [sew.run(CIRCLE), sew.disc_fill(23.0, row=4.0), sew.satin(CIRCLE)],
    "two passes inside each other that hold it": [
        sew.run(CIRCLE),
        sew.run(sew.circle(23.5)),
        sew.run(sew.circle(22.0)),
        sew.satin(CIRCLE),
    ],
    "marks of its middle that it hides": [
        cut_apart([CIRCLE, sew.dense(np.array(((-5.0, 0.0), (5.0, 0.0))))], sew.run),
        sew.run(sew.circle(24.5)),
        sew.satin(CIRCLE),
    ],
}


@pytest.mark.parametrize("name", LAID)
def test_what_is_sewn_inside_once_it_is_held_or_to_hold_it_makes_no_drawing_of(name: str) -> None:
    (piece,) = understood(sew.design(*LAID[name])).pieces
    assert piece.cut
