"""What every pass is for, found from how passes repeat each other across halts."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from piecewright.cutting.design import Thread
from piecewright.cutting.passes import Role, Stitch
from piecewright.cutting.plaintext import per_cent
from piecewright.cutting.rules import PassRules
from tests.cutting import sewing as sew
from tests.cutting.pieces.support import assert_cut, codes, passes_of, region, roles, understood

if TYPE_CHECKING:
    from collections.abc import Callable

    from piecewright.cutting.design import Design
    from piecewright.cutting.geometry import FloatArray

CIRCLE, BESIDE, INNER = sew.circle(25.0), sew.circle(18.0, (70.0, 0.0)), sew.circle(8.0)
STAR = sew.star(5, 25.0, 10.0)
HOOP = sew.rectangle(-90, -90, 180, 180)
CURVES = pytest.mark.parametrize("curve", [CIRCLE, STAR], ids=["circle", "star"])


@CURVES
def test_placement_tack_down_and_cover(curve: FloatArray) -> None:
    found = understood(sew.design(sew.run(curve, 3.0), sew.run(curve), sew.satin(curve)))
    assert_cut(found, curve)
    assert roles(found) == [(1, Role.PLACEMENT), (2, Role.TACK_DOWN), (3, Role.COVER)]
    assert "sewn again in blocks 2 and 3 after a halt, along all of the line" in found.pieces[0].evidence


@CURVES
def test_zigzag_holds_and_satin_covers(curve: FloatArray) -> None:
    found = understood(sew.design(sew.run(curve), sew.zigzag(curve), sew.satin(curve)))
    assert [one.role for one in found.passes] == [Role.PLACEMENT, Role.TACK_DOWN, Role.COVER]


@CURVES
def test_a_blanket_or_a_close_zigzag_covers_where_there_is_no_satin(curve: FloatArray) -> None:
    for cover in (sew.blanket(curve), sew.zigzag(curve, 3.0, 1.0)):
        found = understood(sew.design(sew.run(curve), sew.run(curve, 2.0), cover))
        assert [one.role for one in found.passes] == [Role.PLACEMENT, Role.TACK_DOWN, Role.COVER]


def test_what_lies_under_the_satin_in_its_block_is_underlay_once_the_piece_is_held() -> None:
    cover = np.vstack([sew.run(CIRCLE), sew.zigzag(CIRCLE, 2.0, 2.5), sew.satin(CIRCLE)])
    held_before = understood(sew.design(sew.run(CIRCLE), sew.run(CIRCLE), cover))
    held_there = understood(sew.design(sew.run(CIRCLE), cover))
    assert roles(held_before)[2:] == [(3, Role.UNDERLAY), (3, Role.UNDERLAY), (3, Role.COVER)]
    assert roles(held_there)[1:] == [(2, Role.TACK_DOWN), (2, Role.UNDERLAY), (2, Role.COVER)]


def test_one_run_may_belong_to_several_pieces() -> None:
    over = sew.run(sew.dense(np.array([CIRCLE[-1], BESIDE[0]])))[1:-1]
    line = np.vstack([sew.tied(sew.run(CIRCLE)), over, sew.tied(sew.run(BESIDE))])
    found = understood(sew.design(line, line, np.vstack([sew.satin(CIRCLE), sew.satin(BESIDE)])))
    assert_cut(found, CIRCLE, BESIDE)
    assert {one.pieces for one in found.passes if one.role is Role.PLACEMENT} == {("A", "B")}


def test_a_meander_inside_holds_the_piece() -> None:
    meander = sew.meander(-17, -17, 34, 34, 5)
    found = understood(sew.design(sew.run(CIRCLE), meander, sew.satin(CIRCLE)))
    assert_cut(found, CIRCLE)
    (tack,) = passes_of(found, found.pieces[0].tack_down)
    assert tack.stitch is Stitch.MEANDER


def test_a_piece_without_cover_and_one_without_tack_down_are_cut_with_a_finding() -> None:
    raw = understood(sew.design(sew.run(CIRCLE, 3.0), sew.run(CIRCLE)))
    unheld = understood(sew.design(sew.run(CIRCLE, 3.0), sew.satin(CIRCLE)))
    assert_cut(raw, CIRCLE)
    assert_cut(unheld, CIRCLE)
    assert codes(raw) == ["no-cover"]
    assert codes(unheld) == ["no-tack-down"]


def test_where_edges_are_meant_to_stay_raw_a_missing_cover_is_no_finding() -> None:
    raw = understood(sew.design(sew.run(CIRCLE, 3.0), sew.run(CIRCLE)), PassRules(raw_edge=True))
    assert_cut(raw, CIRCLE)
    assert codes(raw) == []


def test_tack_down_and_cover_may_follow_a_part_only() -> None:
    part = sew.part(CIRCLE, 0.0, 0.7 * sew.length(CIRCLE))
    assert_cut(understood(sew.design(sew.run(CIRCLE), sew.run(part), sew.satin(part))), CIRCLE)


def test_an_inner_line_that_is_tacked_round_its_outside_is_a_hole_whenever_it_is_placed() -> None:
    tack = [sew.run(sew.circle(24.2)), sew.CUT, sew.run(sew.circle(10.8))]
    covers = [sew.satin(CIRCLE), sew.CUT, sew.satin(INNER)]
    found = understood(sew.design(sew.run(CIRCLE), sew.run(INNER), tack, covers))
    assert_cut(found, region(CIRCLE, INNER))


def test_a_line_placed_after_a_piece_is_held_makes_no_hole_in_it() -> None:
    """A picture, and then a frame whose opening lies a little inside the picture's edge."""
    frame, opening = sew.circle(40.0), sew.circle(23.0)
    blocks: list[FloatArray | list[FloatArray]] = [
        sew.run(CIRCLE), sew.run(sew.circle(24.2)),
        [sew.run(frame), sew.CUT, sew.run(opening)],
        [sew.run(sew.circle(39.0)), sew.CUT, sew.run(sew.circle(24.0))],
        [sew.satin(frame), sew.CUT, sew.satin(opening)],
    ]  # fmt: skip
    assert_cut(understood(sew.design(*blocks)), CIRCLE, region(frame, opening))


