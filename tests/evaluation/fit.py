"""Fit what a stated confidence means, on the development part: ``python -m tests.evaluation.fit``.

Two things are fitted and printed, to be written into the finder by hand and checked on the scored part
(``python -m tests.evaluation --part scored --reliability``):

* the line from summed evidence to log-odds, by logistic regression with Platt's smoothed targets
  (J. Platt, Probabilistic outputs for support vector machines, 1999), on every closed line judged;
* the share of passes of each kind whose role was right, with one more right and one more wrong than seen
  (Laplace's rule of succession).
"""

from __future__ import annotations

import sys
from collections import defaultdict
from typing import TYPE_CHECKING

import numpy as np
from scipy.optimize import minimize

from piecewright.cutting.passes import find_runs
from piecewright.cutting.pieces import find_pieces
from piecewright.cutting.pieces.confidence import SHIFT, SLOPE
from tests.evaluation.cases import cases
from tests.evaluation.scoring import RULES, roles_by_pass, score

if TYPE_CHECKING:
    from piecewright.cutting.geometry import BoolArray, FloatArray

SURE = 0.9
"""Roles of passes are counted where their piece is this sure, so that its own doubt is no part of them."""


def main() -> None:
    """Print the fitted numbers."""
    chosen = list(cases("development"))
    stated = [pair for case in chosen for pair in score(case, least=0.0).stated]
    sure = np.clip(np.array([confidence for confidence, _ in stated]), 1e-9, 1 - 1e-9)
    true = np.array([hit for _, hit in stated])
    summed = (np.log(sure / (1 - sure)) - SHIFT) / SLOPE
    slope, shift = line_through(summed, true)
    lines = [
        f"{len(true)} closed lines judged, {int(true.sum())} of them placement lines",
        f"SLOPE {slope:.2f}  SHIFT {shift:.2f}",
    ]
    lines += [
        f"{kind:10} {role:10} {(right + 1) / (seen + 2):.3f} of {seen}"
        for (kind, role), (right, seen) in sorted(_roles().items())
    ]
    sys.stdout.write("\n".join(lines) + "\n")


def line_through(summed: FloatArray, true: BoolArray) -> tuple[float, float]:
    """Slope and shift of the log-odds over the summed evidence that make the truth likeliest."""
    many, few = int(true.sum()), int((~true).sum())
    target = np.where(true, (many + 1) / (many + 2), 1 / (few + 2))

    def unlikely(line: FloatArray) -> float:
        odds = line[0] * summed + line[1]
        return float((np.logaddexp(0, odds) - target * odds).sum())

    found = minimize(unlikely, np.array([1.0, 0.0]), method="BFGS").x
    return float(found[0]), float(found[1])


def _roles() -> dict[tuple[str, str], tuple[float, int]]:
    """Passes of a piece, or of none, by role: how many were right, and how many there were."""
    right: dict[tuple[str, str], list[float]] = defaultdict(list)
    for case in cases("development"):
        found = find_pieces(case.design, find_runs(case.design), RULES)
        sure = {piece.id: piece.confidence for piece in found.pieces}
        for one, share in roles_by_pass(case, found):
            if all(sure[name] >= SURE for name in one.pieces):
                right["of a piece" if one.pieces else "of none", one.role.value].append(share)
    return {key: (sum(shares), len(shares)) for key, shares in right.items()}


if __name__ == "__main__":
    main()
