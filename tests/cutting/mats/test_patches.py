"""Rough-cut rectangles of fabric: their size, what they carry, how many fabrics a mat takes."""

from __future__ import annotations

import pytest

from piecewright.cutting.geometry import bounds
from piecewright.cutting.mats import lay
from tests.cutting.mats.support import codes, demand, ellipse, rectangle, rules

INCH = 25.4


def test_a_piece_of_334_by_364_hundredths_of_an_inch_takes_a_square_of_four_inches() -> None:
    # common practice, no source; it holds for handling margins from 0 to 0.18 in, 0.125 in is the default
    layout = lay([demand(rectangle(3.34 * INCH, 3.64 * INCH))], rules(way="patches", turning="none"))
    assert layout.mats[0].laid[0].patch is not None
    assert layout.mats[0].laid[0].patch[2:] == pytest.approx((4 * INCH, 4 * INCH))


@pytest.mark.parametrize("face_down", [False, True])
@pytest.mark.parametrize("turning", ["quarter", "free"])
def test_the_piece_lies_in_the_middle_of_its_patch(turning: str, face_down: bool) -> None:
    slanting = [(0.0, 0.0), (80.0, 30.0), (70.0, 45.0), (20.0, 30.0)]
    pieces = [demand(ellipse(70, 40), copies=3), demand(slanting, "B", face_down=face_down)]
    layout = lay(pieces, rules(way="patches", turning=turning))
    assert len(layout.mats[0].laid) == 4
    for piece in layout.mats[0].laid:
        assert piece.patch is not None
        x, y, width, height = piece.patch
        x0, y0, x1, y1 = bounds(piece.curve)
        assert ((x0 + x1) / 2, (y0 + y1) / 2) == pytest.approx((x + width / 2, y + height / 2), abs=1e-3)


def test_a_rectangle_that_the_fabric_does_not_give_is_a_finding_and_the_piece_is_laid_all_the_same() -> None:
    # 60 mm by 30 mm with a step of 25.4 mm: 76.2 mm by 50.8 mm; a ribbon of 55 mm gives it lengthwise only.
    ribbon = {"ribbon": {"label": "Silk ribbon", "width": "55 mm", "grain": "half"}}
    for shape, expected in ((rectangle(60, 30), ["patch-beyond-fabric"]), (rectangle(30, 60), [])):
        layout = lay([demand(shape, fabric="ribbon")], rules(way="patches", fabrics=ribbon))
        assert codes(layout) == expected
        assert len(layout.mats) == 1
    turned = {"ribbon": {"width": "55 mm", "grain": "quarter"}}
    assert not codes(lay([demand(rectangle(60, 30), fabric="ribbon")], rules(way="patches", fabrics=turned)))


def test_a_piece_that_with_its_margins_is_exactly_some_steps_takes_no_step_more() -> None:
    exact = rules(way="patches", turning="none", patches={"handling_margin": "5 mm", "ruler_step": "10 mm"})
    layout = lay([demand(rectangle(40, 40.001))], exact)
    assert layout.mats[0].laid[0].patch is not None
    assert layout.mats[0].laid[0].patch[2:] == (50.0, 60.0)


def test_nine_patches_of_four_inches_go_on_a_mat_of_twelve() -> None:
    # Patches reach over the margin of the mat, pieces do not: 4 in less 3.3 in leaves 0.35 in each side.
    twelve = {"width": "12 in", "height": "12 in", "margin": "5 mm"}
    layout = lay([demand(rectangle(3.3 * INCH, 3.3 * INCH), copies=9)], rules(way="patches", mat=twelve))
    assert [len(mat.laid) for mat in layout.mats] == [9]
    assert min(min(bounds(piece.curve)[:2]) for piece in layout.mats[0].laid) >= 5.0


def test_a_patch_does_not_reach_so_far_over_the_margin_that_its_piece_would() -> None:
    twelve = {"width": "12 in", "height": "12 in", "margin": "15 mm"}
    layout = lay([demand(rectangle(3.3 * INCH, 3.3 * INCH), copies=9)], rules(way="patches", mat=twelve))
    assert [len(mat.laid) for mat in layout.mats] == [4, 4, 1]


def test_patches_keep_the_gap_between_them_and_need_none_at_the_rim() -> None:
    # Without a handling margin a patch is its piece: 3 x 90 mm and 2 x 10 mm of gap on a bed of 295 mm.
    snug = {"handling_margin": "0 mm", "ruler_step": "5 mm"}
    layout = lay([demand(rectangle(90, 90), copies=9)], rules(way="patches", gap="10 mm", patches=snug))
    assert [len(mat.laid) for mat in layout.mats] == [9]
    corners = sorted({round(bounds(piece.curve)[0], 2) for piece in layout.mats[0].laid})
    assert corners == [5.0, 105.0, 205.0]


