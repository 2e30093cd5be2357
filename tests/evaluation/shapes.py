"""Closed shapes as designers draw them; each is seeded, of the asked size, about the origin."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

import numpy as np
from scipy.interpolate import CubicSpline
from shapely.geometry import LineString, Polygon

from tests.evaluation.lines import Line, dense, largest

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.geometry import FloatArray


class Shape(Protocol):
    """Draws a shape whose longer side is ``size`` mm."""

    def __call__(self, rng: np.random.Generator, size: float) -> Line: ...


def _fit(points: FloatArray, size: float) -> Line:
    low, high = points.min(axis=0), points.max(axis=0)
    scaled = (points - (low + high) / 2) * (size / float((high - low).max()))
    if np.linalg.norm(scaled[0] - scaled[-1]) > 1e-9:
        scaled = np.vstack([scaled, scaled[:1]])
    return dense(scaled)


def _smooth(knots: Sequence[tuple[float, float]], n: int = 500) -> FloatArray:
    """A closed smooth curve through knots."""
    closed = np.array([*knots, knots[0]], dtype=float)
    steps = np.sqrt(np.linalg.norm(np.diff(closed, axis=0), axis=1))
    t = np.concatenate([[0], np.cumsum(steps)])
    return np.asarray(CubicSpline(t, closed, bc_type="periodic")(np.linspace(0, t[-1], n)))


def _open_smooth(knots: Sequence[tuple[float, float]], n: int = 120) -> FloatArray:
    points = np.array(knots, dtype=float)
    t = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    return np.asarray(CubicSpline(t, points)(np.linspace(0, t[-1], n)))


def _polar(radius: FloatArray) -> FloatArray:
    angle = np.linspace(0, 2 * np.pi, len(radius))
    return np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])


def circle(rng: np.random.Generator, size: float) -> Line:
    del rng
    return _fit(_polar(np.ones(721)), size)


def ellipse(rng: np.random.Generator, size: float) -> Line:
    return _fit(_polar(np.ones(721)) * [1.0, rng.uniform(0.45, 0.8)], size).turned(rng.uniform(0, 180))


def rectangle(rng: np.random.Generator, size: float) -> Line:
    h = rng.uniform(0.5, 1.0)
    return _fit(np.array([(0, 0), (1, 0), (1, h), (0, h), (0, 0)], dtype=float), size)


def rounded_rectangle(rng: np.random.Generator, size: float) -> Line:
    w, h = 1.0, rng.uniform(0.5, 1.0)
    box = Polygon([(0, 0), (w, 0), (w, h), (0, h)])
    r = rng.uniform(0.08, 0.2)
    return _fit(np.array(box.buffer(-r).buffer(r, quad_segs=32).exterior.coords), size)


def triangle(rng: np.random.Generator, size: float) -> Line:
    return _fit(np.array([(0, 0), (1, rng.uniform(0, 0.2)), (rng.uniform(0.3, 0.7), 0.9)]), size)


def hexagon(rng: np.random.Generator, size: float) -> Line:
    del rng
    angle = np.arange(7) * np.pi / 3
    return _fit(np.column_stack([np.cos(angle), np.sin(angle)]), size)


def star(rng: np.random.Generator, size: float) -> Line:
    n, inner = int(rng.integers(5, 9)), rng.uniform(0.42, 0.62)
    angle = np.arange(2 * n + 1) * np.pi / n + rng.uniform(0, 1)
    radius = np.where(np.arange(2 * n + 1) % 2 == 0, 1.0, inner)
    return _fit(np.column_stack([radius * np.cos(angle), radius * np.sin(angle)]), size)


def heart(rng: np.random.Generator, size: float) -> Line:
    t = np.linspace(0, 2 * np.pi, 721)
    x = 16 * np.sin(t) ** 3
    y = -(13 * np.cos(t) - 5 * np.cos(2 * t) - 2 * np.cos(3 * t) - np.cos(4 * t))
    return _fit(np.column_stack([x * rng.uniform(0.9, 1.1), y]), size).turned(rng.uniform(-25, 25))


def leaf(rng: np.random.Generator, size: float) -> Line:
    t = np.linspace(0, 1, 200)
    fat, skew = rng.uniform(0.22, 0.38), rng.uniform(0.8, 1.4)
    up = fat * np.sin(np.pi * t**skew)
    bend = rng.uniform(-0.15, 0.15) * np.sin(np.pi * t)
    top, bottom = np.column_stack([t, bend - up]), np.column_stack([t, bend + up])
    return _fit(np.vstack([top, bottom[-2::-1]]), size).turned(rng.uniform(0, 360))


def teardrop(rng: np.random.Generator, size: float) -> Line:
    t = np.linspace(0, 2 * np.pi, 500)
    x = (1 - np.cos(t)) / 2
    y = rng.uniform(0.5, 0.7) * np.sin(t) * np.sin(t / 2) ** rng.uniform(1.0, 1.6)
    return _fit(np.column_stack([x, y]), size).turned(rng.uniform(0, 360))


def blob(rng: np.random.Generator, size: float) -> Line:
    a = np.linspace(0, 2 * np.pi, 721)
    r = np.ones_like(a)
    for k in range(2, 6):
        r += rng.uniform(-0.18, 0.18) / (k - 0.8) * np.cos(k * a + rng.uniform(0, 6))
    return _fit(_polar(r), size)


def flower(rng: np.random.Generator, size: float) -> Line:
    n = int(rng.integers(5, 9))
    a = np.linspace(0, 2 * np.pi, 1441)
    return _fit(_polar(0.62 + 0.38 * np.abs(np.cos(n * a / 2)) ** rng.uniform(0.7, 1.2)), size)


def cloud(rng: np.random.Generator, size: float) -> Line:
    n = int(rng.integers(6, 10))
    a = np.linspace(0, 2 * np.pi, n + 1)[:-1]
    rim = np.column_stack([np.cos(a) * 1.5, np.sin(a)])
    puffs = [Polygon(_polar(np.ones(97)) * rng.uniform(0.55, 0.75) + p) for p in rim]
    whole = Polygon(_polar(np.ones(97)) * [1.5, 1.0])
    for puff in puffs:
        whole = largest(whole.union(puff))
    return _fit(np.array(whole.exterior.coords), size)


def block_letter(rng: np.random.Generator, size: float) -> Line:
    s = 0.3
    forms = {
        "L": [(0, 0), (s, 0), (s, 1 - s), (0.7, 1 - s), (0.7, 1), (0, 1)],
        "T": [(0, 0), (0.9, 0), (0.9, s), (0.6, s), (0.6, 1), (0.3, 1), (0.3, s), (0, s)],
        "E": [
            (0, 0), (0.7, 0), (0.7, 0.22), (s, 0.22), (s, 0.39), (0.6, 0.39), (0.6, 0.61),
            (s, 0.61), (s, 0.78), (0.7, 0.78), (0.7, 1), (0, 1),
        ],
        "H": [
            (0, 0), (s, 0), (s, 0.36), (0.6, 0.36), (0.6, 0), (0.9, 0), (0.9, 1), (0.6, 1),
            (0.6, 0.64), (s, 0.64), (s, 1), (0, 1),
        ],
    }  # fmt: skip
    return _fit(np.array(forms[str(rng.choice(sorted(forms)))]), size)


def house(rng: np.random.Generator, size: float) -> Line:
    e = rng.uniform(0.05, 0.15)
    points = [(e, 1), (e, 0.45), (0, 0.45), (0.5, 0), (1, 0.45), (1 - e, 0.45), (1 - e, 1)]
    return _fit(np.array(points), size)


def crescent(rng: np.random.Generator, size: float) -> Line:
    whole = Polygon(_polar(np.ones(361)))
    bite = Polygon(_polar(np.ones(361)) * rng.uniform(0.8, 0.9) + [rng.uniform(0.4, 0.6), 0])
    return _fit(np.array(largest(whole.difference(bite)).exterior.coords), size).turned(rng.uniform(0, 360))


def bird(rng: np.random.Generator, size: float) -> Line:
    body = [(0, 0), (0.12, -0.1), (0.3, -0.12), (0.5, 0.02), (0.75, 0.06), (1.0, -0.04)]
    belly = [(1.0, -0.04), (0.92, 0.14), (0.7, 0.26), (0.45, 0.36), (0.22, 0.28), (0.06, 0.08), (0, 0)]
    wobble = rng.uniform(-0.015, 0.015, (6, 2))
    wobble[[0, -1]] = 0
    top = _open_smooth([(x + dx, y + dy) for (x, y), (dx, dy) in zip(body, wobble, strict=True)])
    return _fit(np.vstack([top, _open_smooth(belly)[1:]]), size).turned(rng.uniform(-30, 30))


def gear(rng: np.random.Generator, size: float) -> Line:
    n, deep = int(rng.integers(7, 13)), rng.uniform(0.72, 0.82)
    points = []
    for k in range(n):
        for share, r in ((0.0, deep), (0.25, deep), (0.32, 1.0), (0.68, 1.0), (0.75, deep)):
            a = 2 * np.pi * (k + share) / n
            points.append((r * np.cos(a), r * np.sin(a)))
    return _fit(np.array(points), size)


def feather(rng: np.random.Generator, size: float) -> Line:
    t = np.linspace(0, 1, 300)
    wide = 0.16 * np.sin(np.pi * t**0.8) ** 0.7
    teeth = 1 - rng.uniform(0.08, 0.16) * ((t * rng.integers(7, 10)) % 1)
    bend = 0.1 * np.sin(np.pi * t)
    upper, lower = np.column_stack([t, bend - wide * teeth]), np.column_stack([t, bend + wide])
    return _fit(np.vstack([upper, lower[-2::-1]]), size).turned(rng.uniform(0, 360))


def fish(rng: np.random.Generator, size: float) -> Line:
    fat = rng.uniform(0.2, 0.28)
    body = [(0.0, 0.0), (0.2, -fat * 0.85), (0.42, -fat), (0.68, -0.09), (0.78, -0.05)]
    top = _open_smooth(body)
    tail = np.array([(1.0, -0.2), (0.93, 0.0), (1.0, 0.2)])
    return _fit(np.vstack([top, tail, top[::-1] * [1, -1]]), size).turned(rng.uniform(-20, 20))


def dresden_blade(rng: np.random.Generator, size: float) -> Line:
    w = rng.uniform(0.1, 0.16)
    return _fit(np.array([(-w, 1), (-0.25, 0.2), (0, 0), (0.25, 0.2), (w, 1)]), size).turned(
        rng.uniform(0, 360)
    )


def arc_band(rng: np.random.Generator, size: float) -> Line:
    a = np.linspace(0, rng.uniform(1.3, 2.6), 200)
    r0, r1 = rng.uniform(0.55, 0.7), 1.0
    outer = np.column_stack([r1 * np.cos(a), r1 * np.sin(a)])
    inner = np.column_stack([r0 * np.cos(a), r0 * np.sin(a)])
    return _fit(np.vstack([outer, inner[::-1]]), size)


def swash(rng: np.random.Generator, size: float) -> Line:
    """A round-ended S stroke, as in fat script letters."""
    k = rng.uniform(0.9, 1.1)
    knots = [(0.7, 0.1), (0.35, 0.0), (0.12, 0.22), (0.4, 0.48), (0.68, 0.75 * k), (0.4, 1.0), (0.05, 0.88)]
    stroke = LineString(_open_smooth(knots)).buffer(0.1, quad_segs=24)
    return _fit(np.array(stroke.exterior.coords), size)


def squirrel_bush(rng: np.random.Generator, size: float) -> Line:
    """A lumpy silhouette with deep bays, like an animal seen from the side."""
    n = 11
    a = np.sort(np.linspace(0, 2 * np.pi, n, endpoint=False) + rng.uniform(-0.15, 0.15, n))
    r = np.where(np.arange(n) % 2 == 0, rng.uniform(0.85, 1.0, n), rng.uniform(0.5, 0.7, n))
    return _fit(
        _smooth([(float(q * np.cos(b)), float(q * np.sin(b))) for q, b in zip(r, a, strict=True)]), size
    )


COMMON: tuple[Shape, ...] = (
    circle, ellipse, rectangle, rounded_rectangle, triangle, hexagon, star, heart, leaf, teardrop, blob,
    flower, cloud, block_letter, house, crescent,
)  # fmt: skip
"""Shapes of both parts."""

SCORED_ONLY: tuple[Shape, ...] = (
    bird, gear, feather, fish, dresden_blade, arc_band, swash, squirrel_bush,
)  # fmt: skip
"""Shapes that only the scored part has."""
