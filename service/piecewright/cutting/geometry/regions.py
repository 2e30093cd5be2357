"""Regions and the geometry engine: areas, distances, growing and combining.

Where a function takes an *area*, it takes a region bounded by rings or curves, or several regions as a
tuple. Shapely's operations give a polygon, several, or nothing; here every one of them gives a tuple of
regions, largest first, exteriors clockwise on the page (y down) and holes the other way.
"""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING, Final, Literal, TypeAlias, cast
from weakref import WeakKeyDictionary

import numpy as np
import shapely
from shapely.ops import polylabel

from piecewright.cutting.geometry.curves import flattened
from piecewright.cutting.geometry.values import BoolArray, CurvedRegion, FloatArray, Region, frozen

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from shapely.geometry.base import BaseGeometry

FINE_MM: Final = 0.001
"""To how much curves are flattened before the engine looks at them: a hundredth of a stitch unit."""

ARC_SEGMENTS: Final = 32
"""Segments of a quarter circle round a corner: an arc of 3 mm is flattened within 0.001 mm."""

CLOSING_SEGMENTS: Final = 8
"""The same where gaps are closed: what comes out strays by half a percent of the radius."""

LEAST_AREA_MM2: Final = 1e-6
"""Crumbs that rounding leaves of an intersection are no regions."""

_CORRIDOR_SEGMENTS: Final = 8
"""Segments of a quarter circle round a corner of a corridor: half a percent too narrow at most there."""

SWEEP: Final = 40
"""Stitches taken together: so few that a band seldom crosses itself, so many that it stays quick."""

TOGETHER: Final = 6
"""Neighbouring edges kept as one in a tree: building it takes a fifth of the time, asking it no longer."""

_POLYGONS: Final[WeakKeyDictionary[Region, BaseGeometry]] = WeakKeyDictionary()
"""The engine's form of each region for as long as the region lives: most are asked about many times."""

_EDGES: Final[WeakKeyDictionary[Region, shapely.STRtree]] = WeakKeyDictionary()
"""The same for the edges of a region, sorted for finding the nearest."""

_BOXES: Final[WeakKeyDictionary[Region, tuple[float, float, float, float]]] = WeakKeyDictionary()
"""And for its bounds: every piece is asked for by every other."""

Area: TypeAlias = Region | CurvedRegion | tuple[Region, ...]
Joins = Literal["round", "mitre", "bevel"]


def area(region: Area) -> float:
    """Area in mm2, holes taken off."""
    return float(_polygon(region).area)


def perimeter(region: Area) -> float:
    """Length of all edges in mm, holes included."""
    return float(_polygon(region).length)


def bounds(region: Area) -> tuple[float, float, float, float]:
    """Smallest x, smallest y, largest x, largest y in mm, within 0.001 mm for curves; zeros for nothing."""
    if not isinstance(region, Region):
        return _bounds(region)
    if region not in _BOXES:
        _BOXES[region] = _bounds(region)
    return _BOXES[region]


def _bounds(region: Area) -> tuple[float, float, float, float]:
    rings = [_plain(part).exterior for part in _parts(region)]
    if not rings:
        return (0.0, 0.0, 0.0, 0.0)
    every = np.concatenate(rings)
    (x0, y0), (x1, y1) = every.min(axis=0), every.max(axis=0)
    return (float(x0), float(y0), float(x1), float(y1))


def distance(one: Area, other: Area) -> float:
    """Least distance between two regions in mm; 0 if they touch or overlap."""
    return float(shapely.distance(_polygon(one), _polygon(other)))


def contains(outer: Area, inner: Area, slack_mm: float = 0.0) -> bool:
    """Whether the inner region sticks out of the outer one nowhere by more than the slack."""
    shell, within = _polygon(outer), _polygon(inner)
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
    for part in _parts(region):
        polygon = _polygon(part)
        shapely.prepare(polygon)
        inside |= shapely.intersects_xy(polygon, points[:, 0], points[:, 1])
    return inside


