"""The stage as a whole: which pieces are outlined, with which offset, and what is said of them."""

from __future__ import annotations

import numpy as np
import pytest

from piecewright.cutting import geometry as geo
from piecewright.cutting.outlines import cut_outlines
from piecewright.cutting.pieces import Understanding
from tests.cutting import sewing
from tests.cutting.outlines.pieces_by_hand import Bench, rules

CIRCLE = sewing.run(sewing.circle(20))
SQUARE = sewing.run(sewing.rectangle(0, 0, 40, 40))


def test_only_pieces_that_are_cut_are_outlined() -> None:
    bench = Bench()
    bench.add(CIRCLE, cut=False)
    bench.add(SQUARE)
    assert [outline.piece.id for outline in cut_outlines(bench.understanding(), rules()).outlines] == ["B"]


def test_no_pieces_no_outlines() -> None:
    made = cut_outlines(Understanding(passes=(), pieces=(), findings=()), rules(stretch_along_grain=1.1))
    assert made.outlines == ()
    assert made.findings == ()


def test_the_line_the_cut_and_the_corners_are_given() -> None:
    bench = Bench()
    bench.add(SQUARE, holes=[sewing.run(sewing.circle(8, (20.0, 20.0)))])
    (outline,) = cut_outlines(bench.understanding(), rules()).outlines
    assert geo.area(outline.line) == pytest.approx(1600 - np.pi * 64, rel=2e-3)
    assert outline.area_mm2 == pytest.approx(1600 + 160 * 1.5 + np.pi * 1.5**2 - np.pi * 6.5**2, rel=2e-3)
    assert outline.area_mm2 == pytest.approx(geo.area(outline.curve))
    assert sorted(map(tuple, np.round(outline.corners).tolist())) == [(0, 0), (0, 40), (40, 0), (40, 40)]
    assert outline.offset_mm == 1.5


def test_exteriors_run_clockwise_on_the_page_and_holes_the_other_way() -> None:
    for turn in (1, -1):
        bench = Bench()
        bench.add(SQUARE[::turn], holes=[sewing.run(sewing.circle(8, (20.0, 20.0)))[::turn]])
        (outline,) = cut_outlines(bench.understanding(), rules()).outlines
        assert geo.curve_area(outline.curve.exterior) > 0 > geo.curve_area(outline.curve.holes[0])


def test_base_layers_have_their_own_offset_even_with_fit() -> None:
    bench = Bench()
    bench.add(SQUARE, kind="base")
    bench.add(CIRCLE)
    made = cut_outlines(bench.understanding(), rules(offset="fit", base_offset="-2 mm"))
    assert [outline.offset_mm for outline in made.outlines] == [-2.0, 1.5]


def test_stretch_makes_the_cut_larger_and_says_so() -> None:
    bench = Bench()
    bench.add(SQUARE)
    made = cut_outlines(bench.understanding(), rules(stretch_along_grain=1.02, stretch_across_grain=1.01))
    x0, y0, x1, y1 = geo.bounds(made.outlines[0].curve)
    assert (x1 - x0, y1 - y0) == pytest.approx((43 * 1.01, 43 * 1.02), abs=0.05)
    assert ((x0 + x1) / 2, (y0 + y1) / 2) == pytest.approx((20, 20), abs=0.05)
    (finding,) = made.findings
    assert finding.code == "rescaled"
    assert "+2.0% along" in finding.message


def test_nothing_is_rescaled_without_being_asked() -> None:
    bench = Bench()
    bench.add(SQUARE)
    assert cut_outlines(bench.understanding(), rules()).findings == ()


def test_notches_mark_the_top_and_where_a_later_piece_begins_to_hide_the_edge() -> None:
    bench = Bench()
    bench.add(CIRCLE, tack=sewing.run(sewing.circle(19.0)))
    bench.add(sewing.run(sewing.rectangle(5, -40, 40, 80)))
    plain, cut = (
        cut_outlines(bench.understanding(), rules(notches=depth)).outlines[0] for depth in (0, "1 mm")
    )
    one_notch = 1.0 * 1.0 / 2
    assert plain.area_mm2 - cut.area_mm2 == pytest.approx(3 * one_notch, rel=0.15)
    assert cut.edge == plain.edge


