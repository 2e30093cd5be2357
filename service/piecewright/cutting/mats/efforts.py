"""Efforts: what the effort in the rules means in the engine's own steps, strip by strip.

Terms: a *strip* is one call of the engine; *patience* is how many of its reports it may make without a new
layout. Numbers were tried on the named instances of tests/benchmarks/layout.py.
"""

from __future__ import annotations

from typing import Final

from piecewright.cutting.mats.engine import Effort

EFFORTS: Final = {
    1: Effort(steps=120, patience=4, after=2),
    2: Effort(steps=320, patience=10, after=4),
    3: Effort(steps=500, patience=16, after=8),
    4: Effort(steps=1000, patience=40, after=20),
    5: Effort(steps=4000, patience=120, after=60),
}
"""What the steps of effort in the rules mean in the engine's steps."""

FIRST_LOAD: Final = {1: 0.74, 2: 0.78, 3: 0.80, 4: 0.82, 5: 0.84}
"""Load of the first draw for a full mat; mixed shapes rarely reach more."""

FULL_STRIPS: Final = 6
"""So many strips of a job get the full effort; the n-th gets so many n-ths of it: work stays bounded."""

WHOLE_SHARE: Final = 1.5
"""To get all that is left on one mat is worth this much more: it saves a mat."""

NEAR_SHARE: Final = 3.0
"""So many times the effort where all that is left nearly goes on one mat."""

CLIMB_SHARE: Final = 1.5
"""So many times the effort to get more on a full mat, which is where fabric is saved."""

COPIES_A_STEP: Final = 4
"""The engine reports more often between two layouts the more copies it has to part."""

LEAST_EFFORT: Final = Effort(steps=60, patience=3, after=2)
"""Less finds nothing that the boxes do not."""


def effort_for(level: int, *, strips: int, copies: int, more: float, whole: bool) -> Effort:
    """The effort for one strip.

    Args:
        level: 1 to 5, as in the rules.
        strips: How many strips of the job have been packed before.
        copies: How many copies are to be packed.
        more: So many times the usual.
        whole: Whether they are all that is left.
    """
    full = EFFORTS[level]
    share = min(1.0, FULL_STRIPS / (strips + 1))
    patience = (full.patience + copies / COPIES_A_STEP) * more * (WHOLE_SHARE if whole else 1.0)
    after = full.after + copies / COPIES_A_STEP / 2
    return Effort(
        steps=max(LEAST_EFFORT.steps, round(full.steps * more * share)),
        patience=max(LEAST_EFFORT.patience, round(patience * share)),
        after=max(LEAST_EFFORT.after, round(after * share)),
    )
