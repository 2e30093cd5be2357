"""Sheets and patches: what goes where, what is left out, how much fabric it takes."""

from __future__ import annotations

import numpy as np
import pytest

from piecewright.cutting.errors import RulesError
from piecewright.cutting.geometry import Region, bounds, contains_points, distance, flatten, transformed
from piecewright.cutting.mats import MatLayout, lay
from piecewright.cutting.rules import DealingRules
from tests.cutting.mats.support import (
    codes,
    demand,
    ellipse,
    laid_ids,
    mixed,
    poses,
    rectangle,
    rules,
    used_length,
)

#   L   the only shape here that differs from itself turned by a half and turned over
ELL = [(0.0, 0.0), (20.0, 0.0), (20.0, 50.0), (60.0, 50.0), (60.0, 70.0), (0.0, 70.0)]

FOUR_FABRICS = ("rust", "#b0b0b0", "#b0b0b0", "moss")


def test_nothing_to_cut_takes_no_mat() -> None:
    layout = lay([], rules())
    assert (layout.mats, layout.fabrics, layout.findings) == ((), (), ())


def test_a_piece_lies_where_its_numbers_say() -> None:
    one = demand(ELL)
    piece = lay([one], rules(turning="quarter")).mats[0].laid[0]
    moved = transformed(one.outline, piece.turned_deg, piece.mirrored, piece.x_mm, piece.y_mm)
    assert bounds(piece.curve) == pytest.approx(bounds(moved), abs=1e-9)
    assert bounds(piece.curve)[:2] == pytest.approx((5.0, 5.0), abs=1e-3)  # the upper left corner of the bed


def test_every_copy_is_laid_once_and_has_its_own_name() -> None:
    layout = lay([demand(rectangle(60, 40), copies=30), demand(ELL, "B", copies=2)], rules())
    assert laid_ids(layout) == sorted([*(f"A-{n}" for n in range(1, 31)), "B-1", "B-2"])


def test_a_thread_that_stands_for_no_fabric_is_a_finding_that_names_what_it_sews() -> None:
    by_thread = {"by_thread": {"#ff0000": "rust"}, "by_piece": {"D": "moss"}}
    pieces = [demand(ELL, letter, fabric=key) for letter, key in zip("ABCD", FOUR_FABRICS, strict=True)]
    job = rules()
    dealt = job.model_copy(
        update={"product": job.product.model_copy(update={"dealing": DealingRules.model_validate(by_thread)})}
    )
    [finding] = lay(pieces, dealt).findings
    assert (finding.code, finding.piece) == ("thread-not-listed", "B")
    assert "thread #b0b0b0" in finding.message
    assert "B, C." in finding.message
    assert not lay(pieces, job).findings


def test_copies_are_numbered_on_over_all_fabrics() -> None:
    layout = lay([demand(ELL, fabric="moss", copies=2), demand(ELL, fabric="rust")], rules())
    assert {piece.id: piece.fabric for mat in layout.mats for piece in mat.laid} == {
        "A-1": "moss",
        "A-2": "moss",
        "A-3": "rust",
    }


def test_fabrics_never_share_a_mat_of_sheets() -> None:
    layout = lay([demand(ELL, fabric="moss"), demand(ELL, "B", fabric="rust")], rules())
    assert [mat.fabric for mat in layout.mats] == ["moss", "rust"]


def test_pieces_keep_exactly_the_gap() -> None:
    layout = lay([demand(rectangle(60, 60), copies=9)], rules(gap="3 mm"))
    pieces = layout.mats[0].laid
    nearest = min(distance(a.curve, b.curve) for a in pieces for b in pieces if a is not b)
    assert nearest == pytest.approx(3.0, abs=1e-3)


def test_squares_that_just_fill_the_bed_take_one_mat() -> None:
    # 3 x 96.333 mm and 2 gaps of 3 mm are 295 mm: the bed of a 305 mm mat with margins of 5 mm.
    layout = lay([demand(rectangle(289 / 3, 289 / 3), copies=9)], rules(gap="3 mm"))
    assert [len(mat.laid) for mat in layout.mats] == [9]
    assert layout.mats[0].fill_ratio == pytest.approx((289 / 295) ** 2)


