"""Regions made from others: grown, joined, cut out of each other, or drawn by lines."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal

import numpy as np
import shapely

from piecewright.cutting.geometry.engine import Area, polygon_of, regions_from, sound
from piecewright.cutting.geometry.values import FloatArray, Region, frozen

if TYPE_CHECKING:
    from collections.abc import Iterable

    from shapely.geometry.base import BaseGeometry


ARC_SEGMENTS: Final = 32
"""Segments of a quarter circle round a corner: an arc of 3 mm is flattened within 0.001 mm."""

CLOSING_SEGMENTS: Final = 8
"""The same where gaps are closed: what comes out strays by half a percent of the radius."""

Joins = Literal["round", "mitre", "bevel"]


def grow(
    region: Area, distance_mm: float, *, joins: Joins = "round", mitre_limit: float = 1.5
) -> tuple[Region, ...]:
    """Move every edge outwards by a distance, or inwards by a negative one; holes shrink or grow.

    Args:
        region: What to grow.
        distance_mm: How far.
        joins: How outside corners are filled: an arc, a sharp corner, a cut corner.
        mitre_limit: How many distances a sharp corner may reach before it is cut.

    Returns:
        What is left, largest first; nothing if it vanishes.
    """
    grown = polygon_of(region).buffer(
        distance_mm, quad_segs=ARC_SEGMENTS, join_style=joins, mitre_limit=mitre_limit
    )
    return regions_from(grown)


def closed_up(region: Area, radius_mm: float) -> tuple[Region, ...]:
    """The area with gaps narrower than twice a radius closed (the closing of mathematical morphology).

    Source: J. Serra, Image Analysis and Mathematical Morphology, 1982.
    """
    wide = polygon_of(region).buffer(radius_mm, quad_segs=CLOSING_SEGMENTS)
    return regions_from(wide.buffer(-radius_mm, quad_segs=CLOSING_SEGMENTS))


def strip(path: FloatArray, half_width_mm: float, *, closed: bool = False) -> tuple[Region, ...]:
    """All that lies within a distance of a path (n, 2); a single point gives a disc."""
    if len(path) == 1:
        line: BaseGeometry = shapely.Point(path[0])
    else:
        line = shapely.LineString(np.vstack([path, path[:1]]) if closed else path)
    return regions_from(line.buffer(half_width_mm, quad_segs=ARC_SEGMENTS))


def union(regions: Iterable[Area]) -> tuple[Region, ...]:
    """What any of the regions covers."""
    return regions_from(shapely.union_all([polygon_of(region) for region in regions]))


def joined_with(first: Iterable[Region], others: Iterable[Region]) -> tuple[Region, ...]:
    """What the first regions cover, and those of the others that hang together with them by touching."""
    joined, left = [polygon_of(region) for region in first], [polygon_of(region) for region in others]
    fresh = joined
    while fresh and left:
        touching = set(shapely.STRtree(fresh).query(left, predicate="intersects")[0].tolist())
        fresh = [left[k] for k in sorted(touching)]
        left = [polygon for k, polygon in enumerate(left) if k not in touching]
        joined = joined + fresh
    return regions_from(shapely.union_all(joined))


def common(one: Area, other: Area) -> tuple[Region, ...]:
    """What both regions cover."""
    return regions_from(polygon_of(one).intersection(polygon_of(other)))


def difference(one: Area, other: Area) -> tuple[Region, ...]:
    """What the first covers and the second does not."""
    return regions_from(polygon_of(one).difference(polygon_of(other)))


def regions_of(rings: Iterable[FloatArray]) -> tuple[Region, ...]:
    """Regions from loose rings (n, 2) by even and odd: a ring inside another is its hole, and so on."""
    whole: BaseGeometry = shapely.Polygon()
    for ring in rings:
        whole = whole.symmetric_difference(sound(shapely.Polygon(ring)))
    return regions_from(whole)


def faces(lines: Iterable[FloatArray]) -> tuple[Region, ...]:
    """What open and closed lines, each (n, 2), enclose together: one region for each face between them.

    A closed line repeats its first point. Where lines cross they divide each other; loose ends are left out.
    """
    drawn = shapely.union_all([shapely.LineString(line) for line in lines])
    return regions_from(shapely.polygonize([drawn]))


def convex_hull(points: FloatArray) -> FloatArray:
    """Ring of the smallest convex region around points (n, 2); one or two points if they are in line."""
    hull = shapely.convex_hull(shapely.multipoints(points))
    if isinstance(hull, shapely.Polygon):
        return frozen(shapely.get_coordinates(hull)[:-1])
    return frozen(shapely.get_coordinates(hull))


def simplified(ring: FloatArray, tolerance_mm: float) -> FloatArray:
    """A ring (n, 2) with fewer points, none of which moved, that strays from the given one at most so far.

    Source: D. Douglas and T. Peucker, 1973, in the variant that keeps a simple ring simple.
    """
    simple = shapely.simplify(shapely.Polygon(ring), tolerance_mm, preserve_topology=True)
    return frozen(shapely.get_coordinates(simple)[:-1])