def test_a_layer_placed_in_the_block_that_holds_the_one_below_is_a_piece_of_its_own() -> None:
    """The colour that tacks the lower piece also places the upper one, 3 mm inside."""
    upper = sew.circle(22.0)
    both = [sew.run(sew.circle(24.2)), sew.CUT, sew.run(upper)]
    found = understood(
        sew.design(sew.run(CIRCLE), both, sew.run(sew.circle(21.0)), sew.satin(upper, 3.0), sew.satin(CIRCLE))
    )
    assert_cut(found, CIRCLE, upper)


def test_what_goes_round_a_pointed_hole_in_the_block_of_the_tack_downs_is_no_piece() -> None:
    """Outside its tips a star's tack-down lies farther from it than any pass that follows a line."""
    hole, around = sew.star(4, 9.0, 4.0), sew.star(4, 12.6, 5.6)  # 1.5 mm outside, mitred
    lines = [sew.run(CIRCLE, 2.0), sew.CUT, sew.run(hole, 2.0)]
    tack = [sew.run(sew.circle(23.8), 2.0), sew.CUT, sew.run(around, 2.0)]
    covers = [sew.satin(CIRCLE), sew.CUT, sew.satin(hole, 2.5)]
    assert_cut(understood(sew.design(lines, tack, covers)), region(CIRCLE, hole))


def test_an_inner_line_that_only_shares_the_cover_of_the_outer_is_a_hole() -> None:
    both = [sew.run(CIRCLE), sew.CUT, sew.run(INNER)]
    covers = [sew.satin(CIRCLE, 3.0), sew.CUT, sew.satin(INNER, 3.0)]
    found = understood(sew.design(both, sew.run(CIRCLE), covers))
    assert_cut(found, region(CIRCLE, INNER))