def test_several_fabrics_share_one_mat() -> None:
    layout = lay(
        [demand(rectangle(60, 60), fabric="moss"), demand(ellipse(60, 60), "B", fabric="rust")],
        rules(way="patches"),
    )
    assert [mat.fabric for mat in layout.mats] == [""]
    assert {piece.fabric for piece in layout.mats[0].laid} == {"moss", "rust"}


def test_the_rectangles_to_cut_by_hand_are_listed_by_fabric_and_size() -> None:
    pieces = [
        demand(rectangle(60, 40), fabric="moss", copies=3),
        demand(rectangle(40, 60), "B", fabric="moss"),
        demand(rectangle(20, 20), "C", fabric="rust", copies=2),
    ]
    step = {"handling_margin": "5 mm", "ruler_step": "10 mm"}
    needs = lay(pieces, rules(way="patches", turning="quarter", patches=step)).fabrics
    assert [(need.fabric, need.width_mm, need.height_mm, need.count) for need in needs] == [
        ("moss", 50.0, 70.0, 4),
        ("rust", 30.0, 30.0, 2),
    ]
    assert [need.area_mm2 for need in needs] == pytest.approx([9600.0, 800.0])


def test_where_the_grain_counts_a_patch_is_not_the_same_turned() -> None:
    pieces = [demand(rectangle(60, 40), fabric="moss"), demand(rectangle(40, 60), "B", fabric="moss")]
    needs = lay(pieces, rules(way="patches", turning="half")).fabrics
    assert sorted((need.width_mm < need.height_mm, need.count) for need in needs) == [(False, 1), (True, 1)]


def test_a_slanting_piece_is_turned_where_that_saves_fabric_and_only_if_it_may_be() -> None:
    # A strip of 100 mm by 10 mm at 45 degrees: upright it takes 4 in by 4 in, along itself 5 in by 1 in.
    slanting = [(0.0, 0.0), (70.7, 70.7), (63.6, 77.8), (-7.1, 7.1)]
    kept = lay([demand(slanting)], rules(way="patches", turning="quarter")).fabrics[0]
    free = lay([demand(slanting)], rules(way="patches", turning="free")).fabrics[0]
    assert (kept.width_mm, kept.height_mm) == pytest.approx((4 * INCH, 4 * INCH))
    assert (free.width_mm, free.height_mm) == pytest.approx((1 * INCH, 5 * INCH))


def test_of_the_turns_that_are_allowed_the_one_that_takes_least_fabric_is_taken() -> None:
    # A square of 50 mm on its tip: upright it takes 4 in by 4 in, on its side 3 in by 3 in.
    tip = 50 / 2**0.5
    on_its_tip = [(0.0, -tip), (tip, 0.0), (0.0, tip), (-tip, 0.0)]
    (need,) = lay([demand(on_its_tip)], rules(way="patches", turning="free")).fabrics
    assert (need.width_mm, need.height_mm) == pytest.approx((3 * INCH, 3 * INCH))


@pytest.mark.parametrize(("turning", "found"), [("quarter", []), ("half", ["larger-than-mat"])])
def test_a_patch_that_only_goes_on_the_mat_turned_is_turned_if_it_may_be(
    turning: str, found: list[str]
) -> None:
    long = {"width": "305 mm", "height": "610 mm", "margin": "5 mm"}
    layout = lay([demand(rectangle(400, 60))], rules(way="patches", turning=turning, mat=long))
    assert codes(layout) == found


def test_a_patch_larger_than_the_mat_is_left_out_with_the_size_that_it_takes() -> None:
    layout = lay([demand(rectangle(296, 296)), demand(rectangle(50, 50), "B")], rules(way="patches"))
    assert codes(layout) == ["larger-than-mat"]
    assert [piece.id for mat in layout.mats for piece in mat.laid] == ["B-1"]
    # The patch of 12 in, and as much more as the piece, 4.4 mm inside it, lacks of the margin of 5 mm.
    assert "306 mm by 306 mm" in layout.findings[0].advice


def test_without_a_piece_that_fits_there_is_no_mat_of_patches() -> None:
    assert lay([], rules(way="patches")).mats == ()
    layout = lay([demand(rectangle(400, 400))], rules(way="patches"))
    assert (layout.mats, layout.fabrics) == ((), ())
    assert codes(layout) == ["larger-than-mat"]


def test_how_much_bolt_it_takes_is_not_said_where_a_patch_is_wider_than_the_bolt() -> None:
    # 250 mm and two margins of an eighth of an inch take 11 in, 279.4 mm
    bolt = {"moss": {"width": "270 mm"}}
    pieces = [demand(rectangle(250, 50), fabric="moss")]
    needs = lay(pieces, rules(way="patches", fabrics=bolt, turning="none")).fabrics
    assert [(need.width_mm, need.bolt_mm, need.sheets) for need in needs] == [(11 * INCH, None, None)]
