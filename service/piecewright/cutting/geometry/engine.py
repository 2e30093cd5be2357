"""The geometry engine's own forms of regions, and back again.

Shapely's operations give a polygon, several, or nothing; here every one of them gives a tuple of regions,
largest first, exteriors clockwise on the page (y down) and holes the other way.

Terms: an *area* is a region bounded by rings or curves, or several regions as a tuple.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, TypeAlias, cast
from weakref import WeakKeyDictionary

import numpy as np
import shapely

from piecewright.cutting.geometry.curves import flattened
from piecewright.cutting.geometry.values import CurvedRegion, Region, frozen

if TYPE_CHECKING:
    from collections.abc import Sequence

    from shapely.geometry.base import BaseGeometry


FINE_MM: Final = 0.001
"""To how much curves are flattened before the engine looks at them: a hundredth of a stitch unit."""

LEAST_AREA_MM2: Final = 1e-6
"""Crumbs that rounding leaves of an intersection are no regions."""

TOGETHER: Final = 6
"""Neighbouring edges kept as one in a tree: building it takes a fifth of the time, asking it no longer."""

_POLYGONS: Final[WeakKeyDictionary[Region, BaseGeometry]] = WeakKeyDictionary()
"""The engine's form of each region for as long as the region lives: most are asked about many times."""

_EDGES: Final[WeakKeyDictionary[Region, shapely.STRtree]] = WeakKeyDictionary()
"""The same for the edges of a region, sorted for finding the nearest."""

Area: TypeAlias = Region | CurvedRegion | tuple[Region, ...]


def parts_of(region: Area) -> Sequence[Region | CurvedRegion]:
    """An area as a sequence of regions."""
    return region if isinstance(region, tuple) else (region,)


def plain(region: Region | CurvedRegion) -> Region:
    """The region as rings."""
    return flattened(region, FINE_MM) if isinstance(region, CurvedRegion) else region


def polygon_of(region: Area) -> BaseGeometry:
    """The area for the engine, repaired where its rings cross themselves."""
    if isinstance(region, tuple):
        return (
            shapely.union_all([polygon_of(part) for part in region])
            if len(region) != 1
            else polygon_of(region[0])
        )
    if isinstance(region, CurvedRegion):
        return _drawn(plain(region))
    if region not in _POLYGONS:
        _POLYGONS[region] = _drawn(region)
    return _POLYGONS[region]


def _drawn(region: Region) -> BaseGeometry:
    """A region for the engine."""
    if len(region.exterior) < 3:  # noqa: PLR2004 - no area without a triangle
        return shapely.Polygon()
    return sound(shapely.Polygon(region.exterior, [hole for hole in region.holes if len(hole) > 2]))  # noqa: PLR2004


def edges_of(region: Area) -> shapely.STRtree:
    """The edges of an area, sorted for finding the nearest."""
    if isinstance(region, tuple) and len(region) == 1:
        return edges_of(region[0])
    if not isinstance(region, Region):
        return _sorted(polygon_of(region))
    if region not in _EDGES:
        _EDGES[region] = _sorted(polygon_of(region))
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


def sound(polygon: shapely.Polygon) -> BaseGeometry:
    """A valid polygon; loops of a ring that crosses itself become parts of the plane of their own."""
    return (
        polygon if polygon.is_valid else shapely.make_valid(polygon, method="structure", keep_collapsed=False)
    )


def regions_from(geometry: BaseGeometry) -> tuple[Region, ...]:
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
