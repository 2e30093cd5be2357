"""Lines of one block that cannot all place fabric, since they lie on each other.

Terms: a ring is *crowded* by another of its block if the two cross and enclose much the same ground: fabric
laid on either would hide the other before the machine halts again, as in ornaments of turned shapes.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from piecewright.cutting import geometry as geo
from piecewright.cutting.pieces.claims import SAME_LINE, SAME_PLACE_MM, lies_along

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.geometry import Region
    from piecewright.cutting.pieces.rings import Ring

CROSSES_MM: Final = 0.5
"""A ring that lies on either side of another by as much crosses it; a hole lies within."""

OVER_AND_OVER: Final = 1.2
"""Shares that add up to more than the whole ground: none of it would be seen whole."""

MOST_SIBLINGS: Final = 60
"""More rings about one place are an ornament whatever their lines do; the first of them say so."""


def crowded(ring: Ring, region: Region, siblings: Sequence[Ring]) -> float:
    """How much of the smaller of two crossing lines of a block lies in the other; the most of all pairs.

    If several cross it, as in a rosette of rings, less of each will do.

    Args:
        ring: A line of the block.
        region: What it encloses.
        siblings: All closed lines of the block.
    """
    near = [other for other in siblings if other is not ring and other.box.meets(ring.box)]
    shared = [_shared(ring, region, other) for other in near[:MOST_SIBLINGS]]
    return max(max(shared, default=0.0), sum(shared) / OVER_AND_OVER)


def _shared(ring: Ring, region: Region, other: Ring) -> float:
    depth = geo.distances_to_edge(region, other.points)
    crosses = float(depth.min()) < -CROSSES_MM and float(depth.max()) > CROSSES_MM
    if not crosses or lies_along(ring, other, SAME_PLACE_MM) >= SAME_LINE:
        return 0.0
    theirs = geo.regions_of([other.points])
    smaller = min(geo.area(region), sum(geo.area(part) for part in theirs))
    return sum(geo.area(part) for part in geo.common(region, theirs)) / smaller if smaller else 0.0


def goes_round(outer: Ring, ring: Ring) -> bool:
    """Whether a line goes round another without touching it."""
    if not outer.box.holds(ring.box):
        return False
    depth = geo.distances_to_edge(geo.Region(exterior=outer.points), ring.points)
    return float(depth.min()) > CROSSES_MM
