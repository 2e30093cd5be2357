"""The offset between what the tack-down needs and what the cover hides."""

from __future__ import annotations

import pytest

from piecewright.cutting.outlines import Outlines, cut_outlines
from piecewright.cutting.outlines.fit import Limits, fit_findings, fitted_offset, tightest
from piecewright.cutting.passes import Stitch
from piecewright.cutting.rules import FitRules
from tests.cutting import sewing
from tests.cutting.outlines.pieces_by_hand import Bench, Points, rules

CIRCLE = sewing.circle(25)


def fitted(tack: Points | None, cover: Points | None, cover_stitch: Stitch = Stitch.SATIN) -> Outlines:
    bench = Bench()
    bench.add(sewing.run(CIRCLE), tack=tack, cover=cover, cover_stitch=cover_stitch)
    return cut_outlines(bench.understanding(), rules(offset="fit"))


def test_it_takes_the_middle_of_what_both_allow() -> None:
    #  tack-down on the line asks for 0.8, satin of 5 mm allows 2.5 - 0.4
    made = fitted(sewing.run(CIRCLE), sewing.satin(CIRCLE, 5.0))
    (outline,) = made.outlines
    assert outline.offset_mm == pytest.approx((0.8 + 2.1) / 2, abs=0.1)
    assert outline.edge.least_reach_mm is not None
    assert outline.edge.least_cover_mm is not None
    assert outline.edge.least_reach_mm >= 0.8
    assert outline.edge.least_cover_mm >= 0.4
    assert made.findings == ()


def test_where_both_cannot_be_met_it_shares_the_shortfall_and_says_so() -> None:
    made = fitted(sewing.run(sewing.circle(26.0)), sewing.satin(CIRCLE, 3.0))
    (outline,) = made.outlines
    assert outline.offset_mm == pytest.approx((1.8 + 1.1) / 2, abs=0.1)
    (finding,) = [each for each in made.findings if each.code == "fit-compromise"]
    assert "tack-down" in finding.message
    assert "cover" in finding.message
    assert finding.place is not None


def test_less_than_fabric_shifts_when_it_is_laid_by_hand_is_no_compromise_worth_a_word() -> None:
    made = fitted(sewing.run(sewing.circle(25.5)), sewing.satin(CIRCLE, 3.0))
    assert made.outlines[0].offset_mm == pytest.approx((1.3 + 1.1) / 2, abs=0.1)
    assert made.findings == ()


def test_without_a_cover_the_tack_down_alone_decides() -> None:
    assert fitted(sewing.run(CIRCLE), None).outlines[0].offset_mm == pytest.approx(0.8, abs=0.1)


def test_without_a_tack_down_common_practice_goes_as_far_as_the_cover_hides() -> None:
    assert fitted(None, sewing.satin(CIRCLE, 5.0)).outlines[0].offset_mm == 1.5
    assert fitted(None, sewing.satin(CIRCLE, 3.0)).outlines[0].offset_mm == pytest.approx(1.1, abs=0.1)


def test_without_stitches_it_is_common_practice() -> None:
    assert fitted(None, None).outlines[0].offset_mm == 1.5


def test_a_blanket_along_the_line_leaves_no_room_outside() -> None:
    made = fitted(None, sewing.blanket(CIRCLE), Stitch.BLANKET)
    assert made.outlines[0].offset_mm == 0.0
    assert "fit-compromise" in {finding.code for finding in made.findings}


def test_the_end_of_a_partial_cover_does_not_count() -> None:
    half = sewing.part(CIRCLE, 0, sewing.length(CIRCLE) / 2)
    made = fitted(sewing.run(CIRCLE), sewing.satin(half, 5.0))
    assert made.outlines[0].offset_mm == pytest.approx((0.8 + 2.1) / 2, abs=0.1)


def test_the_limits_of_the_rules_hold() -> None:
    limits = Limits(least_mm=4.0, least_place=(0.0, 0.0), most_mm=8.0, most_place=(1.0, 1.0))
    assert fitted_offset(limits, FitRules()) == 3.0
    (finding,) = fit_findings("A", 3.0, limits)
    assert finding.place == (0.0, 0.0)
    assert fitted_offset(Limits(most_mm=-2.0), FitRules()) == 0.0


def test_twins_share_the_tightest_limits() -> None:
    both = tightest(
        [
            Limits(least_mm=0.5, most_mm=1.5, most_place=(1.0, 1.0)),
            Limits(least_mm=0.9, most_mm=2.5),
            Limits(),
        ]
    )
    assert (both.least_mm, both.most_mm, both.most_place) == (0.9, 1.5, (1.0, 1.0))
    assert tightest([Limits()]) == Limits()


def test_an_offset_within_the_limits_is_no_finding() -> None:
    assert fit_findings("A", 1.2, Limits(least_mm=1.2, most_mm=1.2)) == []
