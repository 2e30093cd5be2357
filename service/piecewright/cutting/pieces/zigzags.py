"""Placement lines sewn as a narrow zigzag, as on felt and plush, into which a running stitch sinks.

Terms: see rings.py.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from piecewright.cutting.passes import Stitch
from piecewright.cutting.pieces.claims import lies_along
from piecewright.cutting.pieces.following import NEAR_MM
from piecewright.cutting.pieces.rings import rings_by_hand

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.passes import Run
    from piecewright.cutting.pieces.rings import Ring

NARROW_MM: Final = 1.8
"""A zigzag as wide as a line is bold; what holds an edge is seldom narrower, but comes after a line."""

MOST_OPEN: Final = 0.05
"""Share of it that may be missing at its seam."""

DRAWN_BEFORE: Final = 0.5
"""A zigzag along more of an earlier line holds what that line places."""


def zigzag_rings(runs: Sequence[Run], rings: Sequence[Ring]) -> list[Ring]:
    """Closed zigzags that have a block to themselves and no earlier line beside them.

    Args:
        runs: Of the whole design.
        rings: Closed lines of the design.
    """
    others = {run.block for run in runs if not _is_narrow_zigzag(run)}
    alone = {run.block for run in runs} - others
    return [
        ring
        for ring in rings_by_hand(runs, alone)
        if ring.gap_mm <= MOST_OPEN * ring.length_mm
        and not any(
            earlier.block < ring.block and lies_along(ring, earlier, NEAR_MM) > DRAWN_BEFORE
            for earlier in rings
        )
    ]


def _is_narrow_zigzag(run: Run) -> bool:
    return run.stitch is Stitch.ZIGZAG and run.width_mm <= NARROW_MM
