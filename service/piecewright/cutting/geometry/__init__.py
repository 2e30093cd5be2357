"""Plane geometry in mm, y down; the one package that knows the geometry engine.

Terms: a *ring* is a closed polygon given by its corners without repeating the first, (n, 2);
a *region* is a ring with holes; a *curve* is a closed chain of cubic Béziers, (m, 4, 2), each
segment starting where the one before ends and the last ending where the first starts.
"""

from piecewright.cutting.geometry.curves import (
    curve_area,
    curve_length,
    curved,
    flatten,
    flattened,
    straight,
    transformed,
    transformed_points,
)
from piecewright.cutting.geometry.regions import (
    area,
    bounds,
    common,
    contains,
    contains_points,
    convex_hull,
    difference,
    distance,
    distances_to_edge,
    grow,
    intersects,
    iou,
    largest,
    perimeter,
    regions_of,
    ring_is_simple,
    roomiest_point,
    stays_near,
    strip,
    union,
)
from piecewright.cutting.geometry.rings import point_count, ring_area, ring_length
from piecewright.cutting.geometry.values import (
    BoolArray,
    CurvedRegion,
    FloatArray,
    IntArray,
    Region,
    frozen,
)

__all__ = [
    "BoolArray",
    "CurvedRegion",
    "FloatArray",
    "IntArray",
    "Region",
    "area",
    "bounds",
    "common",
    "contains",
    "contains_points",
    "convex_hull",
    "curve_area",
    "curve_length",
    "curved",
    "difference",
    "distance",
    "distances_to_edge",
    "flatten",
    "flattened",
    "frozen",
    "grow",
    "intersects",
    "iou",
    "largest",
    "perimeter",
    "point_count",
    "regions_of",
    "ring_area",
    "ring_is_simple",
    "ring_length",
    "roomiest_point",
    "stays_near",
    "straight",
    "strip",
    "transformed",
    "transformed_points",
    "union",
]