def test_an_inner_line_placed_and_held_together_with_the_outer_is_a_hole() -> None:
    def both(sewn: str) -> list[FloatArray]:
        one = getattr(sew, sewn)
        return [one(CIRCLE), sew.CUT, one(INNER)]

    found = understood(sew.design(both("run"), both("run"), both("satin")))
    assert_cut(found, region(CIRCLE, INNER))
    assert len(found.pieces[0].line.holes) == 1


def test_an_inner_line_placed_after_the_outer_is_held_is_a_piece_on_the_piece() -> None:
    blocks = [sew.run(CIRCLE), sew.run(CIRCLE), sew.run(INNER), sew.run(INNER)]
    found = understood(sew.design(*blocks, [sew.satin(INNER, 2.0), sew.CUT, sew.satin(CIRCLE)]))
    assert_cut(found, CIRCLE, INNER)


def test_layers_three_millimetres_apart_keep_their_own_passes() -> None:
    smaller = sew.circle(22.0)
    covers = [sew.satin(CIRCLE), sew.CUT, sew.satin(smaller)]
    found = understood(
        sew.design(sew.run(CIRCLE), sew.run(CIRCLE, 2.0), sew.run(smaller), sew.run(smaller, 2.0), covers)
    )
    assert_cut(found, CIRCLE, smaller)
    assert [len(piece.cover) for piece in found.pieces] == [1, 1]


@pytest.mark.parametrize("inset", [2.0, 3.0])
@pytest.mark.parametrize("manner", [sew.bean, lambda c: np.vstack([sew.run(c), sew.run(c)])])
def test_a_raw_edge_held_firmly_well_inside_the_line_is_a_piece(
    inset: float, manner: Callable[[FloatArray], FloatArray]
) -> None:
    """A light line, a halt, and a line inside it that is sewn to hold: the fabric's edge stays raw.

    .--------------.   placement line
    | .==========. |   bean, or two laps
    | |          | |
    """
    found = understood(sew.design(sew.run(CIRCLE), manner(sew.circle(25.0 - inset))))
    assert_cut(found, CIRCLE)


def test_a_single_line_well_inside_another_is_a_piece_if_pieces_are_made_in_turn() -> None:
    inner, beside = sew.circle(22.5), sew.circle(15.5, (70.0, 0.0))
    in_turn = understood(sew.design(sew.run(CIRCLE), sew.run(inner), sew.run(BESIDE), sew.run(beside)))
    by_colour = understood(
        sew.design([sew.run(CIRCLE), sew.CUT, sew.run(BESIDE)], [sew.run(inner), sew.CUT, sew.run(beside)])
    )
    assert_cut(in_turn, CIRCLE, BESIDE)
    assert_cut(by_colour)


def test_a_double_run_keeps_its_tack_down_inside_the_line() -> None:
    """One piece of fabric, not one from the line and one from what holds it."""
    there_and_back = np.vstack([sew.run(CIRCLE), sew.run(CIRCLE)[::-1]])
    found = understood(sew.design(there_and_back, sew.run(sew.circle(23.0)), sew.satin(CIRCLE, 4.5)))
    assert_cut(found, CIRCLE)
    assert [one.role for one in found.passes] == [Role.PLACEMENT, Role.TACK_DOWN, Role.COVER]


def test_what_lies_evenly_inside_a_line_that_could_not_be_closed_is_not_cut() -> None:
    """Fabric cut to a tack-down would be too small all round.

    .------    ------.   three quarters of a placement line
    |  .==========.  |   tack-down
    """
    open_line = sew.part(CIRCLE, 0.0, 0.72 * sew.length(CIRCLE))
    found = understood(sew.design(sew.run(open_line), sew.run(sew.circle(24.0)), sew.satin(CIRCLE, 4.0)))
    assert [piece.line for piece in found.pieces if piece.cut] == []


