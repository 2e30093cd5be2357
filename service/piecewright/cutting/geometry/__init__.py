"""Plane geometry in mm, y down; the one package that knows the geometry engine.

Terms: a *ring* is a closed polygon given by its corners without repeating the first, (n, 2);
a *region* is a ring with holes; a *curve* is a closed chain of cubic Béziers, (m, 4, 2), each
segment starting where the one before ends and the last ending where the first starts.
"""

from piecewright.cutting.geometry.bands import (
    swept,
)
from piecewright.cutting.geometry.curves import (
    curve_area,
    curve_length,
    curved,
    flatten,
    flattened,
    scaled,
    straight,
    transformed,
    transformed_points,
)
from piecewright.cutting.geometry.engine import (
    Area,
)
from piecewright.cutting.geometry.measures import (
    area,
    away_from_edge,
    bounds,
    contains,
    contains_points,
    distance,
    distances_to_edge,
    intersects,
    largest,
    nearest_points,
    perimeter,
    ring_is_simple,
    roomiest_point,
    stays_near,
)
from piecewright.cutting.geometry.nearness import (
    count_pairs,
    count_within,
    nearest,
    neighbours,
    pairs_between,
    pairs_within,
)
from piecewright.cutting.geometry.regions import (
    closed_up,
    common,
    convex_hull,
    difference,
    faces,
    grow,
    joined_with,
    regions_of,
    simplified,
    strip,
    union,
)
from piecewright.cutting.geometry.rings import ring_area, ring_length, spaced
from piecewright.cutting.geometry.values import (
    BoolArray,
    CurvedRegion,
    FloatArray,
    IntArray,
    Region,
    frozen,
)

__all__ = [
    "Area",
    "BoolArray",
    "CurvedRegion",
    "FloatArray",
    "IntArray",
    "Region",
    "area",
    "away_from_edge",
    "bounds",
    "closed_up",
    "common",
    "contains",
    "contains_points",
    "convex_hull",
    "count_pairs",
    "count_within",
    "curve_area",
    "curve_length",
    "curved",
    "difference",
    "distance",
    "distances_to_edge",
    "faces",
    "flatten",
    "flattened",
    "frozen",
    "grow",
    "intersects",
    "joined_with",
    "largest",
    "nearest",
    "nearest_points",
    "neighbours",
    "pairs_between",
    "pairs_within",
    "perimeter",
    "regions_of",
    "ring_area",
    "ring_is_simple",
    "ring_length",
    "roomiest_point",
    "scaled",
    "simplified",
    "spaced",
    "stays_near",
    "straight",
    "strip",
    "swept",
    "transformed",
    "transformed_points",
    "union",
]
