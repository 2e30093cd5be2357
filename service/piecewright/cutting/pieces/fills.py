"""Whether what a line encloses is filled with stitches, and the line only their outline.

Terms: an area is *filled* if so much thread lies in it that no fabric would show; *rows* fill it too, however
open they are. A run *holds* if it could be a tack-down.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting import geometry as geo
from piecewright.cutting.passes import COVERING, Stitch
from piecewright.cutting.pieces.belonging import COVERS_HALF
from piecewright.cutting.pieces.crowding import goes_round
from piecewright.cutting.pieces.rows import share_in_rows
from piecewright.cutting.pieces.thread_map import filled_share

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.geometry import BoolArray, Region
    from piecewright.cutting.passes import Run
    from piecewright.cutting.pieces.company import Company
    from piecewright.cutting.pieces.following import Follower
    from piecewright.cutting.pieces.rings import Ring
    from piecewright.cutting.pieces.surroundings import Surroundings

HALF_COVERED: Final = 0.5
"""Ends of rows along less of a line look like a zigzag; a cover goes along more."""

IN_ROWS: Final = 0.7
"""Rows over this share of a shape fill it; the ends of rows do not reach its tips."""

SOLID: Final = 0.6
"""A fill leaves the edge and counters of a letter bare."""

INSET_MM: Final = 1.2
WHOLLY: Final = 0.95
BUT_TIPS: Final = 0.65
"""A line 3 mm inside passes a tip of 60 degrees at 6 mm; with more of the ring missed it is another shape."""


def coverage(followers: Sequence[Follower]) -> float:
    """Share of the ring along which any of the runs lies, 0 to 1.

    A line well inside cuts off the tips; it follows all of the ring if all of it lies along the ring.
    """
    if any(f.away_mm >= INSET_MM and f.at_home >= WHOLLY and f.coverage >= BUT_TIPS for f in followers):
        return 1.0
    return float(np.any([f.on for f in followers], axis=0).mean()) if followers else 0.0


def filled(
    ring: Ring, region: Region, followers: Sequence[Follower], company: Company
) -> tuple[float, float]:
    """How much of the inside is filled up to the end of the ring's block, and after it."""
    around = company.around
    other = np.ones(len(around.runs), dtype=np.bool_)
    # On narrow shapes the passes over a hole and over its outer line meet, and are no fill.
    other[[*ring.runs, *company.passes[ring.block]]] = False
    after = _until_held(ring, followers, around)
    return (
        filled_share(around.threads, region, np.asarray(other & (around.block <= ring.block))),
        filled_share(around.threads, region, np.asarray(other & after)),
    )


def in_rows(
    ring: Ring, region: Region, followers: Sequence[Follower], company: Company
) -> tuple[float, float]:
    """How much of the inside lies in rows by the end of the ring's block, and of those sewn after it."""
    around = company.around
    rows = np.ones(len(around.runs), dtype=np.bool_)
    rows[[*ring.runs, *company.lines_over(ring.block)]] = False
    after = _until_held(ring, followers, around)
    return (
        share_in_rows(around, np.asarray(rows & (around.block <= ring.block)), region),
        share_in_rows(around, np.asarray(rows & after), region),
    )


def _until_held(ring: Ring, followers: Sequence[Follower], around: Surroundings) -> BoolArray:
    """Runs of later blocks up to the one that first holds fabric: what is filled then is a picture on it."""
    holding = [around.runs[f.run].block for f in followers if _holds(f, around.runs[f.run])]
    return np.asarray(
        (around.block > ring.block) & (around.block <= min(holding, default=int(around.block.max())))
    )


def drawn_beside(index: int, company: Company) -> float:
    """Share of the other lines of a ring's block, by length, that are mere outlines of fills.

    Lines that are sewn together are of one kind, but in a narrow shape, or round the counter of a letter, a
    fill is not seen.
    """
    others = [number for number in company.in_block[company.rings[index].block] if number != index]
    whole = sum(company.rings[number].length_mm for number in others)
    drawn = sum(company.rings[number].length_mm for number in others if _outlines_fill(number, company))
    return drawn / whole if whole else 0.0


def counter_of_fill(index: int, company: Company) -> bool:
    """Whether a ring is the inner edge of a shape that is filled before anything holds fabric on it."""
    ring = company.rings[index]
    return any(
        _borders_fill(number, company)
        for number in company.in_block[ring.block]
        if number != index and goes_round(company.rings[number], ring)
    )


def _borders_fill(index: int, company: Company) -> bool:
    """Whether a ring goes round what is filled or sewn in rows before anything holds fabric on it."""
    ring, followers = company.rings[index], company.own[index]
    region = geo.Region(exterior=ring.points)
    if max(in_rows(ring, region, followers, company)) >= IN_ROWS:
        return True
    return max(filled(ring, region, followers, company)) >= SOLID


def _outlines_fill(index: int, company: Company) -> bool:
    """Whether a ring goes round straight rows and nothing covers it; asked of each ring once."""
    if index not in company.outlines_fill:
        ring, followers, runs = company.rings[index], company.own[index], company.around.runs
        bare = coverage([f for f in followers if runs[f.run].stitch in COVERING]) < HALF_COVERED
        region = geo.Region(exterior=ring.points)
        company.outlines_fill[index] = bare and max(in_rows(ring, region, followers, company)) >= IN_ROWS
    return company.outlines_fill[index]


def _holds(follower: Follower, run: Run) -> bool:
    return run.stitch is not Stitch.SATIN and follower.coverage > COVERS_HALF