def test_a_layer_inside_the_zigzag_of_the_layer_below_is_a_piece_of_its_own() -> None:
    shadow, number = sew.rectangle(-4, -4, 38, 68), sew.rectangle(0, 0, 30, 60)
    blocks = [
        sew.run(shadow), sew.zigzag(sew.rectangle(-3.4, -3.4, 36.8, 66.8), 1.6, 1.1),
        sew.run(number), sew.zigzag(sew.rectangle(0.6, 0.6, 28.8, 58.8), 1.6, 1.1),
    ]  # fmt: skip
    rules = PassRules(cut=("applique", "base"))
    assert_cut(understood(sew.design(*blocks), rules), shadow, number)


def test_touching_pieces_stay_apart() -> None:
    left, right = sew.rectangle(0, 0, 40, 40), sew.rectangle(40, 0, 40, 40)
    blocks = [
        sew.run(left),
        sew.run(left, 2.0),
        sew.satin(left),
        sew.run(right),
        sew.run(right, 2.0),
        sew.satin(right),
    ]
    assert_cut(understood(sew.design(*blocks)), left, right)


def test_dots_of_six_millimetres_and_a_whole_hoop() -> None:
    dot = sew.circle(3.0)
    assert_cut(
        understood(sew.design(sew.run(dot, 1.2), sew.run(dot, 1.5), sew.satin(dot, 1.8))), dot, iou=0.95
    )
    assert_cut(
        understood(sew.design(sew.run(HOOP, 3.5), sew.zigzag(HOOP, 3.0, 3.0), sew.satin(HOOP, 4.0))), HOOP
    )


def test_batting_placed_and_tacked_under_the_pieces_is_a_base_layer() -> None:
    found = understood(
        sew.design(
            sew.run(HOOP, 4.0), sew.run(HOOP, 3.0), sew.run(CIRCLE), sew.run(CIRCLE), sew.satin(CIRCLE)
        )
    )
    assert [(piece.kind, piece.cut) for piece in found.pieces] == [("base", False), ("applique", True)]


def test_a_frame_basted_twice_with_long_stitches_is_a_base_layer() -> None:
    found = understood(
        sew.design(sew.run(HOOP, 6.0), sew.run(HOOP, 6.0), sew.disc_fill(20.0), sew.run(CIRCLE))
    )
    assert [piece.kind for piece in found.pieces] == ["base"]


def test_a_covered_piece_as_large_as_the_hoop_with_a_piece_on_it_is_no_base_layer() -> None:
    covers = [sew.satin(CIRCLE), sew.CUT, sew.satin(HOOP, 4.0)]
    found = understood(sew.design(sew.run(HOOP), sew.run(HOOP), sew.run(CIRCLE), sew.run(CIRCLE), covers))
    assert_cut(found, HOOP, CIRCLE)


@pytest.mark.parametrize("name", ["Placement line", "Platzierungslinie", "Ligne de placement", "posición"])
def test_thread_names_count_as_evidence_in_any_language(name: str) -> None:
    plain = understood(sew.design(sew.run(CIRCLE, 3.0), sew.run(CIRCLE)))
    named = understood(sew.design(sew.run(CIRCLE, 3.0), sew.run(CIRCLE), threads=[Thread(name=name)]))
    assert named.pieces[0].confidence > plain.pieces[0].confidence


def test_palette_entries_of_applique_steps_count_as_evidence_and_colours_do_not() -> None:
    def sure(thread: Thread) -> float:
        return understood(sew.design(sew.run(CIRCLE), sew.run(CIRCLE), threads=[thread])).pieces[0].confidence

    assert sure(Thread(catalog="PEC 63")) > sure(Thread(catalog="PEC 20"))
    assert sure(Thread(catalog="63", name="Cream Yellow")) == sure(Thread())


def shared_block() -> Design:
    """A placement line in a block that begins with a fill."""
    first = [sew.fill(60, 0, 30, 30), sew.CUT, sew.run(CIRCLE)]
    return sew.design(first, sew.run(CIRCLE, 2.0), sew.satin(CIRCLE))