def test_a_notch_that_reaches_the_tack_down_is_a_finding() -> None:
    bench = Bench()
    bench.add(CIRCLE, tack=CIRCLE)
    made = cut_outlines(bench.understanding(), rules(notches="2 mm"))
    assert {finding.code for finding in made.findings} == {"notch-deep"}


def test_fabric_that_reaches_farther_under_a_later_piece_is_no_twin() -> None:
    bench = Bench()
    bench.add(CIRCLE)
    bench.add(CIRCLE + np.array([60, 0]))
    bench.add(sewing.run(sewing.rectangle(65, -40, 40, 80)))
    plain = cut_outlines(bench.understanding(), rules())
    lapped = cut_outlines(bench.understanding(), rules(under_lap="3 mm"))
    assert plain.outlines[1].twin is not None
    assert lapped.outlines[1].twin is None
    assert lapped.outlines[1].area_mm2 > plain.outlines[1].area_mm2 + 20


def test_twins_share_one_fitted_offset() -> None:
    bench = Bench()
    bench.add(CIRCLE, tack=CIRCLE, cover=sewing.satin(sewing.circle(20), 5.0))
    other = sewing.circle(20, (80, 0))
    bench.add(CIRCLE + np.array([80, 0]), tack=sewing.run(other), cover=sewing.satin(other, 4.0))
    made = cut_outlines(bench.understanding(), rules(offset="fit"))
    assert made.outlines[0].offset_mm == made.outlines[1].offset_mm == pytest.approx((0.8 + 1.6) / 2, abs=0.1)


def test_what_is_said_of_a_leader_is_not_said_again_of_its_twins() -> None:
    bench = Bench()
    for x in (0.0, 80.0):
        curve = sewing.circle(20, (x, 0.0))
        bench.add(sewing.run(curve), cover=sewing.satin(curve, 2.0))
    (finding,) = cut_outlines(bench.understanding(), rules()).findings
    assert finding.piece == "A"
    assert finding.message.endswith("The same holds for its twin, piece B.")


@pytest.mark.parametrize(
    ("count", "told"), [(3, "its twins, pieces B and C."), (9, "its 8 twins.")], ids=["few", "many"]
)
def test_a_finding_of_a_leader_says_for_which_twins_it_holds(count: int, told: str) -> None:
    bench = Bench()
    for k in range(count):
        curve = sewing.circle(20, (80.0 * k, 0.0))
        bench.add(sewing.run(curve), cover=sewing.satin(curve, 2.0))
    (finding,) = cut_outlines(bench.understanding(), rules()).findings
    assert finding.message.endswith(f"The same holds for {told}")


def test_of_twins_that_vanish_each_is_named_for_none_is_cut() -> None:
    bench = Bench()
    for x in (0.0, 40.0):
        bench.add(sewing.run(sewing.circle(3, (x, 0.0))))
    made = cut_outlines(bench.understanding(), rules(offset="-4 mm"))
    assert made.outlines == ()
    assert [(finding.code, finding.piece) for finding in made.findings] == [
        ("piece-vanishes", "A"),
        ("piece-vanishes", "B"),
    ]
    assert "piece B with an offset of -4 mm" in made.findings[1].message


def test_a_line_that_goes_round_nothing_is_said_and_the_others_are_cut() -> None:
    bench = Bench()
    bench.add(np.array([(0.0, 0.0), (10.0, 0.0), (20.0, 0.0), (10.0, 0.0)]))
    bench.add(SQUARE)
    made = cut_outlines(bench.understanding(), rules())
    assert [outline.piece.id for outline in made.outlines] == ["B"]
    assert [(finding.code, finding.piece) for finding in made.findings] == [("piece-vanishes", "A")]
    assert "goes round no fabric" in made.findings[0].message


def test_the_same_design_gives_the_same_curves() -> None:
    bench = Bench()
    bench.add(sewing.run(sewing.star(5, 40, 16)), cover=sewing.satin(sewing.star(5, 40, 16), 4.0))
    first, second = (cut_outlines(bench.understanding(), rules(offset="fit")).outlines[0] for _ in range(2))
    assert np.array_equal(first.curve.exterior, second.curve.exterior)
    assert first.edge == second.edge
