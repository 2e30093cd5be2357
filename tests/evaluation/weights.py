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
WIDTHS = (0.0, 0.1, 0.2, 0.4)
MOST_OVER = 0.05
"""A ceiling under 0.95 would not be one of judgement any more."""

_FIGURES = ("log loss", "Brier", "calibration", "recall", "precision")

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


@dataclass(frozen=True)
class Fit:
    """Multiples of the hand-set weights, (s,), the line to log-odds, and the most that is ever stated."""

    multiples: FloatArray
    slope: float
    shift: float
    ceiling: float = 1.0

    def sure(self, seen: FloatArray) -> FloatArray:
        """How sure lines with these signs are, (n,)."""
        odds = self.slope * (START + seen @ (_weights() * self.multiples)) + self.shift
        return np.asarray(self.ceiling / (1 + np.exp(-odds)))


def _weights() -> FloatArray:
    return np.array([WEIGHTS[name] for name in NAMES])


def fitted(lines: Judged, chosen: BoolArray, width: float, *, ceiling: bool = False) -> Fit:
    """What makes the truth of the chosen lines likeliest, with Platt's smoothed targets.

    Args:
        lines: Judged lines.
        chosen: Which of them to learn from, (n,).
        width: Of the prior about 1, in multiples; 0 leaves the weights as they are.
        ceiling: Whether even the best evidence may be wrong now and then.
    """
    terms, true = lines.seen[chosen] * _weights(), lines.true[chosen]
    many, few = int(true.sum()), int((~true).sum())
    target = np.where(true, (many + 1) / (many + 2), 1 / (few + 2))
    signs = terms.shape[1]

    def unlikely(all_of_it: FloatArray) -> tuple[float, FloatArray]:
        multiples, (slope, shift, over) = all_of_it[:signs], all_of_it[signs:]
        total = START + terms @ multiples
        share = 1 / (1 + np.exp(-(slope * total + shift)))
        sure = np.clip((1 - over) * share, 1e-12, 1 - 1e-12)
        away = (multiples - 1) / (width or 1.0)
        loss = -(target * np.log(sure) + (1 - target) * np.log(1 - sure)).sum() + (away**2).sum() / 2
        pull = (1 - target) / (1 - sure) - target / sure
        steep = pull * (1 - over) * share * (1 - share)
        slopes = slope * (terms.T @ steep) + away / (width or 1.0)
        return float(loss), np.r_[slopes, (steep * total).sum(), steep.sum(), -(pull * share).sum()]

    bounds: list[tuple[float | None, float | None]] = [(0.0, None) if width else (1.0, 1.0)] * signs
    bounds += [(0.1, 10.0), (None, None), (0.0, MOST_OVER if ceiling else 0.0)]
    start = np.r_[np.ones(signs), SLOPE, SHIFT, MOST_OVER / 10 if ceiling else 0.0]
    found = minimize(unlikely, start, jac=True, method="L-BFGS-B", bounds=bounds).x
    slope, shift, over = found[signs:].tolist()
    return Fit(multiples=found[:signs], slope=slope, shift=shift, ceiling=1 - over)


def held_back(
    lines: Judged, groups: Sequence[str], width: float, *, ceiling: bool = False, folds: int = 10
) -> FloatArray:
    """How sure each line is by what was fitted without its group's fold, (n,)."""
    fold = fold_of(groups, folds)
    sure = np.zeros(len(lines.true))
    for number in range(int(fold.max()) + 1):
        out = fold == number
        sure[out] = fitted(lines, ~out, width, ceiling=ceiling).sure(lines.seen[out])
    return sure


def fold_of(groups: Sequence[str], folds: int) -> IntArray:
    """Which fold each line belongs to; a group stays together, and the order of names says where."""
    names = sorted(set(groups))
    number = {name: index % folds for index, name in enumerate(names)}
    return np.array([number[name] for name in groups])


def figures(sure: FloatArray, true: BoolArray) -> dict[str, float]:
    """Log loss, Brier score, calibration error (ten bins), and recall and precision at the threshold."""
    cut = sure >= THRESHOLD
    place = np.minimum((sure * 10).astype(np.int64), 9)
    gap = np.abs(np.bincount(place, sure, minlength=10) - np.bincount(place, true, minlength=10))
    right = np.clip(np.where(true, sure, 1 - sure), 1e-12, 1)
    return {
        "log loss": float(-np.log(right).mean()),
        "Brier": float(((sure - true) ** 2).mean()),
        "calibration": float(gap.sum() / len(true)),
        "recall": float((cut & true).sum() / max(true.sum(), 1)),
        "precision": float((cut & true).sum() / max(cut.sum(), 1)),
    }


def comparison(lines: Judged) -> str:
    """The hand-set weights beside fitted ones, each judged on situations and on authors not learnt from."""
    rows = [f"{'held back':10} {'prior':>6} {'ceiling':>8}" + "".join(f"{name:>13}" for name in _FIGURES)]
    for name, groups in (("situations", lines.situation), ("authors", lines.author)):
        for width in WIDTHS:
            for ceiling in (False, True):
                found = figures(held_back(lines, groups, width, ceiling=ceiling), lines.true)
                told = "".join(f"{found[key]:13.4f}" for key in _FIGURES)
                rows.append(f"{name:10} {width or 'by hand':>7} {'yes' if ceiling else 'no':>7}{told}")
    return "\n".join(rows)
