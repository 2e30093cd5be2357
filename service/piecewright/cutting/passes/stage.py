"""Splitting every block into runs."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.geometry import frozen
from piecewright.cutting.passes.values import Run, Stitch

if TYPE_CHECKING:
    from collections.abc import Iterator

    from piecewright.cutting.design import Block, Design
    from piecewright.cutting.geometry import FloatArray

LONG_TRAVEL_MM: Final = 6.0
"""A travel shorter than about two stitches is a jump inside a line, not its end."""

REVERSAL_DEG: Final = 110.0
"""Bites across a line turn back sharper than this; a line hardly ever does."""

SATIN_ADVANCE_MM: Final = 1.0
"""Satin threads lie closer than this; a zigzag shows ground between them."""


def find_runs(design: Design) -> tuple[Run, ...]:
    """Split every block into runs and tell how each is stitched."""
    return tuple(run for block in design.blocks for run in _runs_of(block))


def _runs_of(block: Block) -> Iterator[Run]:
    if not len(block.points):
        return
    steps = np.hypot(*np.diff(block.points, axis=0).T)
    ends = block.cut_before[1:] | (block.travel_before[1:] & (steps > LONG_TRAVEL_MM))
    starts = [0, *(np.flatnonzero(ends) + 1).tolist(), len(block.points)]
    for first, after in pairwise(starts):
        yield _run(block.number, first, block.points[first:after])


def _run(block: int, first: int, points: FloatArray) -> Run:
    steps = np.hypot(*np.diff(points, axis=0).T) if len(points) > 1 else np.zeros(1)
    stitch = _stitch(points, steps)
    crossing = stitch in {Stitch.ZIGZAG, Stitch.SATIN}
    return Run(
        block=block,
        first=first,
        last=first + len(points) - 1,
        points=frozen(points),
        stitch=stitch,
        width_mm=float(np.median(steps)) if crossing else 0.0,
        spacing_mm=_advance(points) if crossing else 0.0,
        stitch_length_mm=float(np.median(steps)),
        closed=bool(np.hypot(*(points[0] - points[-1])) <= 2 * np.median(steps)),
    )


def _advance(points: FloatArray) -> float:
    return float(np.median(np.hypot(*(points[2:] - points[:-2]).T))) if len(points) > 2 else 0.0  # noqa: PLR2004


def _stitch(points: FloatArray, steps: FloatArray) -> Stitch:
    moves = np.diff(points, axis=0)[steps > 0.3] if len(points) > 1 else points  # noqa: PLR2004
    if len(moves) < 3:  # noqa: PLR2004
        return Stitch.UNCLEAR
    angles = np.degrees(np.arctan2(moves[:, 1], moves[:, 0]))
    turns = np.abs((np.diff(angles) + 180) % 360 - 180)
    if np.mean(turns > REVERSAL_DEG) < 0.5:  # noqa: PLR2004
        return Stitch.SINGLE_RUN
    return Stitch.SATIN if _advance(points) < SATIN_ADVANCE_MM else Stitch.ZIGZAG
