"""Analytic shapes with known outlines and corners, and needle points as a digitiser would set them.

A *section* is a smooth stretch of an outline between two corners, sampled every 0.02 mm; a shape
without corners is one section that ends where it began.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from piecewright.cutting.geometry import FloatArray, Region, frozen

if TYPE_CHECKING:
    from collections.abc import Callable

SAMPLE_MM = 0.02
GRID_MM = 0.1
Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shape:
    """A closed outline.

    Attributes:
        name: What it is.
        sections: Dense points of each section, both ends included, (n, 2) mm.
        least_radius_mm: Smallest radius of curvature within a section.
    """

    name: str
    sections: tuple[FloatArray, ...]
    least_radius_mm: float

    @property
    def ring(self) -> FloatArray:
        """Dense points round the whole outline, (n, 2) mm."""
        return np.concatenate([section[:-1] for section in self.sections])

    @property
    def region(self) -> Region:
        """What lies inside."""
        return Region(exterior=frozen(self.ring))

    @property
    def corners(self) -> FloatArray:
        """Where sections meet, (k, 2) mm; none for a smooth outline."""
        if len(self.sections) == 1 and not self._turns_at_start():
            return np.zeros((0, 2))
        return np.array([section[0] for section in self.sections])

    @property
    def corner_turns_deg(self) -> FloatArray:
        """By how much the outline turns at each corner, (k,), 0 to 180."""
        if len(self.corners) == 0:
            return np.zeros(0)
        before = [self.sections[k - 1] for k in range(len(self.sections))]
        return np.array([_turn_deg(b, a) for b, a in zip(before, self.sections, strict=True)])

    def _turns_at_start(self) -> bool:
        return _turn_deg(self.sections[0], self.sections[0]) > 5


def _turn_deg(before: FloatArray, after: FloatArray) -> float:
    """Turn from the end of one section to the start of the next."""
    (bx, by), (ax, ay) = before[-1] - before[-3], after[2] - after[0]
    return float(np.degrees(abs(np.arctan2(bx * ay - by * ax, bx * ax + by * ay))))


def along(points: FloatArray) -> FloatArray:
    """Distance of each point of a polyline from its start, (n,) mm."""
    return np.append(0.0, np.cumsum(np.hypot(*np.diff(points, axis=0).T)))


def at(points: FloatArray, where: FloatArray) -> FloatArray:
    """Points of a polyline at given distances from its start."""
    s = along(points)
    return np.stack([np.interp(where, s, points[:, axis]) for axis in (0, 1)], axis=-1)


def needle_points(
    shape: Shape,
    stitch_mm: float,
    phase: float,
    *,
    noise_mm: float = 0.0,
    grid_mm: float = GRID_MM,
    shortest: float = 1.0,
) -> FloatArray:
    """Set stitches in each section, corners hit, start moved on, stored on the grid.

    Args:
        shape: The outline.
        stitch_mm: Longest stitch.
        phase: 0 to 1: where on the outline sewing begins, and where the grid lies.
        noise_mm: A needle's greatest error in x and in y, evenly distributed.
        grid_mm: Step in which points are stored; 0 for none.
        shortest: Shortest stitch as a share of the longest; at 1 those of a section are equal.

    Returns:
        Points in sewing order, the first not repeated, (n, 2) mm.
    """
    chance = np.random.default_rng(round(1000 * phase) + len(shape.name))
    rows = []
    for section in shape.sections:
        total = along(section)[-1]
        begins = _divided(total, stitch_mm, shortest, chance)
        shift = phase / len(begins) if len(shape.corners) == 0 else 0.0
        rows.append(at(section, (begins + shift) % 1 * total))
    points = np.concatenate(rows)
    points = np.roll(points, -int(phase * len(points)), axis=0)
    points = points + (0.37 * phase, 0.73 * phase) + chance.uniform(-1, 1, points.shape) * noise_mm
    if grid_mm:
        points = np.round(points / grid_mm) * grid_mm
    return points - (0.37 * phase, 0.73 * phase)


def _divided(total: float, stitch_mm: float, shortest: float, chance: np.random.Generator) -> FloatArray:
    """Where the stitches of a section begin, as shares of its length, the first at 0; (n,)."""
    count = max(int(np.ceil(2 * total / stitch_mm / (1 + shortest) - 1e-9)), 1)
    lengths = chance.uniform(shortest, 1, count) if shortest < 1 else np.ones(count)
    return np.append(0.0, np.cumsum(lengths)[:-1] / lengths.sum())


def _dense(points: FloatArray) -> FloatArray:
    """The same polyline with points every 0.02 mm."""
    total = along(points)[-1]
    return frozen(at(points, np.linspace(0, total, max(int(total / SAMPLE_MM), 8) + 1)))


def _least_radius(section: FloatArray) -> float:
    """Smallest radius of a section, from points 0.2 mm apart."""
    step = 10
    if len(section) < 3 * step:
        return np.inf
    d1, d2 = section[step:-step] - section[: -2 * step], section[2 * step :] - section[step:-step]
    cross = np.abs(d1[:, 0] * d2[:, 1] - d1[:, 1] * d2[:, 0])
    turn = np.arctan2(cross, (d1 * d2).sum(axis=1))
    size = (np.hypot(*d1.T) + np.hypot(*d2.T)) / 2
    return float(1 / max((turn / size).max(), 1e-9))


def from_sections(name: str, *sections: FloatArray) -> Shape:
    """A shape of sections that follow one another, (n, 2) mm each; a single one ends where it began."""
    dense = tuple(_dense(np.asarray(section)) for section in sections)
    whole = [*dense]
    if len(dense) == 1:
        whole = [np.concatenate([dense[0], dense[0][1:60]])]
    shape = Shape(name=name, sections=dense, least_radius_mm=0.0)
    if len(dense) == 1 and len(shape.corners):
        whole = [*dense]
    return Shape(name=name, sections=dense, least_radius_mm=min(map(_least_radius, whole)))


def _loop(name: str, place: Callable[[FloatArray], tuple[FloatArray, FloatArray]]) -> Shape:
    """A shape whose outline is one function of an angle."""
    t = np.linspace(0, 2 * np.pi, 20001)
    return from_sections(name, np.stack(place(t), axis=-1))


def _polar(name: str, radius: Callable[[FloatArray], FloatArray]) -> Shape:
    return _loop(name, lambda t: (radius(t) * np.cos(t), radius(t) * np.sin(t)))


def arc(centre: Point, radius: float, start_deg: float, end_deg: float) -> FloatArray:
    """Dense points of an arc; degrees count clockwise on the page (y down)."""
    t = np.radians(np.linspace(start_deg, end_deg, max(int(abs(end_deg - start_deg) * 10), 8) + 1))
    return np.stack([centre[0] + radius * np.cos(t), centre[1] + radius * np.sin(t)], axis=-1)


def polygon(name: str, *corners: Point) -> Shape:
    """A polygon."""
    ring = np.array([*corners, corners[0]], dtype=float)
    return from_sections(name, *(np.array(pair) for pair in pairwise(ring)))


def rounded_polygon(name: str, radius: float, *corners: Point) -> Shape:
    """A polygon whose corners are rounded by arcs."""
    ring = np.array(corners, dtype=float)
    parts = []
    for k, point in enumerate(ring):
        back, ahead = ring[k - 1] - point, ring[(k + 1) % len(ring)] - point
        back, ahead = back / np.hypot(*back), ahead / np.hypot(*ahead)
        half = np.arccos(np.clip(back @ ahead, -1, 1)) / 2
        middle = (back + ahead) / np.hypot(*(back + ahead))
        centre = point + middle * radius / np.sin(half)
        first, last = (point + side * radius / np.tan(half) - centre for side in (back, ahead))
        a, b = np.degrees(np.arctan2(first[1], first[0])), np.degrees(np.arctan2(last[1], last[0]))
        parts.append(arc((centre[0], centre[1]), radius, a, a + (b - a + 180) % 360 - 180))
    whole = np.concatenate(parts)
    return from_sections(name, np.vstack([whole, whole[:1]]))


def _star(tips: int, outer: float, inner: float) -> list[Point]:
    angles = np.pi * np.arange(2 * tips) / tips - np.pi / 2
    radii = np.where(np.arange(2 * tips) % 2 == 0, outer, inner)
    return [(float(r * np.cos(a)), float(r * np.sin(a))) for r, a in zip(radii, angles, strict=True)]


def _heart() -> Shape:
    """Two arcs above, two curves that meet in the tip below; corners at the notch and at the tip."""
    side = arc((16 * np.cos(np.radians(20)), 0), 16, -160, 20)
    x, y = side[-1]
    dx, dy = (side[-1] - side[-2]) / np.hypot(*(side[-1] - side[-2]))
    down = bezier((x, y), (x + 14 * dx, y + 14 * dy), (6, 37), (0, 45))
    right = np.vstack([side, down[1:]])
    left = right[::-1] * (-1, 1)
    return from_sections("heart", right, left)


def _leaf() -> Shape:
    return from_sections("leaf", arc((0, 25), 40, -128.7, -51.3), arc((0, -37.44), 40, 51.3, 128.7))


def _crescent() -> Shape:
    outer = arc((0, 0), 25, 60, 300)
    a, b = outer[-1], outer[0]
    radius = 28.0
    middle = (a + b) / 2
    half = np.hypot(*(b - a)) / 2
    centre = middle + np.array([np.sqrt(radius**2 - half**2), 0.0])
    first, last = np.degrees(np.arctan2(*(a - centre)[::-1])), np.degrees(np.arctan2(*(b - centre)[::-1]))
    inner = arc((centre[0], centre[1]), radius, first % 360, last % 360)
    return from_sections("crescent", outer, inner)


def _cloud() -> Shape:
    """Six discs round a middle; corners where neighbours meet, pointing inwards."""
    between, radius = 18.0, 11.5
    half = 120 - np.degrees(np.arccos(between / 2 / radius))
    centres = _star(6, between, between)[::2]
    facing = -90 + 60 * np.arange(6)
    petals = (arc(c, radius, f - half, f + half) for c, f in zip(centres, facing, strict=True))
    return from_sections("cloud", *petals)


def _gear(teeth: int, root: float, tip: float) -> list[Point]:
    corners = []
    for k in range(teeth):
        for share, radius in ((0.0, root), (0.2, tip), (0.5, tip), (0.7, root)):
            angle = 2 * np.pi * (k + share) / teeth
            corners.append((float(radius * np.cos(angle)), float(radius * np.sin(angle))))
    return corners


def _teardrop() -> Shape:
    """A disc with two tangents that meet in a tip."""
    half = np.degrees(np.arccos(14 / 34))
    round_part = arc((0, 0), 14, -90 + half, 270 - half)
    return from_sections("teardrop", np.vstack([(0, -34), round_part, (0, -34)]))


def bezier(*points: Point) -> FloatArray:
    """Dense points of a cubic Bézier."""
    t = np.linspace(0, 1, 2000)[:, None]
    a, b, c, d = (np.array(point, dtype=float) for point in points)
    return np.asarray((1 - t) ** 3 * a + 3 * (1 - t) ** 2 * t * b + 3 * (1 - t) * t * t * c + t**3 * d)


def _comma() -> Shape:
    """A large half circle, a small one, and a hollow back to the tip."""
    hollow = bezier((0, 0), (0, -9), (-11, -9), (-20, 0))
    return from_sections("comma", np.vstack([arc((0, 0), 20, 180, 360), arc((10, 0), 10, 0, 180), hollow]))


def _shield() -> Shape:
    right = arc((-20, 0), 45, 0, 63.61)
    left = arc((20, 0), 45, 116.39, 180)
    top = np.array([(-25, -15), (25, -15)])
    return from_sections("shield", top, np.vstack([top[1], right]), np.vstack([left, top[0]]))


def _puzzle() -> Shape:
    """A square with a round knob on one side and a round bay in the opposite one."""
    radius, deep, half = 7.0, 4.0, 20.0
    neck, open_deg = float(np.sqrt(radius**2 - deep**2)), 180 - float(np.degrees(np.arccos(deep / radius)))
    return from_sections(
        "puzzle piece",
        np.array([(-half, -half), (half, -half)]),
        np.array([(half, -half), (half, -neck)]),
        arc((half + deep, 0), radius, -open_deg, open_deg),
        np.array([(half, neck), (half, half)]),
        np.array([(half, half), (-half, half)]),
        np.array([(-half, half), (-half, neck)]),
        arc((deep - half, 0), radius, open_deg, -open_deg),
        np.array([(-half, -neck), (-half, -half)]),
    )


@cache
def shapes() -> tuple[Shape, ...]:
    """Outlines of pieces as they are sewn, 6 to 220 mm across."""
    cos, sin = np.cos, np.sin
    return (
        _polar("circle r 8", lambda t: 8 + 0 * t),
        _polar("circle r 20", lambda t: 20 + 0 * t),
        _polar("circle r 60", lambda t: 60 + 0 * t),
        _loop("ellipse 2:1", lambda t: (30 * cos(t), 15 * sin(t))),
        _loop("ellipse 3:1", lambda t: (40 * cos(t), 13.3 * sin(t))),
        _loop("egg", lambda t: (22 * cos(t) * (1 + 0.2 * sin(t)), 30 * sin(t))),
        _loop("superellipse", lambda t: _superellipse(t, 30, 20, 3.0)),
        _loop("kidney", lambda t: (24 * cos(t), 15 * sin(t) + 7 * cos(t) ** 2)),
        _polar("flower of 5", lambda t: 24 + 5 * cos(5 * t)),
        _polar("flower of 8", lambda t: 40 + 3.5 * cos(8 * t)),
        _polar("blob 1", lambda t: 30 + 4 * cos(2 * t + 0.3) + 3 * sin(3 * t) + 1.5 * cos(4 * t + 1)),
        _polar("blob 2", lambda t: 45 + 8 * sin(2 * t) + 4 * cos(3 * t + 2) + 2 * sin(5 * t)),
        _polar("blob 3", lambda t: 14 + 2 * cos(2 * t + 1) + 1.2 * sin(3 * t + 0.5)),
        _polar("hoop outline", lambda t: 105 + 3 * cos(4 * t)),
        rounded_polygon("rounded rectangle r 5", 5, (0, 0), (60, 0), (60, 36), (0, 36)),
        rounded_polygon("rounded rectangle r 10", 10, (0, 0), (180, 0), (180, 120), (0, 120)),
        rounded_polygon("stadium", 11.999, (0, 0), (60, 0), (60, 24), (0, 24)),
        rounded_polygon("rounded star", 4.5, *_star(5, 45, 20)),
        rounded_polygon("rounded triangle", 8, (0, 0), (50, 0), (25, 44)),
        polygon("square", (0, 0), (40, 0), (40, 40), (0, 40)),
        polygon("turned rectangle", (0, 0), (69.28, 40), (59.28, 57.32), (-10, 17.32)),
        polygon("triangle", (0, 0), (42, 5), (17, 38)),
        polygon("hexagon", *_star(3, 26, 26)),
        polygon("star", *_star(5, 40, 16)),
        polygon("L", (0, 0), (20, 0), (20, 30), (45, 30), (45, 50), (0, 50)),
        polygon("arrow", (0, -6), (35, -6), (35, -16), (60, 0), (35, 16), (35, 6), (0, 6)),
        polygon("house", (-20, 0), (0, -18), (20, 0), (20, 30), (-20, 30)),
        polygon("gear", *_gear(9, 24, 32)),
        _heart(),
        _leaf(),
        _crescent(),
        _cloud(),
        _teardrop(),
        _comma(),
        _shield(),
        _puzzle(),
        from_sections("half disc", arc((0, 0), 25, 0, 180), np.array([(-25, 0), (25, 0)])),
        from_sections(
            "quarter disc", np.array([(0, 0), (30, 0)]), arc((0, 0), 30, 0, 90), np.array([(0, 30), (0, 0)])
        ),
        from_sections(
            "small disc with a flat",
            arc((0, 0), 4.6, 40, 320),
            np.array([(3.524, -2.957), (3.524, 2.957)]),
        ),
    )


def _superellipse(t: FloatArray, a: float, b: float, power: float) -> tuple[FloatArray, FloatArray]:
    radius = (np.abs(np.cos(t) / a) ** power + np.abs(np.sin(t) / b) ** power) ** (-1 / power)
    return radius * np.cos(t), radius * np.sin(t)
