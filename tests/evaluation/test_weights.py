"""Fitting the weights of signs: what is believed beforehand, what may not turn, and what the data say."""

from __future__ import annotations

import numpy as np
import pytest

from piecewright.cutting.pieces.confidence import SHIFT, SLOPE, START, WEIGHTS
from tests.evaluation.weights import NAMES, Fit, Judged, figures, fitted, fold_of, held_back

AGAIN, BEAN, ALONE = (NAMES.index(name) for name in ("sewn again", "bean", "alone"))


def lines(seed: int, strength: float) -> Judged:
    """A thousand lines sewn again or not, alone or not; beans are placement lines so much more often."""
    rng = np.random.default_rng(seed)
    seen = np.zeros((1000, len(NAMES)))
    for column in (AGAIN, BEAN, ALONE):
        seen[:, column] = rng.random(1000) < 0.5
    odds = 4 * seen[:, AGAIN] - 2 + strength * seen[:, BEAN]
    groups = tuple(f"group {number % 20}" for number in range(1000))
    return Judged(seen=seen, true=rng.random(1000) < 1 / (1 + np.exp(-odds)), situation=groups, author=groups)


EVERY = np.ones(1000, dtype=np.bool_)


def test_without_a_prior_to_leave_the_weights_stay_as_they_are() -> None:
    assert np.array_equal(fitted(lines(1, 0.0), EVERY, 0.0).multiples, np.ones(len(NAMES)))


def test_no_sign_turns_against_its_meaning() -> None:
    assert WEIGHTS["bean"] < 0
    assert fitted(lines(2, 3.0), EVERY, 5.0).multiples[BEAN] == pytest.approx(0.0, abs=1e-6)


def test_a_sign_that_says_nothing_fades_and_one_never_seen_keeps_its_weight() -> None:
    multiples = fitted(lines(3, 0.0), EVERY, 2.0).multiples
    assert multiples[ALONE] < 0.6
    assert multiples[NAMES.index("named placement")] == pytest.approx(1.0)


def test_where_even_the_best_evidence_is_wrong_now_and_then_a_ceiling_says_how_often() -> None:
    rng = np.random.default_rng(4)
    seen = np.zeros((1000, len(NAMES)))
    seen[:700, AGAIN] = seen[:400, ALONE] = 1.0
    true = np.arange(1000) < 700
    true[:400] &= rng.random(400) > 0.03
    groups = ("one",) * 1000
    found = fitted(Judged(seen=seen, true=true, situation=groups, author=groups), EVERY, 0.0, ceiling=True)
    assert found.ceiling == pytest.approx(true[:700].mean(), abs=0.01)


def test_what_is_fitted_beats_what_is_believed_where_the_belief_is_wrong() -> None:
    known = lines(5, 0.0)
    believed = figures(held_back(known, known.situation, 0.0), known.true)["log loss"]
    assert figures(held_back(known, known.situation, 1.0), known.true)["log loss"] < believed


def test_the_finder_states_what_the_hand_set_weights_make_of_the_signs() -> None:
    seen = np.zeros((1, len(NAMES)))
    seen[0, AGAIN] = 1.0
    by_hand = Fit(multiples=np.ones(len(NAMES)), slope=SLOPE, shift=SHIFT)
    odds = SLOPE * (START + WEIGHTS["sewn again"]) + SHIFT
    assert by_hand.sure(seen)[0] == pytest.approx(1 / (1 + np.exp(-odds)))


def test_lines_of_one_group_stay_in_one_fold() -> None:
    groups = [f"situation {number % 7}" for number in range(50)]
    fold = fold_of(groups, 3)
    assert set(fold.tolist()) == {0, 1, 2}
    assert all(
        len({f for f, g in zip(fold.tolist(), groups, strict=True) if g == one}) == 1 for one in groups
    )


def test_figures_of_four_lines_worked_by_hand() -> None:
    """Stated 0.9, 0.9, 0.5, 0.1 of which true, false, true, false; two of them would be cut."""
    found = figures(np.array([0.9, 0.9, 0.5, 0.1]), np.array([True, False, True, False]))
    assert found["log loss"] == pytest.approx(-(2 * np.log(0.9) + np.log(0.1) + np.log(0.5)) / 4)
    assert found["Brier"] == pytest.approx((0.01 + 0.81 + 0.25 + 0.01) / 4)
    assert found["calibration"] == pytest.approx((0.8 + 0.5 + 0.1) / 4)
    assert (found["recall"], found["precision"]) == (0.5, 0.5)
