"""A placement line may be a narrow zigzag that has its block to itself."""

from __future__ import annotations

from tests.cutting import sewing as sew
from tests.cutting.pieces.support import assert_cut, understood

CIRCLE, SQUARE = sew.circle(25.0), sew.rectangle(40.0, -20.0, 40.0, 40.0)


def test_a_narrow_zigzag_held_and_covered_after_halts_places_a_piece() -> None:
    drawn = [sew.zigzag(CIRCLE, 1.2, 1.6), sew.CUT, sew.zigzag(SQUARE, 1.2, 1.6)]
    held = [sew.zigzag(CIRCLE, 2.0, 2.2), sew.CUT, sew.zigzag(SQUARE, 2.0, 2.2)]
    found = understood(sew.design(drawn, held, [sew.satin(CIRCLE), sew.CUT, sew.satin(SQUARE)]))
    assert_cut(found, CIRCLE, SQUARE)
    assert "but it is sewn as a zigzag, as few placement lines are" in found.pieces[0].evidence


def test_a_zigzag_with_one_pass_over_it_is_reported_and_not_cut() -> None:
    found = understood(sew.design(sew.zigzag(CIRCLE, 1.2, 1.6), sew.satin(CIRCLE)))
    assert [piece.cut for piece in found.pieces] in ([], [False])
    twice = understood(sew.design(sew.zigzag(CIRCLE, 1.2, 1.6), sew.zigzag(CIRCLE, 1.8, 1.6)))
    assert not any(piece.cut for piece in twice.pieces)


def test_a_zigzag_that_shares_its_block_draws_no_line() -> None:
    shared = [sew.zigzag(CIRCLE, 1.2, 1.6), sew.CUT, sew.fill(60, 0, 20, 20)]
    found = understood(sew.design(shared, sew.run(CIRCLE), sew.satin(CIRCLE)))
    assert 1 not in {one.block for one in found.passes if one.role == "placement"}


def test_a_zigzag_over_a_line_holds_what_the_line_places() -> None:
    found = understood(sew.design(sew.run(CIRCLE), sew.zigzag(CIRCLE, 1.2, 1.6), sew.satin(CIRCLE)))
    assert_cut(found, CIRCLE)
    assert [(one.block, one.role.value) for one in found.passes] == [
        (1, "placement"),
        (2, "tack-down"),
        (3, "cover"),
    ]
