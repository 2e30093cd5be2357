"""Which copies of which piece are cut from which fabric."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal

import numpy as np
import pytest

from piecewright.cutting.geometry import Region, curve_area, curved, transformed
from piecewright.cutting.mats import Order, deal
from piecewright.cutting.outlines import CutOutline, EdgeCheck, Twin
from piecewright.cutting.pieces import Piece
from piecewright.cutting.rules import DealingRules

if TYPE_CHECKING:
    from piecewright.cutting.geometry import CurvedRegion

SQUARE = curved(Region(exterior=np.array([(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)])))


def outline(
    letter: str,
    kind: Literal["applique", "base"] = "applique",
    curve: CurvedRegion = SQUARE,
    twin: Twin | None = None,
) -> CutOutline:
    piece = Piece(
        id=letter,
        kind=kind,
        line=Region(exterior=np.zeros((3, 2))),
        placement=(1,),
        tack_down=(),
        cover=(),
        confidence=1.0,
        evidence=(),
        cut=True,
    )
    edge = EdgeCheck()
    return CutOutline(
        piece=piece,
        sewn=piece.line,
        curve=curve,
        offset_mm=1.5,
        area_mm2=100.0,
        corners=np.zeros((0, 2)),
        edge=edge,
        twin=twin,
    )


def order(*outlines: CutOutline, design: str = "design.dst", copies: int = 1) -> Order:
    letters = [one.piece.id for one in outlines]
    return Order(
        design=design,
        copies=copies,
        outlines=outlines,
        threads={letter: ("#1E6F3C", f"Thread {letter}") for letter in letters},
        blocks={letter: 2 * n + 1 for n, letter in enumerate(letters)},
    )


def dealt(orders: list[Order], **rules: Any) -> list[tuple[str, str, int]]:  # noqa: ANN401 - any option
    demands = deal(orders, DealingRules.model_validate(rules))
    return [(demand.piece, demand.fabric, demand.copies) for demand in demands]


def test_four_copies_come_one_each_from_four_fabrics() -> None:
    fabrics = ["moss", "rust", "gold", "plum"]
    assert dealt([order(outline("A"))], copies=4, fabrics=fabrics) == [("A", f, 1) for f in fabrics]


def test_the_round_begins_again_when_there_are_more_copies_than_fabrics() -> None:
    assert dealt([order(outline("A"))], copies=5, fabrics=["moss", "rust"]) == [
        ("A", "moss", 3),
        ("A", "rust", 2),
    ]


def test_all_pieces_of_one_copy_come_from_the_same_fabric() -> None:
    got = dealt([order(outline("A"), outline("B"))], copies=2, fabrics=["moss", "rust"])
    assert got == [("A", "moss", 1), ("A", "rust", 1), ("B", "moss", 1), ("B", "rust", 1)]


def test_copies_of_the_order_multiply_those_of_the_product() -> None:
    assert dealt([order(outline("A"), copies=3)], copies=2) == [("A", "", 6)]


def test_pieces_of_several_designs_keep_their_design_in_their_name() -> None:
    orders = [order(outline("1A"), design="a.dst"), order(outline("2A"), design="b.dst", copies=2)]
    assert dealt(orders) == [("1A", "", 1), ("2A", "", 2)]
    assert [demand.design for demand in deal(orders, DealingRules())] == ["a.dst", "b.dst"]


@pytest.mark.parametrize("key", ["#1e6f3c", "1E6F3C", "thread  a"])
def test_a_thread_names_its_fabric_by_colour_or_name_however_it_is_written(key: str) -> None:
    assert dealt([order(outline("A"))], by_thread={key: "moss"}, fabrics=["rust"]) == [("A", "moss", 1)]


def test_a_thread_that_is_not_listed_keeps_its_pieces_apart_by_its_own_name() -> None:
    got = dealt([order(outline("A"), outline("B"))], by_thread={"thread a": "moss"})
    assert got == [("A", "moss", 1), ("B", "Thread B", 1)]


def test_a_block_goes_before_the_thread_and_a_letter_before_the_block() -> None:
    rules = {"by_thread": {"#1e6f3c": "moss"}, "by_block": {3: "rust", 5: "gold"}, "by_piece": {"C": "plum"}}
    got = dealt([order(outline("A"), outline("B"), outline("C"))], **rules)
    assert got == [("A", "moss", 1), ("B", "rust", 1), ("C", "plum", 1)]


def test_a_letter_with_its_design_goes_before_the_letter_alone() -> None:
    orders = [order(outline("1A")), order(outline("2A"))]
    assert dealt(orders, by_piece={"A": "moss", "2A": "rust"}) == [("1A", "moss", 1), ("2A", "rust", 1)]


def test_base_layers_take_the_base_fabric_and_are_never_laid_among_other_fabric() -> None:
    pieces = [outline("A"), outline("B", "base")]
    assert dealt([order(*pieces)], base_fabric="batting") == [("A", "", 1), ("B", "batting", 1)]
    assert dealt([order(*pieces)]) == [("A", "", 1), ("B", "base layer", 1)]


def test_fabric_with_web_on_its_back_is_cut_face_down_but_batting_is_not() -> None:
    demands = deal([order(outline("A"), outline("B", "base"))], DealingRules(fusible_back=True))
    assert [demand.face_down for demand in demands] == [True, False]


def test_a_mirrored_twin_is_cut_mirrored_so_that_the_right_side_of_the_fabric_shows() -> None:
    # A |\   B /|   B is A turned over; its demand has A's outline turned over, at B's place.
    #   |_\   /_|
    triangle = curved(Region(exterior=np.array([(0.0, 0.0), (10.0, 30.0), (0.0, 30.0)])))
    turned_over = transformed(triangle, 0.0, True, 50.0, 0.0)
    twin = Twin(of="A", turned_deg=0.0, mirrored=True)
    a, b = deal(
        [order(outline("A", curve=triangle), outline("B", curve=turned_over, twin=twin))], DealingRules()
    )
    assert curve_area(a.outline.exterior) == pytest.approx(-curve_area(b.outline.exterior))
    assert b.outline.exterior[..., 0].max() == 50.0
