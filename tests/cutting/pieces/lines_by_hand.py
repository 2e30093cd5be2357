"""Runs and followers put together by hand, so that what is made of them is tested without finding them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from piecewright.cutting.geometry import frozen
from piecewright.cutting.passes import Run, Stitch
from piecewright.cutting.pieces.following import Follower

if TYPE_CHECKING:
    from piecewright.cutting.geometry import BoolArray, FloatArray


def run_of(
    points: FloatArray,
    stitch: Stitch = Stitch.SINGLE_RUN,
    *,
    block: int = 2,
    spacing_mm: float = 0.0,
    width_mm: float = 2.0,
    spine: FloatArray | None = None,
) -> Run:
    """A run; one that is no line has this width."""
    return Run(
        block=block,
        first=0,
        last=len(points) - 1,
        points=frozen(points),
        stitch=stitch,
        width_mm=0.0 if stitch is Stitch.SINGLE_RUN else width_mm,
        spacing_mm=spacing_mm,
        stitch_length_mm=2.5,
        closed=True,
        spine=frozen(np.zeros((0, 2)) if spine is None else spine),
    )


def follower_of(run: int, on: BoolArray, away_mm: float = 0.1) -> Follower:
    """A run that lies outside a ring at an even distance."""
    return Follower(
        run=run,
        on=on,
        at_home=1.0,
        offset_mm=away_mm,
        away_mm=away_mm,
        innermost_mm=away_mm,
        outermost_mm=away_mm,
    )
