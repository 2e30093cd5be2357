"""Nearest points, for arrays of any length."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from scipy.spatial import cKDTree

if TYPE_CHECKING:
    from piecewright.cutting.geometry.values import FloatArray, IntArray


def nearest(queries: FloatArray, points: FloatArray) -> tuple[FloatArray, IntArray]:
    """Distance from each query (q, d) to the nearest of some points (p, d), and which it is, both (q,)."""
    away, index = cKDTree(points).query(queries)
    return np.asarray(away, dtype=np.float64), np.asarray(index, dtype=np.int64)


def neighbours(
    queries: FloatArray, points: FloatArray, count: int, within_mm: float
) -> tuple[FloatArray, IntArray]:
    """Distances from queries (q, d) to the nearest points (p, d) within reach, and which, both (q, count).

    Where there are fewer, the distance is infinite and the index 0. Needs at least two to be asked for.
    """
    away, index = cKDTree(points).query(queries, k=count, distance_upper_bound=within_mm)
    far = np.asarray(away, dtype=np.float64)
    return far, np.where(np.isfinite(far), np.asarray(index, dtype=np.int64), 0)


def pairs_within(points: FloatArray, within_mm: float, most: int | None = None) -> IntArray:
    """Pairs of points within a distance of each other, (r, 2), the lower index first.

    None are given if there are more than ``most``, a point and itself and both orders counted.
    """
    tree = cKDTree(points)
    if most is not None and int(tree.count_neighbors(tree, within_mm)) > most:
        return np.zeros((0, 2), dtype=np.int64)
    return np.sort(np.asarray(tree.query_pairs(within_mm, output_type="ndarray"), dtype=np.int64), axis=1)


def pairs_between(queries: FloatArray, points: FloatArray, within_mm: float) -> tuple[IntArray, IntArray]:
    """Indices of all queries (q, d) and points (p, d) that are within a distance of each other, both (r,)."""
    near = cKDTree(queries).sparse_distance_matrix(cKDTree(points), within_mm, output_type="ndarray")
    return near["i"].astype(np.int64), near["j"].astype(np.int64)


def count_pairs(queries: FloatArray, points: FloatArray, within_mm: float) -> int:
    """How many pairs ``pairs_between`` would give, in far less time."""
    return int(cKDTree(queries).count_neighbors(cKDTree(points), within_mm))


def count_within(queries: FloatArray, points: FloatArray, within_mm: float) -> IntArray:
    """How many points (p, d) lie within a distance of each query (q, d), (q,)."""
    counts = cKDTree(points).query_ball_point(queries, within_mm, return_length=True)
    return np.asarray(counts, dtype=np.int64)
