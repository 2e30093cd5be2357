"""What would be hidden or sewn loose if fabric were laid on a line: signs that none is laid there.

Terms: *details* are stitches inside a line that belong to no piece; sewn between the line and what first
follows it, they would be sewn on loose fabric. *Hidden* lines are drawn inside a line before its halt and
never sewn again, so that fabric would hide them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting import geometry as geo
from piecewright.cutting.passes import AREAS, COVERING, LINES
from piecewright.cutting.pieces.belonging import COVERS_HALF
from piecewright.cutting.pieces.drawings import WITHIN_MM, thread_within
from piecewright.cutting.pieces.fills import coverage

if TYPE_CHECKING:
    from collections.abc import Mapping

    from piecewright.cutting.geometry import BoolArray, FloatArray, Region
    from piecewright.cutting.pieces.company import Company
    from piecewright.cutting.pieces.rings import Ring

NEARLY_ALL: Final = 0.9
"""Share of the needle points of a detail that lie inside; a tie or a corner may stick out."""

TO_THE_EDGE_MM: Final = -0.8
"""Rows and hatching reach to the curve that they fill, which long stitches cut off."""

DETAIL_MM: Final = 15.0
"""Thread of the smallest detail with a width: a dot 2 mm wide has as much."""

DRAWN_SHARE: Final = 0.3
"""Lines inside are details if they are as long as this share of the line around them ..."""

MAY_HOLD: Final = 0.65
"""... and if they reach over less than this share of its width or height; others may hold fabric, as quilting
does."""

OPEN_ROWS_MM: Final = 1.6
"""Rows farther apart may hold fabric as well."""

NEVER_AGAIN: Final = 0.3
"""Of a line of which less is sewn again nothing is."""


def details(index: int, company: Company) -> float:
    """How sure it is that a ring, or the other lines of its block, has details before anything follows it.

    Lines that are sewn together are of one kind: the share of the others, by length, counts as well.
    """
    block = company.in_block[company.rings[index].block]
    if _detailed(index, company):
        return 1.0
    whole = sum(company.rings[number].length_mm for number in block)
    return sum(company.rings[number].length_mm for number in block if _detailed(number, company)) / whole


def _detailed(index: int, company: Company) -> bool:
    """Whether details lie inside a ring; asked of each ring once."""
    if index not in company.detailed:
        company.detailed[index] = _has_details(company.rings[index], index, company)
    return company.detailed[index]


def _has_details(ring: Ring, index: int, company: Company) -> bool:
    around = company.around
    between = (around.block > ring.block) & (around.block < _followed_in(index, company)) & ~company.meant
    likely = np.flatnonzero(between & _may_lie_in(index, company))
    if not len(likely):
        return False
    region = geo.Region(exterior=ring.points)
    depths = {i: geo.distances_to_edge(region, around.runs[i].points) for i in likely.tolist()}
    inside = {i: depth for i, depth in depths.items() if _mostly(depth > TO_THE_EDGE_MM)}
    return any(_is_picture(i, depth, company) for i, depth in inside.items()) or _drawn(
        inside, index, company
    )


def _followed_in(index: int, company: Company) -> float:
    """The block by which half of a ring is followed; the ends of rows touch it here and there."""
    runs, own = company.around.runs, company.own[index]
    blocks = sorted({runs[f.run].block for f in own})
    return next(
        (b for b in blocks if coverage([f for f in own if runs[f.run].block <= b]) >= COVERS_HALF), 0.0
    )


def _mostly(inside: BoolArray) -> bool:
    return float(inside.mean()) >= NEARLY_ALL


def _is_picture(run: int, depth: FloatArray, company: Company) -> bool:
    """Whether a run is a fill, or a satin that does not lie along the ring."""
    one = company.around.runs[run]
    dense = 0 < one.spacing_mm < OPEN_ROWS_MM and company.around.length[run] >= DETAIL_MM
    return bool(dense) and (one.stitch in AREAS or (one.stitch in COVERING and _mostly(depth > WITHIN_MM)))


def _drawn(inside: Mapping[int, FloatArray], index: int, company: Company) -> bool:
    """Whether lines are drawn in a part of what a ring encloses."""
    around, ring = company.around, company.rings[index]
    lines = [i for i in inside if around.runs[i].stitch in LINES]
    drawn = sum(float(around.length[i] * (inside[i] > WITHIN_MM).mean()) for i in lines)
    if not lines or drawn < DRAWN_SHARE * ring.length_mm:
        return False
    size = around.high[lines].max(axis=0) - around.low[lines].min(axis=0)
    return bool((size < MAY_HOLD * (company.boxes[index][2:] - company.boxes[index][:2])).any())


def _may_lie_in(index: int, company: Company) -> BoolArray:
    """Which runs lie in the box of a ring, (r,)."""
    low, high = company.boxes[index][:2], company.boxes[index][2:]
    around = company.around
    return np.asarray(((around.low >= low) & (around.high <= high)).all(axis=1))


def hidden(ring: Ring, region: Region, company: Company) -> float:
    """Length of the lines that fabric would hide, as a share of the length around the ring.

    Args:
        ring: The line, its gaps closed.
        region: What it encloses.
        company: All lines of the design.
    """
    around = company.around
    lines = (around.block == ring.block) & around.free & ~company.meant & (around.overlaid < NEVER_AGAIN)
    box = np.array([[ring.box.x0, ring.box.y0], [ring.box.x1, ring.box.y1]])
    near = ((around.low <= box[1]) & (around.high >= box[0])).all(axis=1)
    return float(thread_within(np.flatnonzero(lines & near), region, around).sum()) / ring.length_mm