def intersects(one: Area, other: Area) -> bool:
    """Whether two regions touch or overlap."""
    return bool(_polygon(one).intersects(_polygon(other)))


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
    tree = _edges(region)
    if len(tree) == 0:
        return np.full(len(points), np.inf)
    return np.asarray(
        tree.query_nearest(shapely.points(points), return_distance=True, all_matches=False)[1], np.float64
    )


def nearest_points(one: Area, other: Area) -> FloatArray:
    """The point of each area that lies nearest to the other, (2, 2) mm."""
    return frozen(shapely.get_coordinates(shapely.shortest_line(_polygon(one), _polygon(other))))


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
    grown = _polygon(region).buffer(
        distance_mm, quad_segs=ARC_SEGMENTS, join_style=joins, mitre_limit=mitre_limit
    )
    return _regions(grown)


def closed_up(region: Area, radius_mm: float) -> tuple[Region, ...]:
    """The area with gaps narrower than twice a radius closed (the closing of mathematical morphology).

    Source: J. Serra, Image Analysis and Mathematical Morphology, 1982.
    """
    wide = _polygon(region).buffer(radius_mm, quad_segs=CLOSING_SEGMENTS)
    return _regions(wide.buffer(-radius_mm, quad_segs=CLOSING_SEGMENTS))


def strip(path: FloatArray, half_width_mm: float, *, closed: bool = False) -> tuple[Region, ...]:
    """All that lies within a distance of a path (n, 2); a single point gives a disc."""
    if len(path) == 1:
        line: BaseGeometry = shapely.Point(path[0])
    else:
        line = shapely.LineString(np.vstack([path, path[:1]]) if closed else path)
    return _regions(line.buffer(half_width_mm, quad_segs=ARC_SEGMENTS))


def union(regions: Iterable[Area]) -> tuple[Region, ...]:
    """What any of the regions covers."""
    return _regions(shapely.union_all([_polygon(region) for region in regions]))


def joined_with(first: Iterable[Region], others: Iterable[Region]) -> tuple[Region, ...]:
    """What the first regions cover, and those of the others that hang together with them by touching."""
    joined, left = [_polygon(region) for region in first], [_polygon(region) for region in others]
    fresh = joined
    while fresh and left:
        touching = set(shapely.STRtree(fresh).query(left, predicate="intersects")[0].tolist())
        fresh = [left[k] for k in sorted(touching)]
        left = [polygon for k, polygon in enumerate(left) if k not in touching]
        joined = joined + fresh
    return _regions(shapely.union_all(joined))


def common(one: Area, other: Area) -> tuple[Region, ...]:
    """What both regions cover."""
    return _regions(_polygon(one).intersection(_polygon(other)))


def difference(one: Area, other: Area) -> tuple[Region, ...]:
    """What the first covers and the second does not."""
    return _regions(_polygon(one).difference(_polygon(other)))


def regions_of(rings: Iterable[FloatArray]) -> tuple[Region, ...]:
    """Regions from loose rings (n, 2) by even and odd: a ring inside another is its hole, and so on."""
    whole: BaseGeometry = shapely.Polygon()
    for ring in rings:
        whole = whole.symmetric_difference(_sound(shapely.Polygon(ring)))
    return _regions(whole)


def faces(lines: Iterable[FloatArray]) -> tuple[Region, ...]:
    """What open and closed lines, each (n, 2), enclose together: one region for each face between them.

    A closed line repeats its first point. Where lines cross they divide each other; loose ends are left out.
    """
    drawn = shapely.union_all([shapely.LineString(line) for line in lines])
    return _regions(shapely.polygonize([drawn]))


def largest(regions: Iterable[Region]) -> Region | None:
    """The region with the largest area, the first of equals; None if there is none."""
    return max(regions, key=area, default=None)


