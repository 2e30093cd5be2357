"""Pieces that share a border that is drawn once are cut each by itself, and nothing is cut twice."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
import yaml

from piecewright.cutting.passes import Role
from piecewright.cutting.rules import BlocksByHand, PassRules
from tests.cutting import sewing as sew
from tests.cutting.pieces.support import assert_cut, codes, passes_of, region, understood

if TYPE_CHECKING:
    from piecewright.cutting.geometry import FloatArray, Region

#      _____
#    /   |   \
#   |    |    |     a circle of 60 mm, and the line across it
#    \ __|__ /
CIRCLE = sew.circle(30.0)
ACROSS = np.array([(0.0, -30.0), (0.0, 30.0)])


def half(side: int, inset: float = 0.0) -> FloatArray:
    """The right (1) or left (-1) half of the circle, a little smaller all round."""
    angle = np.linspace(-np.pi / 2, np.pi / 2, 600)
    radius = 30.0 - inset
    arc = np.column_stack([side * np.maximum(radius * np.cos(angle), inset), radius * np.sin(angle)])
    return sew.dense(np.vstack([arc, arc[:1]]))


DRAWN = [sew.run(CIRCLE), sew.CUT, sew.run(ACROSS)]
COVERED = [sew.satin(CIRCLE), sew.CUT, sew.satin(ACROSS)]
LEFT, RIGHT = (region(half(side)) for side in (-1, 1))


@pytest.mark.parametrize("inset", [0.0, 1.0, 2.0])
def test_two_colours_of_one_outline_are_two_pieces(inset: float) -> None:
    found = understood(sew.design(DRAWN, sew.run(half(-1, inset)), sew.run(half(1, inset)), COVERED))
    assert_cut(found, LEFT, RIGHT)
    assert codes(found) == []


def test_what_holds_one_half_does_not_hold_the_other() -> None:
    found = understood(sew.design(DRAWN, sew.run(half(-1, 1.0)), sew.run(half(1, 1.0)), COVERED))
    held = [[one.block for one in passes_of(found, piece.tack_down)] for piece in found.pieces]
    assert sorted(held) == [[2], [3]]


def test_zigzags_inside_each_half_hold_it_as_well() -> None:
    zigzags = [sew.zigzag(half(-1, 1.2)), sew.CUT, sew.zigzag(half(1, 1.2))]
    assert_cut(understood(sew.design(DRAWN, zigzags, COVERED)), LEFT, RIGHT)


def test_a_half_that_is_held_says_that_the_other_is_a_piece_too() -> None:
    found = understood(sew.design(DRAWN, sew.run(half(-1, 1.0)), COVERED))
    assert_cut(found, LEFT, RIGHT)
    assert codes(found) == ["no-tack-down"]


def test_the_rest_of_an_outline_ends_on_the_piece_beside_it() -> None:
    """The left half is drawn whole, of the right one only its arc."""
    arc = CIRCLE[(CIRCLE[:, 0] > 0)]
    arc = arc[np.argsort(arc[:, 1])]
    drawn = [sew.run(half(-1)), sew.CUT, sew.run(arc)]
    found = understood(sew.design(drawn, sew.run(half(-1, 1.0)), sew.run(half(1, 1.0)), COVERED))
    assert_cut(found, LEFT, RIGHT)


def panes() -> list[Region]:
    return [region(sew.rectangle(x, y, 30.0, 40.0)) for x in (0, 30) for y in (0, 40)]


#    _________
#   |    |    |
#   |----+----|     a window, 60 by 80 mm, its bars drawn from side to side
#   |____|____|
BARS = [sew.run(np.array(bar, dtype=float)) for bar in (((30, 0), (30, 80)), ((0, 40), (60, 40)))]
WINDOW = [sew.run(sew.rectangle(0, 0, 60, 80)), sew.CUT, BARS[0], sew.CUT, BARS[1]]


def test_panes_of_a_window_are_pieces_if_each_is_held() -> None:
    tacks = [
        part
        for x in (0, 30)
        for y in (0, 40)
        for part in (sew.run(sew.rectangle(x + 1, y + 1, 28, 38)), sew.CUT)
    ]
    assert_cut(understood(sew.design(WINDOW, tacks, sew.satin(sew.rectangle(0, 0, 60, 80)))), *panes())


def test_a_line_drawn_on_a_piece_does_not_divide_it() -> None:
    found = understood(sew.design(DRAWN, sew.run(sew.circle(29.0)), COVERED[0]))
    assert_cut(found, CIRCLE)
    assert codes(found) == []


def test_a_piece_held_all_round_may_have_another_laid_on_its_half() -> None:
    found = understood(sew.design(DRAWN, sew.run(sew.circle(29.0)), sew.run(half(1, 1.0)), COVERED))
    assert_cut(found, CIRCLE, RIGHT)


def test_where_it_cannot_be_told_nothing_is_cut_twice_and_the_rules_may_say_what_is_meant() -> None:
    """The circle and the line across it are sewn again as they were drawn, and covered."""
    design = sew.design(DRAWN, DRAWN, COVERED)
    found = understood(design)
    assert_cut(found, CIRCLE)
    (finding,) = [one for one in found.findings if one.code == "divided-piece"]
    assert finding.message.startswith("Lines of block 1 divide piece A into 2 parts")
    pasted = yaml.safe_load(finding.advice.split("\n", 1)[1])["passes"]["by_hand"][0]
    assert pasted["divided"] == [1]
    assert_cut(understood(design, PassRules(by_hand=(BlocksByHand(**pasted),))), LEFT, RIGHT)


def test_a_drawing_of_panes_sewn_again_pane_by_pane_is_a_drawing() -> None:
    again = [part for side in (-1, 1) for part in (sew.run(half(side)), sew.CUT)]
    assert [piece.evidence for piece in understood(sew.design(DRAWN, again)).pieces if piece.cut] == []


def test_both_halves_know_their_lines_as_placement() -> None:
    found = understood(sew.design(DRAWN, sew.run(half(-1, 1.0)), sew.run(half(1, 1.0)), COVERED))
    assert {one.role for one in found.passes if one.block == 1} == {Role.PLACEMENT}


def test_a_way_sewn_from_an_outline_to_its_hole_divides_nothing() -> None:
    hole = sew.circle(12.0)
    way = sew.dense(np.array([(30.0, 0.0), (12.0, 0.0)]))
    drawn = [sew.run(CIRCLE), sew.CUT, sew.run(way), sew.CUT, sew.run(hole)]
    tacked = [sew.run(sew.circle(29.0)), sew.CUT, sew.run(sew.circle(13.0))]
    found = understood(sew.design(drawn, tacked, [sew.satin(CIRCLE), sew.CUT, sew.satin(hole)]))
    assert_cut(found, region(CIRCLE, hole))
