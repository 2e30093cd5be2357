"""What lies under all the rest: batting, backing, ground cloth."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from piecewright.cutting.geometry import transformed_points
from piecewright.cutting.passes import Role
from piecewright.cutting.rules import BlocksByHand, PassRules
from tests.cutting import sewing as sew
from tests.cutting.pieces.support import assert_cut, roles, understood

if TYPE_CHECKING:
    from piecewright.cutting.geometry import FloatArray

HOOP = sew.rectangle(-90, -90, 180, 180)
CIRCLE, BESIDE = sew.circle(20.0), sew.circle(18.0, (50.0, 0.0))


def under_raw_edges(base: FloatArray) -> list[str]:
    """Kinds of the pieces of a design that places and tacks a line, and on it a piece without a cover."""
    pieces = sew.design(sew.run(base), sew.run(base), sew.run(CIRCLE), sew.run(CIRCLE))
    return [piece.kind for piece in understood(pieces).pieces]


@pytest.mark.parametrize("turn", [0.0, 30.0])
def test_a_rectangle_under_pieces_without_covers_is_a_base_layer_however_turned(turn: float) -> None:
    assert under_raw_edges(transformed_points(HOOP, turn, False, 0.0, 0.0)) == ["base", "applique"]


def test_a_piece_of_another_shape_under_pieces_without_covers_is_none() -> None:
    assert under_raw_edges(sew.circle(80.0)) == ["applique", "applique"]
    assert under_raw_edges(sew.star(5, 90.0, 50.0)) == ["applique", "applique"]


def test_a_rectangle_beside_the_pieces_is_none() -> None:
    assert under_raw_edges(HOOP + np.array([300.0, 0.0])) == ["applique", "applique"]


def test_a_layer_held_two_millimetres_inside_is_as_sure_as_any_if_pieces_follow_on_it() -> None:
    inside = sew.rectangle(-88, -88, 176, 176)
    on_it = [sew.run(CIRCLE), sew.run(sew.circle(19.0)), sew.satin(CIRCLE)]
    layer, piece = understood(sew.design(sew.run(HOOP), sew.run(inside), *on_it)).pieces
    assert (layer.kind, piece.kind) == ("base", "applique")
    assert layer.confidence > 0.8
    assert "pieces are placed inside it once it is held" in layer.evidence


def test_a_cover_named_in_the_rules_is_one_whatever_it_looks_like() -> None:
    design = sew.design(sew.run(CIRCLE), sew.run(CIRCLE), sew.run(CIRCLE, 2.0))
    rule = BlocksByHand(placement=(1,), tack_down=(2,), cover=(3,))
    found = understood(design, PassRules(by_hand=(rule,)))
    assert_cut(found, CIRCLE)
    assert roles(found) == [(1, Role.PLACEMENT), (2, Role.TACK_DOWN), (3, Role.COVER)]


def test_a_line_named_in_the_rules_that_its_block_draws_twice_places_one_piece() -> None:
    twice = [sew.run(CIRCLE), sew.CUT, sew.run(CIRCLE, 2.0), sew.CUT, sew.run(BESIDE)]
    found = understood(sew.design(twice, sew.run(CIRCLE)), PassRules(by_hand=(BlocksByHand(placement=(1,)),)))
    assert_cut(found, CIRCLE, BESIDE)
    (placed,) = (one for one in found.passes if one.pieces == ("A",) and one.role is Role.PLACEMENT)
    assert len(placed.runs) == 2