@pytest.mark.parametrize(
    ("turning", "grain", "allowed"),
    [
        ("none", None, {0.0}),
        ("half", None, {0.0, 180.0}),
        ("quarter", None, {0.0, 90.0, 180.0, 270.0}),
        ("free", "half", {0.0, 180.0}),
        ("quarter", "none", {0.0}),
    ],
)
def test_pieces_are_turned_only_as_product_and_grain_allow(
    turning: str, grain: str | None, allowed: set[float]
) -> None:
    kept = {"moss": {"grain": grain}} if grain else {}
    layout = lay([demand(ELL, fabric="moss", copies=9)], rules(turning=turning, fabrics=kept, effort=1))
    assert {piece.turned_deg for mat in layout.mats for piece in mat.laid} <= allowed


def test_pieces_are_turned_over_only_where_that_is_allowed() -> None:
    kept = lay([demand(ELL, copies=6)], rules(turning="none", effort=1))
    free = lay([demand(ELL, copies=6)], rules(turning="none", turn_over=True, effort=1))
    assert not any(piece.mirrored for piece in kept.mats[0].laid)
    assert any(piece.mirrored for piece in free.mats[0].laid)
    assert used_length(free.mats[0]) < used_length(kept.mats[0])


def test_fabric_with_web_on_its_back_is_cut_mirrored() -> None:
    layout = lay([demand(ELL, face_down=True, copies=3)], rules(effort=1))
    assert all(piece.mirrored for piece in layout.mats[0].laid)


def test_a_fabric_smaller_than_the_mat_limits_where_pieces_lie() -> None:
    small = {"moss": {"width": "150 mm", "height": "200 mm"}}
    layout = lay([demand(rectangle(60, 60), fabric="moss", copies=6)], rules(fabrics=small, gap="3 mm"))
    assert [len(mat.laid) for mat in layout.mats] == [6]  # 2 across 140 mm, 3 down 190 mm
    assert max(bounds(piece.curve)[2] for piece in layout.mats[0].laid) <= 145.0
    assert layout.mats[0].fill_ratio == pytest.approx(6 * 3600 / (140 * 190))


def test_a_long_piece_is_turned_to_fit() -> None:
    mat = {"width": "200 mm", "height": "400 mm", "margin": "5 mm"}
    layout = lay([demand(rectangle(300, 50))], rules(mat=mat, turning="quarter"))
    assert layout.mats[0].laid[0].turned_deg == 90.0


def test_a_piece_longer_than_the_mat_lies_aslant_if_it_may_be_turned_freely() -> None:
    layout = lay([demand(rectangle(380, 20))], rules(turning="free"))
    assert codes(layout) == []
    assert layout.mats[0].laid[0].turned_deg % 90.0 != 0.0


def test_a_piece_larger_than_the_mat_is_left_out_with_the_size_that_it_takes() -> None:
    layout = lay([demand(rectangle(400, 310), copies=2), demand(ELL, "B")], rules())
    assert laid_ids(layout) == ["B-1"]
    [finding] = layout.findings
    assert (finding.code, finding.piece) == ("larger-than-mat", "A")
    assert "410 mm by 320 mm" in finding.advice


def test_the_finding_says_when_turning_would_help_or_another_mat_would() -> None:
    long = {"long": {"width": "305 mm", "height": "620 mm", "margin": "5 mm"}}
    [turn] = lay([demand(rectangle(380, 20))], rules(turning="none")).findings
    [mat] = lay([demand(rectangle(200, 600))], rules(turning="none", more_mats=long)).findings
    assert "turned freely" in turn.advice
    assert "the mat long takes it" in mat.advice


def test_the_finding_names_the_fabric_where_that_is_what_is_too_small() -> None:
    small = {"moss": {"width": "100 mm", "height": "100 mm"}}
    [finding] = lay([demand(rectangle(95, 95), fabric="moss")], rules(fabrics=small)).findings
    assert "100 mm by 100 mm" in finding.message


def test_lengths_in_findings_are_in_the_unit_that_the_shop_reads() -> None:
    [finding] = lay([demand(rectangle(400, 310))], rules(show="in")).findings
    assert "16 3/16 in by 12 5/8 in" in finding.advice


def test_a_mat_that_the_rules_do_not_have_is_named() -> None:
    with pytest.raises(RulesError, match="the mat big, which the rules do not have"):
        lay([demand(ELL)], rules(on="big"))


