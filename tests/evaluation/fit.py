"""Fit what a stated confidence means, on the development part: ``python -m tests.evaluation.fit``.

The weights of the signs are fitted too and set beside the hand-set ones (weights.py). Two things are
printed to be written into the finder by hand and checked on the scored part
(``python -m tests.evaluation --part scored --reliability``):

* the line from summed evidence to log-odds, by logistic regression with Platt's smoothed targets
  (J. Platt, Probabilistic outputs for support vector machines, 1999), on every closed line judged;
* the share of passes of each kind whose role was right, with one more right and one more wrong than seen
  (Laplace's rule of succession).
"""

from __future__ import annotations

import sys
from collections import defaultdict

import numpy as np

from piecewright.cutting.passes import find_runs
from piecewright.cutting.pieces import find_pieces
from tests.evaluation.cases import cases
from tests.evaluation.scoring import RULES, roles_by_pass
from tests.evaluation.weights import comparison, fitted, judged

SURE = 0.9
"""Roles of passes are counted where their piece is this sure, so that its own doubt is no part of them."""


def main() -> None:
    """Print the fitted numbers."""
    seen = judged(cases("development"))
    every = np.ones(len(seen.true), dtype=np.bool_)
    line = fitted(seen, every, 0.0)
    lines = [
        f"{len(seen.true)} closed lines judged, {int(seen.true.sum())} of them placement lines",
        f"SLOPE {line.slope:.2f}  SHIFT {line.shift:.2f}",
        comparison(seen),
    ]
    lines += [
        f"{kind:10} {role:10} {(right + 1) / (seen + 2):.3f} of {seen}"
        for (kind, role), (right, seen) in sorted(_roles().items())
    ]
    sys.stdout.write("\n".join(lines) + "\n")


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
