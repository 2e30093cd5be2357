"""The finder reaches its figures on designs that it was not made on; takes most of a minute."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely.affinity import scale

from tests.evaluation.cases import cases
from tests.evaluation.scoring import score, totals
from tests.evaluation.sealed.cases import cases as sealed_cases
from tests.evaluation.tables import brier, calibration_error, summary, sums_alone

RECALL = PRECISION = 0.99
ROLES = 0.97
CUT_FROM_DRAWINGS = 0

OTHERS_RECALL, OTHERS_PRECISION, OTHERS_ROLES = 0.96, 0.98, 0.98
OTHERS_CUT_FROM_DRAWINGS = 1
"""Reached on the sealed half, not aimed at: the aims are those above."""

CALIBRATION_ERROR = 0.02
BRIER = 0.02
"""Of pieces and of passes: what is stated is what is observed, within two in a hundred."""


@pytest.mark.slow
@pytest.mark.timeout(900)
def test_pieces_are_found_and_nothing_is_cut_from_drawings() -> None:
    results = [score(case) for case in cases("scored")]
    sums = totals(results)
    told = summary(results)
    assert len(results) >= 150
    assert len({result.situation for result in results}) >= 25
    assert sums.recall >= RECALL, told
    assert sums.precision >= PRECISION, told
    assert sums.role_accuracy >= ROLES, told
    assert sums.false_on_negatives <= CUT_FROM_DRAWINGS, told
    for stated in ([s for r in results for s in r.stated], [s for r in results for s in r.stated_roles]):
        assert calibration_error(stated) <= CALIBRATION_ERROR, told
        assert brier(stated) <= BRIER, told


@pytest.mark.slow
@pytest.mark.timeout(900)
def test_pieces_of_other_hands_are_found_too() -> None:
    """The sealed half, whose designs nobody has looked at: totals only."""
    results = [score(case) for case in sealed_cases("sealed")]
    sums = totals(results)
    told = sums_alone(results)
    assert sums.recall >= OTHERS_RECALL, told
    assert sums.precision >= OTHERS_PRECISION, told
    assert sums.role_accuracy >= OTHERS_ROLES, told
    assert sums.false_on_negatives <= OTHERS_CUT_FROM_DRAWINGS, told


def test_a_design_is_read_back_as_it_was_sewn() -> None:
    first = next(cases("development", "run-tack-and-satin"))
    again = next(cases("development", "run-tack-and-satin"))
    assert first.data == again.data
    assert first.pieces == again.pieces
    x0, y0, x1, y1 = first.design.bounds_mm
    left, top, right, bottom = first.pieces[0].drawn.bounds
    assert x0 <= left + 0.2
    assert y0 <= top + 0.2
    assert x1 >= right - 0.2
    assert y1 >= bottom - 0.2


def test_pieces_that_are_missed_or_invented_lower_the_figures() -> None:
    result = score(next(cases("development", "run-tack-and-satin")))
    assert totals([replace(result, cut=0, hits=0)]).recall == 0
    assert totals([replace(result, true=1, cut=2, hits=1)]).precision == 0.5
    assert totals([replace(result, negative=True, true=0, cut=3, hits=0)]).false_on_negatives == 3


def test_a_region_one_tenth_too_large_is_not_found() -> None:
    case = next(cases("development", "run-tack-and-satin"))
    piece = case.pieces[0]
    grown = replace(piece, drawn=scale(piece.drawn, 1.05, 1.05), sewn=scale(piece.sewn, 1.05, 1.05))
    assert score(case).hits == 1
    assert score(replace(case, pieces=(grown,))).hits == 0


def test_a_stated_confidence_is_measured_against_what_came_true() -> None:
    """Worked by hand: bins 0.8 to 0.9 (0.8 stated, one of two true) and 0.95 to 1 (1.0, all true)."""
    stated = [(0.8, 1.0), (0.8, 0.0), (1.0, 1.0), (1.0, 1.0)]
    assert calibration_error(stated) == pytest.approx((2 * 0.3 + 2 * 0.0) / 4)
    assert brier(stated) == pytest.approx((0.04 + 0.64) / 4)