def test_every_needle_point_has_a_role_and_every_pass_evidence() -> None:
    found = understood(design := shared_block())
    assert [one.number for one in found.passes] == list(range(1, len(found.passes) + 1))
    assert sum(len(run.points) for one in found.passes for run in one.runs) == design.stitches
    assert all(one.evidence for one in found.passes)
    assert found.passes[0].role in {Role.FILL, Role.UNDERLAY}


def test_a_placement_line_in_a_block_of_other_things_is_found_and_said() -> None:
    found = understood(shared_block())
    assert_cut(found, CIRCLE)
    assert codes(found) == ["placement-shares-block"]


def test_passes_of_a_piece_that_is_less_likely_than_not_are_named_for_what_they_are_without_it() -> None:
    """A second line outside the first: most likely a shadow, and hardly a tack-down."""
    found = understood(sew.design(sew.run(CIRCLE), sew.run(sew.circle(26.2))))
    line, beside = found.passes
    assert (line.role, line.in_doubt) == (Role.DETAIL, Role.PLACEMENT)
    assert (beside.role, beside.in_doubt) == (Role.DETAIL, Role.TACK_DOWN)
    (piece,) = found.pieces
    assert line.confidence == pytest.approx(1 - piece.confidence, abs=0.01)
    assert (piece.placement, piece.tack_down) == ((1,), (2,))
    assert line.evidence[0] == f"may be the placement line of piece A ({per_cent(piece.confidence)} sure)"


def test_passes_of_a_likely_piece_are_not_in_doubt() -> None:
    found = understood(sew.design(sew.run(CIRCLE), sew.run(CIRCLE), sew.satin(CIRCLE)))
    assert [one.in_doubt for one in found.passes] == [None] * 3


def test_parts_of_a_meander_that_end_where_they_began_hold_the_piece_with_the_rest() -> None:
    """A cut divides the meander; its first part goes to and fro once."""
    there = sew.run(sew.dense(np.array([(-20.0, -10.0), (20.0, -10.0)])), 2.0)
    meander = [
        np.vstack([there, there[::-1] + np.array([0.0, 1.5])]),
        sew.CUT,
        sew.meander(-16, -16, 32, 34, 5.0),
    ]
    found = understood(sew.design(sew.run(CIRCLE), meander, sew.satin(CIRCLE)))
    assert roles(found)[0] == (1, Role.PLACEMENT)
    assert {role for block, role in roles(found) if block == 2} == {Role.TACK_DOWN}


def test_a_line_whose_ends_cross_is_a_piece_a_little_less_sure() -> None:
    #  the hand that drew it overshot where it closed:  ( )x
    arc = sew.part(sew.circle(20.0, start_deg=-80.0), 0.0, np.radians(340.0) * 20.0)
    crossed = sew.dense(np.vstack([arc, [(2.0, -24.0), (-2.0, -24.0)], arc[:1]]))
    plain, looped = (
        understood(sew.design(sew.run(curve), sew.run(curve, 2.0), sew.satin(curve))).pieces
        for curve in (CIRCLE, crossed)
    )
    assert [piece.cut for piece in (*plain, *looped)] == [True, True]
    assert "but the line crosses itself" in looped[0].evidence
    assert plain[0].confidence - 0.05 < looped[0].confidence < plain[0].confidence


def test_an_open_line_beside_a_placement_line_costs_it_nothing_unless_it_is_sewn_again_too() -> None:
    flourish = sew.run(sew.dense(np.array([(60.0, 0.0), (75.0, 12.0), (90.0, 0.0), (105.0, 12.0)])))
    alone, beside, again = (
        understood(sew.design([sew.run(CIRCLE), *more], [sew.run(CIRCLE), *later])).pieces
        for more, later in (([], []), ([sew.CUT, flourish], []), ([sew.CUT, flourish], [sew.CUT, flourish]))
    )
    assert [piece.cut for piece in (*alone, *beside)] == [True, True]
    assert "but open lines of its block" not in "\n".join(beside[0].evidence)
    assert not any(piece.cut for piece in again)
