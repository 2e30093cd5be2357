"""What gives a drawing away that is sewn twice: copies moved aside, and bars across what would be fabric.

Terms: a *moved copy* is a line sewn again in the same size some way aside, as a drop shadow is; *bars* are
open lines inside a closed one, from the same block, that later stitches go over as well, as in free-standing
lace.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting import geometry as geo

if TYPE_CHECKING:
    from piecewright.cutting.geometry import FloatArray, IntArray, Region
    from piecewright.cutting.pieces.company import Company
    from piecewright.cutting.pieces.rings import Ring
    from piecewright.cutting.pieces.surroundings import Surroundings

SAME_SIZE_MM: Final = 0.35
"""Needle points of two lines along one curve reach equally far within this; a tack-down inside is smaller by
more."""

WITHIN_MM: Final = 1.0
"""Open lines so far inside a ring run across it, and not along it."""


def moved_aside_mm(index: int, company: Company) -> float:
    """How far aside lies the farthest later line that sews a ring again in its own size; 0 if none does.

    Args:
        index: Of the ring.
        company: All lines of the design.
    """
    later = sorted(
        {
            number
            for follower in company.own[index]
            for number in company.drawn_by.get(follower.run, ())
            if company.blocks[number] > company.blocks[index]
        }
    )
    boxes = company.boxes[later] - company.boxes[index]  # of each corner, as (x0, y0, x1, y1)
    low, high = boxes[:, :2], boxes[:, 2:]
    alike = np.abs(high - low).max(axis=1, initial=0.0) <= SAME_SIZE_MM
    return float(np.hypot(*((low + high) / 2)[alike].T).max(initial=0.0))


def barred(ring: Ring, region: Region, around: Surroundings) -> float:
    """Length of the bars across a ring, as a share of the length around it.

    Args:
        ring: The line, its gaps closed.
        region: What it encloses.
        around: The rest of the design.
    """
    bars = np.flatnonzero((around.block == ring.block) & (around.overlaid > 0))
    return float(thread_within(bars, region, around) @ around.overlaid[bars]) / ring.length_mm


def thread_within(runs: IntArray, region: Region, around: Surroundings) -> FloatArray:
    """Thread of some runs that lies well inside a region and not along its edge, (r,) mm.

    Args:
        runs: Their indices, (r,).
        region: What a line encloses.
        around: The rest of the design.
    """
    share = [(geo.distances_to_edge(region, around.runs[i].points) > WITHIN_MM).mean() for i in runs.tolist()]
    return np.asarray(around.length[runs] * share, dtype=np.float64)
