"""Cut outlines against the outlines of printed letters, stitched as a digitiser would."""

from __future__ import annotations

import numpy as np
import pytest

from tests.analytic_shapes import Shape, needle_points
from tests.benchmarks.outline_accuracy import LEAST_RADIUS, Case, Score, measure, ours
from tests.letter_shapes import letters

STITCH_MM = 2.5
SAMPLE = tuple(letter for letter in letters() if letter.least_radius_mm > LEAST_RADIUS * STITCH_MM)[::12]


def score_of(letter: Shape, shortest: float, offset_mm: float) -> Score:
    score = Score()
    needles = needle_points(letter, STITCH_MM, 0.29, shortest=shortest)
    measure(Case(letter, needles, offset_mm), ours, score)
    return score


@pytest.mark.parametrize("letter", SAMPLE, ids=lambda letter: letter.name)
@pytest.mark.parametrize("shortest", [1.0, 0.35], ids=["even stitches", "uneven stitches"])
def test_a_letter_is_cut_as_it_is_printed(letter: Shape, shortest: float) -> None:
    """Source of the curves: the Bitstream Vera fonts, whose outlines are exact quadratic Béziers."""
    for offset in (0.0, 1.5):
        score = score_of(letter, shortest, offset)
        assert score.deviation[0] < 0.2
        assert score.mean[0] < 0.04
        assert sum(score.kinks) == score.lost == score.over_nodes == 0


def test_the_letters_have_curves_corners_and_counters() -> None:
    corners = np.array([len(letter.corners) for letter in SAMPLE])
    assert len(SAMPLE) > 15
    assert (corners == 0).any()
    assert (corners > 6).any()