def test_a_nested_layout_is_shorter_than_one_of_boxes_and_keeps_the_gap() -> None:
    pieces = mixed(10, seed=3)
    boxes, nested = lay(pieces, rules()), lay(pieces, rules(effort=2))
    assert used_length(nested.mats[0]) < used_length(boxes.mats[0])
    laid = nested.mats[0].laid
    assert min(distance(a.curve, b.curve) for a in laid for b in laid if a is not b) >= 2.99


def test_the_same_pieces_are_laid_the_same_every_time() -> None:
    first, again = (lay(mixed(9, seed=5), rules(effort=1)) for _ in range(2))
    assert poses(first) == poses(again)


def test_mats_of_the_same_make_up_are_laid_alike() -> None:
    layout = lay([demand(rectangle(90, 90), copies=27)], rules(effort=1))
    assert len({tuple((p.x_mm, p.y_mm) for p in mat.laid) for mat in layout.mats}) == 1


def test_without_a_gap_pieces_may_touch_but_not_overlap() -> None:
    layout = lay([demand(rectangle(59, 59), copies=25)], rules(gap="0 mm", effort=1))
    assert [len(mat.laid) for mat in layout.mats] == [25]


def test_small_pieces_go_into_holes_of_big_ones_only_where_that_is_allowed() -> None:
    ring = demand(ellipse(200, 200), holes=[ellipse(120, 120)], piece="A")
    disc = demand(ellipse(50, 50), "B", copies=3)
    apart, inside = lay([ring, disc], rules()), lay([ring, disc], rules(in_holes=True))
    assert sum(_in_hole(mat) for mat in apart.mats) == 0
    assert sum(_in_hole(mat) for mat in inside.mats) >= 2
    assert laid_ids(inside) == ["A-1", "B-1", "B-2", "B-3"]


def test_what_lies_in_a_hole_is_turned_and_turned_over_with_its_host() -> None:
    ring = demand(ellipse(200, 280), holes=[ellipse(120, 180)], piece="A", face_down=True)
    inside = demand(ELL, "B", copies=2, face_down=True)
    layout = lay([ring, inside], rules(in_holes=True, effort=1, turning="quarter"))
    assert sum(_in_hole(mat) for mat in layout.mats) == 2
    assert all(piece.mirrored for piece in layout.mats[0].laid)


def test_holes_too_small_for_the_gap_stay_empty_and_others_are_filled() -> None:
    #  a bar with a hole of 2 mm and one of 60 mm; the gap of 3 mm leaves nothing of the first
    bar = demand(rectangle(200, 80), holes=[rectangle(2, 2, 20, 39), rectangle(60, 60, 100, 10)])
    inside = lay([bar, demand(rectangle(40, 40), "B")], rules(in_holes=True, gap="3 mm"))
    assert sum(_in_hole(mat) for mat in inside.mats) == 1
    tight = lay([bar, demand(rectangle(56, 56), "B")], rules(in_holes=True, gap="3 mm"))
    assert sum(_in_hole(mat) for mat in tight.mats) == 0
    assert laid_ids(tight) == ["A-1", "B-1"]


def test_a_freely_turned_piece_that_only_fits_along_the_mat_is_nested_along_it() -> None:
    mat = {"width": "200 mm", "height": "400 mm", "margin": "5 mm"}
    layout = lay([demand(rectangle(380, 60), copies=2)], rules(mat=mat, turning="free", effort=1))
    assert [piece.turned_deg % 180.0 for each in layout.mats for piece in each.laid] == [90.0, 90.0]


def _in_hole(mat: MatLayout) -> int:
    """How many pieces have their first point in a hole of another."""
    holes = [Region(exterior=flatten(hole, 0.1)) for piece in mat.laid for hole in piece.curve.holes]
    points = np.array([piece.curve.exterior[0, 0] for piece in mat.laid])
    return sum(int(contains_points(hole, points).sum()) for hole in holes)


@pytest.mark.parametrize("gap", ["0 mm", "3 mm"])
def test_a_piece_as_large_as_the_bed_leaves_no_room_beside_it(gap: str) -> None:
    layout = lay(
        [demand(rectangle(295, 295)), demand(rectangle(30, 30), "B")],
        rules(effort=1, turning="none", gap=gap),
    )
    assert [[piece.id for piece in mat.laid] for mat in layout.mats] == [["A-1"], ["B-1"]]
