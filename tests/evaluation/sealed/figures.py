"""Shapes that both halves may draw from: how shapes are made, not which."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from shapely import affinity
from shapely.geometry import LineString, Point, Polygon, box
from shapely.ops import unary_union

from tests.evaluation.sealed.curves import FloatArray, parts

if TYPE_CHECKING:
    from collections.abc import Sequence

    from shapely.geometry.base import BaseGeometry

Points = "Sequence[tuple[float, float]]"


def disc(x: float, y: float, r: float, squash: float = 1.0, turn: float = 0.0) -> Polygon:
    """A circle, or an oval."""
    return affinity.rotate(affinity.scale(Point(x, y).buffer(r, quad_segs=64), 1.0, squash), turn)


def card(x0: float, y0: float, x1: float, y1: float, r: float = 0.0) -> Polygon:
    """A rectangle, its corners rounded by ``r``."""
    return box(x0 + r, y0 + r, x1 - r, y1 - r).buffer(r, quad_segs=32) if r else box(x0, y0, x1, y1)


def knotted(points: Sequence[tuple[float, float]], sharp: Sequence[int] = ()) -> Polygon:
    """A smooth closed curve through points (Catmull-Rom); the points named are corners."""
    p = np.asarray(points, dtype=float)
    n = len(p)
    out: list[FloatArray] = []
    t = np.linspace(0, 1, 40, endpoint=False)[:, None]
    for k in range(n):
        a, b = p[k], p[(k + 1) % n]
        before = 2 * a - b if k in sharp else p[k - 1]
        after = 2 * b - a if (k + 1) % n in sharp else p[(k + 2) % n]
        m, q = (b - before) / 2, (after - a) / 2
        out.append(
            (2 * t**3 - 3 * t**2 + 1) * a
            + (t**3 - 2 * t**2 + t) * m
            + (3 * t**2 - 2 * t**3) * b
            + (t**3 - t**2) * q
        )
    return whole(Polygon(np.vstack(out)))


def polygon(points: Sequence[tuple[float, float]], r: float = 0.0) -> Polygon:
    """A polygon, its corners rounded by ``r``."""
    sharp = Polygon(points)
    return whole(sharp.buffer(-r).buffer(2 * r, quad_segs=24).buffer(-r, quad_segs=24)) if r else whole(sharp)


def whole(region: BaseGeometry) -> Polygon:
    """The largest polygon of what may have fallen apart."""
    return parts(region.buffer(0))[0]


def joined(*regions: Polygon) -> Polygon:
    """Regions melted into one."""
    return whole(unary_union(regions))


def less(region: Polygon, *others: Polygon) -> Polygon:
    """A region without others."""
    return whole(region.difference(unary_union(others)))


def strokes(
    lines: Sequence[Sequence[tuple[float, float]]], width: float, *, round_ends: bool = False
) -> Polygon:
    """Thick lines melted into one region, as a plain letter is drawn."""
    thick = [
        LineString(line).buffer(
            width / 2,
            cap_style="round" if round_ends else "square",
            join_style="round" if round_ends else "mitre",
            quad_segs=24,
        )
        for line in lines
    ]
    return whole(unary_union(thick))


def sized(region: Polygon, size: float) -> Polygon:
    """The region with its longer side ``size`` mm, around the origin."""
    x0, y0, x1, y1 = region.bounds
    k = size / max(x1 - x0, y1 - y0)
    return affinity.scale(affinity.translate(region, -(x0 + x1) / 2, -(y0 + y1) / 2), k, k, origin=(0, 0))


def at(region: Polygon, x: float, y: float, turn: float = 0.0) -> Polygon:
    """The region moved, and turned about its middle."""
    return affinity.translate(affinity.rotate(region, turn, origin=(0, 0)), x, y)


def flower(petals: int, r: float, depth: float) -> Polygon:
    """A rosette of round petals with notches between."""
    middle = disc(0, 0, r * (1 - depth))
    turns = 2 * np.pi * np.arange(petals) / petals
    return joined(middle, *(disc(r * 0.65 * np.cos(t), r * 0.65 * np.sin(t), r * 0.38) for t in turns))


def star(points: int, r: float, share: float) -> Polygon:
    """A star; ``share`` is the inner radius."""
    t = np.pi * np.arange(2 * points) / points - np.pi / 2
    radii = np.where(np.arange(2 * points) % 2 == 0, r, r * share)
    return Polygon(np.column_stack((radii * np.cos(t), radii * np.sin(t))))


def heart(size: float) -> Polygon:
    """A heart with a notch and a tip."""
    t = np.linspace(0, 2 * np.pi, 400, endpoint=False)
    xy = np.column_stack(
        (16 * np.sin(t) ** 3, -(13 * np.cos(t) - 5 * np.cos(2 * t) - 2 * np.cos(3 * t) - np.cos(4 * t)))
    )
    return sized(whole(Polygon(xy)), size)


def leaf(length: float, width: float) -> Polygon:
    """A leaf with two tips."""
    x = np.linspace(0, 1, 120)
    y = np.sin(np.pi * x) ** 0.9 * width / 2
    top = np.column_stack((x * length, -y))
    return at(whole(Polygon(np.vstack([top, np.column_stack((x * length, y * 0.8))[::-1]]))), -length / 2, 0)


def pebble(rng: np.random.Generator, size: float, rough: float = 0.18) -> Polygon:
    """A smooth random outline."""
    t = np.linspace(0, 2 * np.pi, 300, endpoint=False)
    r = 1 + sum(rough / k * np.sin(k * t + rng.uniform(0, 6)) for k in range(2, 6))
    return sized(whole(Polygon(np.column_stack((r * np.cos(t), r * np.sin(t))))), size)
