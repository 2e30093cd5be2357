"""Fit the weights of the signs themselves, with the hand-set ones as what is believed beforehand.

Every weight is fitted as a multiple of the hand-set one: 1 is believed, less than 0 is forbidden, so that no
sign turns against its meaning (logistic regression with a normal prior; the width of the prior is chosen by
cross-validation). What was fitted is judged on situations, or on authors, that it has not seen.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.optimize import minimize

from piecewright.cutting.passes import find_runs
from piecewright.cutting.pieces import find_pieces
from piecewright.cutting.pieces.confidence import SHIFT, SLOPE, START, WEIGHTS
from tests.evaluation.scoring import RULES, hits

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from piecewright.cutting.geometry import BoolArray, FloatArray, IntArray
    from tests.evaluation.cases import Case

NAMES = tuple(WEIGHTS)
THRESHOLD = 0.6
"""How sure the rules want a piece to be unless they say otherwise."""


@dataclass(frozen=True)
class Judged:
    """Closed lines, however unlikely, with what was seen of each.

    Attributes:
        seen: How much of each sign, (n, s), in the order of NAMES.
        true: Whether it is a placement line, (n,).
        situation: Name of the situation that each is from.
        author: Name of the author.
    """

    seen: FloatArray
    true: BoolArray
    situation: tuple[str, ...]
    author: tuple[str, ...]


def judged(cases: Iterable[Case]) -> Judged:
    """Have every closed line of the designs judged, and look up the truth."""
    seen, true, situation, author = [], [], [], []
    for case in cases:
        pieces = find_pieces(case.design, find_runs(case.design), RULES, least=0.0).pieces
        hit, allowed = hits(case, pieces)
        for number, piece in enumerate(pieces):
            if number not in allowed:
                found = dict(piece.signs)
                seen.append([found.get(name, 0.0) for name in NAMES])
                true.append(number in hit)
                situation.append(case.situation)
                author.append(case.name.rpartition("-")[2].partition(".")[0])
    return Judged(seen=np.array(seen), true=np.array(true), situation=tuple(situation), author=tuple(author))


def odds_by_hand(lines: Judged) -> FloatArray:
    """Log-odds as the finder states them."""
    weights = np.array([WEIGHTS[name] for name in NAMES])
    return np.asarray(SLOPE * (START + lines.seen @ weights) + SHIFT)


def fitted(lines: Judged, chosen: BoolArray, width: float) -> tuple[FloatArray, float, float]:
    """Multiples of the weights, slope and shift that make the truth of the chosen lines likeliest.

    Args:
        lines: Judged lines.
        chosen: Which of them to learn from, (n,).
        width: Of the prior about 1, in multiples; 0 leaves the weights as they are.
    """
    terms = lines.seen[chosen] * np.array([WEIGHTS[name] for name in NAMES])
    true = lines.true[chosen]

    def unlikely(all_of_it: FloatArray) -> tuple[float, FloatArray]:
        multiples, slope, shift = all_of_it[:-2], all_of_it[-2], all_of_it[-1]
        total = START + terms @ multiples
        odds = slope * total + shift
        miss = 1 / (1 + np.exp(-odds)) - true
        away = (multiples - 1) / max(width, 1e-6)
        loss = float((np.logaddexp(0, odds) - true * odds).sum() + (away**2).sum() / 2)
        return loss, np.r_[
            slope * (terms.T @ miss) + away / max(width, 1e-6), (miss * total).sum(), miss.sum()
        ]

    free = (0.0, None) if width else (1.0, 1.0)
    bounds = [free] * len(NAMES) + [(0.1, 10.0), (None, None)]
    start = np.r_[np.ones(len(NAMES)), SLOPE, SHIFT]
    found = minimize(unlikely, start, jac=True, method="L-BFGS-B", bounds=bounds, options={"maxiter": 2000}).x
    return found[:-2], float(found[-2]), float(found[-1])


def held_back(lines: Judged, groups: Sequence[str], width: float, folds: int = 10) -> FloatArray:
    """Log-odds of each line by weights fitted without its group's fold, (n,)."""
    fold = fold_of(groups, folds)
    odds = np.zeros(len(lines.true))
    weights = np.array([WEIGHTS[name] for name in NAMES])
    for number in range(int(fold.max()) + 1):
        out = fold == number
        multiples, slope, shift = fitted(lines, ~out, width)
        odds[out] = slope * (START + lines.seen[out] @ (weights * multiples)) + shift
    return odds


def fold_of(groups: Sequence[str], folds: int) -> IntArray:
    """Which fold each line belongs to; a group stays together, and the order of names says where."""
    names = sorted(set(groups))
    number = {name: index % folds for index, name in enumerate(names)}
    return np.array([number[name] for name in groups])


def figures(odds: FloatArray, true: BoolArray) -> dict[str, float]:
    """Log loss, Brier score, calibration error (ten bins), and recall and precision at the threshold."""
    sure = 1 / (1 + np.exp(-odds))
    cut = sure >= THRESHOLD
    place = np.minimum((sure * 10).astype(np.int64), 9)
    size = np.bincount(place, minlength=10)
    gap = np.abs(np.bincount(place, sure, minlength=10) - np.bincount(place, true, minlength=10))
    return {
        "log loss": float((np.logaddexp(0, odds) - true * odds).mean()),
        "Brier": float(((sure - true) ** 2).mean()),
        "calibration": float(gap.sum() / size.sum()),
        "recall": float((cut & true).sum() / max(true.sum(), 1)),
        "precision": float((cut & true).sum() / max(cut.sum(), 1)),
    }