def roomiest_point(region: Region | CurvedRegion) -> tuple[float, float, float]:
    """Where a label has most room: x, y and the radius of the largest disc inside, mm.

    Source: the pole of inaccessibility, found by quadtree subdivision (shapely's ``polylabel``), within
    a twentieth of the region's lesser extent.
    """
    whole = largest(_regions(_polygon(region)))
    if whole is None:  # a line has no inside
        x, y = _plain(region).exterior.mean(axis=0).tolist()
        return (x, y, 0.0)
    polygon = shapely.Polygon(whole.exterior, whole.holes)
    x0, y0, x1, y1 = polygon.bounds
    place = polylabel(polygon, min(x1 - x0, y1 - y0) / 20)
    return (float(place.x), float(place.y), float(polygon.boundary.distance(place)))


def convex_hull(points: FloatArray) -> FloatArray:
    """Ring of the smallest convex region around points (n, 2); one or two points if they are in line."""
    hull = shapely.convex_hull(shapely.multipoints(points))
    if isinstance(hull, shapely.Polygon):
        return frozen(shapely.get_coordinates(hull)[:-1])
    return frozen(shapely.get_coordinates(hull))


def swept(path: FloatArray) -> tuple[Region, ...]:
    """What lies between the threads of stitches that go to and fro: satin, zigzag, blanket.

    Where each stitch turns back on the one before, the band is bounded by every other needle point on
    either side; elsewhere (prongs, stitches split in two) by the hulls of five points in a row.

    Args:
        path: Needle points in sewing order, (n, 2) mm.
    """
    if len(path) < 3:  # noqa: PLR2004 - one stitch sweeps nothing
        return ()
    starts = range(0, len(path) - 2, SWEEP)
    banded = _are_bands(path, starts)
    parts: list[BaseGeometry] = []
    for is_band, group in groupby(zip(starts, banded, strict=True), key=lambda pair: pair[1]):
        begins = [begin for begin, _ in group]
        if is_band:
            parts += _bands(path[begins[0] : begins[-1] + SWEEP + 2])
        else:
            parts += [hull for begin in begins for hull in _hulls(path[begin : begin + SWEEP + 2])]
    return _regions(shapely.union_all(parts))


def _are_bands(path: FloatArray, starts: Sequence[int]) -> list[bool]:
    """Whether each of the few stitches from each start turns back on the one before, and bounds a band."""
    steps = np.diff(path, axis=0)
    straight_on = np.append(0, np.cumsum((steps[1:] * steps[:-1]).sum(axis=1) >= 0))
    ends = np.minimum(np.array(starts) + SWEEP, len(path) - 2)
    turning = straight_on[ends] == straight_on[starts]
    bands = [_band(path[begin : begin + SWEEP + 2]) for begin in np.array(starts)[turning].tolist()]
    turning[turning] = shapely.is_valid(np.asarray(bands, dtype=np.object_))
    return [bool(each) for each in turning]


def _band(path: FloatArray) -> shapely.Polygon:
    """What is bounded by every other needle point on either side."""
    return shapely.Polygon(np.vstack([path[0::2], path[1::2][::-1]]))


