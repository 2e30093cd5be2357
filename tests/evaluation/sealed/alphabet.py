"""A plain alphabet of thick strokes, and slab serifs for it; letters are 14 high before they are sized."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
from shapely.geometry import box
from shapely.ops import unary_union

from tests.evaluation.sealed.figures import sized, strokes, whole

if TYPE_CHECKING:
    from shapely.geometry import Polygon

BOWL = ((0.0, 0.0), (5.5, 0.0), (8.2, 1.4), (8.6, 3.5), (8.2, 5.6), (5.5, 7.0), (0.0, 7.0))
ROUND = (
    (4.0, 0.0),
    (6.8, 1.2),
    (8.4, 4.4),
    (8.4, 9.6),
    (6.8, 12.8),
    (4.0, 14.0),
    (1.2, 12.8),
    (-0.4, 9.6),
    (-0.4, 4.4),
    (1.2, 1.2),
    (4.0, 0.0),
)

GLYPHS: dict[str, tuple[tuple[tuple[float, float], ...], ...]] = {
    "A": (((0, 14), (4.5, 0), (9, 14)), ((1.8, 9.5), (7.2, 9.5))),
    "B": (((0, 14), (0, 0)), BOWL, tuple((x * 1.08, y + 7) for x, y in BOWL)),
    "D": (((0, 14), (0, 0)), tuple((x * 1.05, y * 2) for x, y in BOWL)),
    "E": (((8, 0), (0, 0), (0, 14), (8, 14)), ((0, 7), (6.5, 7))),
    "G": (
        (
            (8, 3),
            (6.5, 0.6),
            (3.5, 0),
            (0.8, 2.2),
            (0, 7),
            (0.8, 11.8),
            (3.5, 14),
            (6.8, 13),
            (8, 10),
            (8, 8),
            (5, 8),
        ),
    ),
    "H": (((0, 0), (0, 14)), ((9, 0), (9, 14)), ((0, 7), (9, 7))),
    "I": (((0, 0), (0, 14)),),
    "K": (((0, 0), (0, 14)), ((8, 0), (0.5, 7.5)), ((3, 5), (8.5, 14))),
    "L": (((0, 0), (0, 14), (7.5, 14)),),
    "M": (((0, 14), (0, 0), (5, 9), (10, 0), (10, 14)),),
    "N": (((0, 14), (0, 0), (8.5, 14), (8.5, 0)),),
    "O": (ROUND,),
    "P": (((0, 14), (0, 0)), BOWL),
    "Q": (ROUND, ((5, 10), (9, 15))),
    "R": (((0, 14), (0, 0)), BOWL, ((4, 7), (8.5, 14))),
    "S": (
        (
            (8, 2.5),
            (6, 0.2),
            (3, 0),
            (0.6, 1.8),
            (0.6, 4.6),
            (3, 6.6),
            (6, 7.6),
            (8.2, 9.8),
            (8, 12.4),
            (5.5, 14),
            (2.5, 14),
            (0, 11.5),
        ),
    ),
    "T": (((0, 0), (10, 0)), ((5, 0), (5, 14))),
    "U": (((0, 0), (0, 10), (1.4, 13), (4.4, 14), (7.4, 13), (8.8, 10), (8.8, 0)),),
    "Y": (((0, 0), (4.5, 7), (9, 0)), ((4.5, 7), (4.5, 14))),
    "Z": (((0, 0), (9, 0), (0, 14), (9, 14)),),
    "4": (((7, 14), (7, 0), (0, 9.5), (10, 9.5)),),
    "8": (tuple((x * 0.9 + 0.4, y / 2) for x, y in ROUND), tuple((x, y / 2 + 7) for x, y in ROUND)),
}


def letter(sign: str, size: float, weight: float = 3.0, *, soft: bool = False, slab: bool = False) -> Polygon:
    """A letter with its counters, its longer side ``size`` mm, around the origin."""
    region = strokes([_smoothed(line) for line in GLYPHS[sign]], weight, round_ends=soft)
    if slab:
        x0, y0, x1, y1 = region.bounds
        feet = [
            box(x - 2.2, y - 0.7, x + 2.2, y + 0.7) for line in GLYPHS[sign] for x, y in (line[0], line[-1])
        ]
        region = whole(
            unary_union(
                [
                    region,
                    *(f for f in feet if y0 - 3 < f.centroid.y < y1 + 3 and x0 - 3 < f.centroid.x < x1 + 3),
                ]
            )
        )
    return sized(region, size)


def _smoothed(line: tuple[tuple[float, float], ...]) -> list[tuple[float, float]]:
    """Strokes of many short legs are curves: their bends are cut off until none is left to see."""
    points = [np.array(p, dtype=float) for p in line]
    if len(points) < 6:
        return [(float(x), float(y)) for x, y in points]
    round_ = np.allclose(points[0], points[-1])
    for _ in range(5):
        legs = list(pairwise(points))
        cut = [q for a, b in legs for q in (a * 0.75 + b * 0.25, a * 0.25 + b * 0.75)]
        points = [*cut, cut[0]] if round_ else [points[0], *cut[1:-1], points[-1]]
    return [(float(x), float(y)) for x, y in points]
