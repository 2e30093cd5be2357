"""Measures of regions, and what lies in, near or on them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final
from weakref import WeakKeyDictionary

import numpy as np
import shapely
from shapely.ops import polylabel

from piecewright.cutting.geometry.engine import Area, edges_of, parts_of, plain, polygon_of, regions_from
from piecewright.cutting.geometry.values import BoolArray, CurvedRegion, FloatArray, Region, frozen

if TYPE_CHECKING:
    from collections.abc import Iterable


_CORRIDOR_SEGMENTS: Final = 8
"""Segments of a quarter circle round a corner of a corridor: half a percent too narrow at most there."""

_BOXES: Final[WeakKeyDictionary[Region, tuple[float, float, float, float]]] = WeakKeyDictionary()
"""And for its bounds: every piece is asked for by every other."""


def area(region: Area) -> float:
    """Area in mm2, holes taken off."""
    return float(polygon_of(region).area)


def perimeter(region: Area) -> float:
    """Length of all edges in mm, holes included."""
    return float(polygon_of(region).length)


def bounds(region: Area) -> tuple[float, float, float, float]:
    """Smallest x, smallest y, largest x, largest y in mm, within 0.001 mm for curves; zeros for nothing."""
    if not isinstance(region, Region):
        return _bounds(region)
    if region not in _BOXES:
        _BOXES[region] = _bounds(region)
    return _BOXES[region]


def _bounds(region: Area) -> tuple[float, float, float, float]:
    rings = [plain(part).exterior for part in parts_of(region)]
    if not rings:
        return (0.0, 0.0, 0.0, 0.0)
    every = np.concatenate(rings)
    (x0, y0), (x1, y1) = every.min(axis=0), every.max(axis=0)
    return (float(x0), float(y0), float(x1), float(y1))


def distance(one: Area, other: Area) -> float:
    """Least distance between two regions in mm; 0 if they touch or overlap."""
    return float(shapely.distance(polygon_of(one), polygon_of(other)))


def contains(outer: Area, inner: Area, slack_mm: float = 0.0) -> bool:
    """Whether the inner region sticks out of the outer one nowhere by more than the slack."""
    shell, within = polygon_of(outer), polygon_of(inner)
    shapely.prepare(shell)
    # Growing a region takes far longer than seeing that it need not grow.
    return bool(shell.covers(within) or (slack_mm and shell.buffer(slack_mm).covers(within)))


def stays_near(ring: FloatArray, other: FloatArray, distance_mm: float) -> bool:
    """Whether a ring, corners and edges, lies nowhere farther than a distance from another ring's edge.

    Args:
        ring: (n, 2) mm, three points or more.
        other: The same.
        distance_mm: Over 0.
    """
    corridor = shapely.LinearRing(other).buffer(distance_mm, quad_segs=_CORRIDOR_SEGMENTS)
    shapely.prepare(corridor)
    return bool(corridor.covers(shapely.LinearRing(ring)))


def contains_points(region: Area, points: FloatArray) -> BoolArray:
    """Which of the points (n, 2) lie inside or on the edge, (n,)."""
    inside = np.zeros(len(points), dtype=np.bool_)
    for part in parts_of(region):
        polygon = polygon_of(part)
        shapely.prepare(polygon)
        inside |= shapely.intersects_xy(polygon, points[:, 0], points[:, 1])
    return inside


def intersects(one: Area, other: Area) -> bool:
    """Whether two regions touch or overlap."""
    return bool(polygon_of(one).intersects(polygon_of(other)))


def distances_to_edge(region: Area, points: FloatArray) -> FloatArray:
    """Distance of each point (n, 2) to the nearest edge in mm, positive inside, negative outside, (n,).

    Without an edge every point is infinitely far outside.
    """
    size = away_from_edge(region, points)
    return np.where(contains_points(region, points), size, -size)


def away_from_edge(region: Area, points: FloatArray) -> FloatArray:
    """Distance of each point (n, 2) to the nearest edge in mm, on either side, (n,); infinite without one."""
    if len(points) == 0:
        return np.zeros(0)
    tree = edges_of(region)
    if len(tree) == 0:
        return np.full(len(points), np.inf)
    return np.asarray(
        tree.query_nearest(shapely.points(points), return_distance=True, all_matches=False)[1], np.float64
    )


def nearest_points(one: Area, other: Area) -> FloatArray:
    """The point of each area that lies nearest to the other, (2, 2) mm."""
    return frozen(shapely.get_coordinates(shapely.shortest_line(polygon_of(one), polygon_of(other))))


def largest(regions: Iterable[Region]) -> Region | None:
    """The region with the largest area, the first of equals; None if there is none."""
    return max(regions, key=area, default=None)


def roomiest_point(region: Region | CurvedRegion) -> tuple[float, float, float]:
    """Where a label has most room: x, y and the radius of the largest disc inside, mm.

    Source: the pole of inaccessibility, found by quadtree subdivision (shapely's ``polylabel``), within
    a twentieth of the region's lesser extent.
    """
    whole = largest(regions_from(polygon_of(region)))
    if whole is None:  # a line has no inside
        x, y = plain(region).exterior.mean(axis=0).tolist()
        return (x, y, 0.0)
    polygon = shapely.Polygon(whole.exterior, whole.holes)
    x0, y0, x1, y1 = polygon.bounds
    place = polylabel(polygon, min(x1 - x0, y1 - y0) / 20)
    return (float(place.x), float(place.y), float(polygon.boundary.distance(place)))


def ring_is_simple(ring: FloatArray) -> bool:
    """Whether a ring (n, 2) has three points or more and never crosses or touches itself."""
    return len(ring) > 2 and bool(shapely.LinearRing(ring).is_simple)  # noqa: PLR2004 - a triangle