def _bands(path: FloatArray) -> list[BaseGeometry]:
    """Few polygons that cover a band and do not cross themselves: short ones would take long to join."""
    band = _band(path)
    chunks = -(-(len(path) - 2) // SWEEP)
    if chunks == 1 or band.is_valid:
        return [band]
    half = chunks // 2 * SWEEP
    return _bands(path[: half + 2]) + _bands(path[half:])


def _hulls(path: FloatArray) -> list[BaseGeometry]:
    """The hulls of five points in a row, which overlap."""
    width = min(len(path), 5)
    windows = np.lib.stride_tricks.sliding_window_view(path, width, axis=0).swapaxes(1, 2)
    hulls = np.asarray(shapely.convex_hull(shapely.multipoints(windows)), dtype=np.object_)
    return list(hulls[shapely.area(hulls) > 0])


def simplified(ring: FloatArray, tolerance_mm: float) -> FloatArray:
    """A ring (n, 2) with fewer points, none of which moved, that strays from the given one at most so far.

    Source: D. Douglas and T. Peucker, 1973, in the variant that keeps a simple ring simple.
    """
    simple = shapely.simplify(shapely.Polygon(ring), tolerance_mm, preserve_topology=True)
    return frozen(shapely.get_coordinates(simple)[:-1])


def ring_is_simple(ring: FloatArray) -> bool:
    """Whether a ring (n, 2) has three points or more and never crosses or touches itself."""
    return len(ring) > 2 and bool(shapely.LinearRing(ring).is_simple)  # noqa: PLR2004 - a triangle


def _parts(region: Area) -> Sequence[Region | CurvedRegion]:
    """An area as a sequence of regions."""
    return region if isinstance(region, tuple) else (region,)


def _plain(region: Region | CurvedRegion) -> Region:
    """The region as rings."""
    return flattened(region, FINE_MM) if isinstance(region, CurvedRegion) else region


def _polygon(region: Area) -> BaseGeometry:
    """The area for the engine, repaired where its rings cross themselves."""
    if isinstance(region, tuple):
        return (
            shapely.union_all([_polygon(part) for part in region])
            if len(region) != 1
            else _polygon(region[0])
        )
    if isinstance(region, CurvedRegion):
        return _drawn(_plain(region))
    if region not in _POLYGONS:
        _POLYGONS[region] = _drawn(region)
    return _POLYGONS[region]


def _drawn(region: Region) -> BaseGeometry:
    """A region for the engine."""
    if len(region.exterior) < 3:  # noqa: PLR2004 - no area without a triangle
        return shapely.Polygon()
    return _sound(shapely.Polygon(region.exterior, [hole for hole in region.holes if len(hole) > 2]))  # noqa: PLR2004


def _edges(region: Area) -> shapely.STRtree:
    """The edges of an area, sorted for finding the nearest."""
    if not isinstance(region, Region):
        return (
            _edges(region[0]) if isinstance(region, tuple) and len(region) == 1 else _sorted(_polygon(region))
        )
    if region not in _EDGES:
        _EDGES[region] = _sorted(_polygon(region))
    return _EDGES[region]


def _sorted(geometry: BaseGeometry) -> shapely.STRtree:
    """Every edge of some polygons in a tree, a few neighbours together."""
    coordinates, ring = shapely.get_coordinates(
        shapely.get_rings(shapely.get_parts(geometry)), return_index=True
    )
    joined = np.flatnonzero(ring[1:] == ring[:-1])
    first = np.flatnonzero(np.diff(ring[joined], prepend=-1))
    place = np.arange(len(joined)) - np.repeat(first, np.diff(np.append(first, len(joined))))
    begins = joined[place % TOGETHER == 0]
    ends = np.searchsorted(ring, ring[begins], side="right") - 1
    path = np.minimum(begins[:, None] + np.arange(TOGETHER + 1), ends[:, None])
    return shapely.STRtree(np.asarray(shapely.linestrings(coordinates[path]), dtype=np.object_))


def _sound(polygon: shapely.Polygon) -> BaseGeometry:
    """A valid polygon; loops of a ring that crosses itself become parts of the plane of their own."""
    return (
        polygon if polygon.is_valid else shapely.make_valid(polygon, method="structure", keep_collapsed=False)
    )


def _regions(geometry: BaseGeometry) -> tuple[Region, ...]:
    """The polygons of whatever the engine gave."""
    parts = [part for part in shapely.get_parts(shapely.get_parts(geometry)) if part.geom_type == "Polygon"]
    kept = [cast("shapely.Polygon", part) for part in parts if part.area > LEAST_AREA_MM2]
    kept.sort(key=lambda part: -part.area)
    return tuple(_region(part) for part in kept)


def _region(polygon: shapely.Polygon) -> Region:
    """One polygon, exterior clockwise on the page (counter-clockwise in the engine's y up)."""
    rings = shapely.get_rings(shapely.orient_polygons(polygon, exterior_cw=False))
    exterior, *holes = (frozen(shapely.get_coordinates(ring)[:-1]) for ring in rings)
    region = Region(exterior=exterior, holes=tuple(holes))
    _POLYGONS[region] = polygon
    return region
