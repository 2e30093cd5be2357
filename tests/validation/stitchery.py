"""A second stitching machine, which shares nothing with the finder nor with the evaluation's authors.

It sews every kind of stitch along paths known to the thousandth of a mm, so that kind, width, spacing and
stitch length can be set beside the truth. Every kind is described as the trade describes it (common practice,
no source): which holes the needle goes to, one after the other.

Terms: a *path* is drawn with a point every 0.02 mm; a *bite* is a stitch across it.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Final

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import LineString, Polygon

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.geometry import FloatArray

STEP_MM: Final = 0.02


UNDER: Final = 0.65
"""Width of the zigzag under a satin, in widths of the satin."""


@dataclass(frozen=True, eq=False)
class Path:
    """A curve drawn densely: points (n, 2) mm and the length from its start to each, (n,)."""

    points: FloatArray

    @property
    def arc(self) -> FloatArray:
        """Length from the start to each point."""
        return np.asarray(np.r_[0.0, np.cumsum(np.hypot(*np.diff(self.points, axis=0).T))])

    @property
    def length(self) -> float:
        """Whole length."""
        return float(self.arc[-1])

    @property
    def closed(self) -> bool:
        """Whether it ends where it begins."""
        return bool(np.hypot(*(self.points[-1] - self.points[0])) < STEP_MM)

    def at(self, where: FloatArray) -> FloatArray:
        """Points at these lengths; past the end of a closed path it goes round again."""
        place = where % self.length if self.closed else np.clip(where, 0, self.length)
        place = np.where((where == self.length) & self.closed, self.length, place)
        return np.column_stack([np.interp(place, self.arc, self.points[:, k]) for k in (0, 1)])

    def ways(self, where: FloatArray, over: float = 0.4) -> FloatArray:
        """Unit vectors along it at these lengths, looked at over so many mm."""
        low, high = where - over / 2, where + over / 2
        if not self.closed:
            low, high = np.maximum(low, 0), np.minimum(high, self.length)
        way = self.at(high) - self.at(low)
        return np.asarray(way / np.maximum(np.hypot(*way.T), 1e-9)[:, None])

    def normals(self, where: FloatArray, over: float = 0.4) -> FloatArray:
        """Unit vectors across it."""
        way = self.ways(where, over)
        return np.column_stack([-way[:, 1], way[:, 0]])

    def reversed(self) -> Path:
        """The other way round."""
        return Path(self.points[::-1])


def _drawn(corners: Sequence[Sequence[float]] | FloatArray) -> Path:
    points = np.asarray(corners, dtype=np.float64)
    parts = [
        np.linspace(a, b, max(int(np.hypot(*(b - a)) / STEP_MM), 1), endpoint=False)
        for a, b in pairwise(points)
    ]
    return Path(np.vstack([*parts, points[-1:]]))


def circle(radius: float) -> Path:
    """A circle."""
    angle = np.linspace(0, 2 * np.pi, int(2 * np.pi * radius / STEP_MM))
    return Path(radius * np.column_stack([np.cos(angle), np.sin(angle)]))


def star(tips: int, outer: float, inner: float) -> Path:
    """A star with sharp tips and notches."""
    angle = np.arange(2 * tips + 1) * np.pi / tips
    radius = np.where(np.arange(2 * tips + 1) % 2 == 0, outer, inner)
    return _drawn(radius[:, None] * np.column_stack([np.cos(angle), np.sin(angle)]))


def rounded(width: float, height: float, radius: float) -> Path:
    """A rectangle with round corners."""
    core = shapely.box(radius, radius, width - radius, height - radius)
    return _drawn(np.array(core.buffer(radius, quad_segs=64).exterior.coords))


def _wave(length: float, height: float, waves: float) -> Path:
    x = np.linspace(0, length, 8000)
    return _drawn(np.column_stack([x, height * np.sin(2 * np.pi * waves * x / length)]))


def _leaf(length: float, width: float) -> Path:
    t = np.linspace(0, np.pi, 2000)
    upper = np.column_stack([-length / 2 * np.cos(t), width / 2 * np.sin(t)])
    return _drawn(np.vstack([upper, (upper * [1, -1])[::-1]]))


def _heart(size: float) -> Path:
    t = np.linspace(0, 2 * np.pi, 4000)
    x = 16 * np.sin(t) ** 3
    y = -(13 * np.cos(t) - 5 * np.cos(2 * t) - 2 * np.cos(3 * t) - np.cos(4 * t))
    return _drawn(np.column_stack([x, y]) * size / 32)


def _spiral(inner: float, rounds: float) -> Path:
    """Round and round, 9 mm farther out each time."""
    t = np.linspace(0, rounds * 2 * np.pi, 8000)
    radius = inner + 9 * t / (2 * np.pi)
    return _drawn(np.column_stack([radius * np.cos(t), radius * np.sin(t)]))


PATHS: Final[dict[str, Path]] = {
    "straight": _drawn([(0, 0), (80, 0)]),
    "slanted": _drawn([(0, 0), (60, 37)]),
    "arc": Path(circle(40).points[:6000]),
    "circle-20": circle(20),
    "circle-8": circle(8),
    "dot-4": circle(4),
    "square": _drawn([(0, 0), (40, 0), (40, 40), (0, 40), (0, 0)]),
    "star": star(5, 28, 12),
    "wave": _wave(90, 6, 3),
    "rounded": rounded(50, 30, 4),
    "leaf": _leaf(50, 18),
    "heart": _heart(40),
    "spiral": _spiral(6.0, 2.0),
}
SMALL: Final = frozenset({"dot-4"})
"""Paths on which stitches of some width would fold over themselves."""
TIGHT: Final = frozenset({"star", "wave"})
"""Paths on which wide stitches would."""


# -- lines -----------------------------------------------------------------------------------------


def stops(path: Path, length: float, rng: np.random.Generator, uneven: float = 0.0) -> FloatArray:
    """Where the needle goes down along a path, (n,); sharp corners are always hit."""
    way = path.ways(np.minimum(path.arc + 0.01, path.length), 0.02)
    turn = np.abs(np.degrees(np.arccos(np.clip(np.einsum("ij,ij->i", way[1:], way[:-1]), -1, 1))))
    corners = path.arc[1:][turn > 25]
    ends = np.r_[0.0, corners[(corners > 0.5) & (corners < path.length - 0.5)], path.length]
    ends = ends[np.r_[True, np.diff(ends) > 0.5]]
    parts = []
    for a, b in pairwise(ends):
        n = max(round((b - a) / length), 1)
        inner = np.arange(1, n) + (rng.uniform(-uneven, uneven, n - 1) if uneven else 0.0)
        parts += [np.r_[a, a + (b - a) * inner / n]]
    return np.asarray(np.r_[np.concatenate(parts), path.length])


def run(path: Path, length: float, rng: np.random.Generator, uneven: float = 0.0) -> FloatArray:
    """A running stitch."""
    return path.at(stops(path, length, rng, uneven))


def to_and_fro(path: Path, length: float, rng: np.random.Generator, *, same_holes: bool) -> FloatArray:
    """A double run: there and back, in the same holes or between them."""
    there = stops(path, length, rng)
    back = there[::-1][1:] if same_holes else np.r_[(there[1:] + there[:-1])[::-1] / 2, 0.0]
    return path.at(np.r_[there, back])


def two_laps(path: Path, length: float, rng: np.random.Generator) -> FloatArray:
    """A closed line sewn round twice, the second lap in holes of its own."""
    one = stops(path, length, rng)
    return path.at(np.r_[one, path.length + (one[1:] + one[:-1]) / 2])


def bean(path: Path, length: float, times: int, rng: np.random.Generator) -> FloatArray:
    """Every stitch sewn so many times, an odd number: forward, back, forward."""
    on = run(path, length, rng)
    parts = [np.vstack([a if k % 2 == 0 else b for k in range(times)]) for a, b in pairwise(on)]
    return np.vstack([*parts, on[-1:]])


def sketch(path: Path, length: float, wobble: float, rng: np.random.Generator) -> FloatArray:
    """Two laps by a trembling hand, as in sketched drawings."""
    laps = 2 if path.closed else 1
    where = np.arange(0, laps * path.length, length)
    phase = rng.uniform(0, 6, 3)
    sway = sum(np.sin(where / period + phase[k]) for k, period in enumerate((3.1, 7.3, 12.7)))
    return np.asarray(path.at(where) + path.normals(where) * (wobble / 2 * sway)[:, None])


# -- across an edge --------------------------------------------------------------------------------


def zigzag(path: Path, width: float, spacing: float) -> FloatArray:
    """From side to side; ``spacing`` from one bite to the next on the same side."""
    n = max(round(path.length / spacing * 2), 2)
    where = np.linspace(0, path.length, n + 1)
    side = np.where(np.arange(n + 1) % 2 == 0, 0.5, -0.5) * width
    return path.at(where) + path.normals(where, min(width, 2.0)) * side[:, None]


def square_satin(path: Path, width: float, spacing: float) -> FloatArray:
    """Satin whose bites lie square to the path, out in one place and back beside it."""
    n = max(round(path.length / spacing), 2)
    where = np.linspace(0, path.length, n + 1)
    normal = path.normals(where, min(width, 2.0)) * width / 2
    left, right = path.at(where) + normal, path.at(where) - normal
    return np.stack([left, right], axis=1).reshape(-1, 2)


def split(points: FloatArray, longest: float, rng: np.random.Generator) -> FloatArray:
    """Long bites broken by penetrations that do not line up."""
    parts = []
    for a, b in pairwise(points):
        n = int(np.ceil(np.hypot(*(b - a)) / longest))
        share = (np.arange(1, n) + rng.uniform(-0.25, 0.25, n - 1)) / n
        parts.append(a + (b - a) * np.r_[0.0, share][:, None])
    return np.vstack([*parts, points[-1:]])


def in_columns(
    path: Path, width: float, spacing: float, columns: int, rng: np.random.Generator
) -> list[FloatArray]:
    """Satin in several columns without a cut, each reached by a run inside the one before."""
    bounds = np.linspace(0, path.length, columns + 1)
    parts = []
    for a, b in pairwise(bounds):
        inner = Path(path.points[(path.arc >= a) & (path.arc <= b)])
        parts += [run(inner, 2.5, rng), zigzag(inner.reversed(), width, spacing), run(inner, 2.5, rng)]
    return parts


def underlaid(path: Path, width: float, spacing: float, rng: np.random.Generator) -> list[FloatArray]:
    """A line down the middle and back as an open zigzag, then satin over both, without a cut."""
    under = zigzag(path.reversed(), UNDER * width, 2.0)
    return [run(path, 2.5, rng), under, zigzag(path, width, spacing)]


@dataclass(frozen=True)
class Tooth:
    """One bite of a blanket stitch.

    Attributes:
        times: How often it is sewn.
        open_mm: How wide it is open at the edge; 0 if it leaves and comes back by one hole.
        lean_mm: How far its tip lies ahead.
    """

    times: int = 1
    open_mm: float = 0.0
    lean_mm: float = 0.0


def blanket(path: Path, bite: float, spacing: float, inward: float, tooth: Tooth) -> FloatArray:
    """Along the edge with bites to one side, +1 or -1."""
    n = max(round(path.length / spacing), 3)
    where = np.linspace(0, path.length, n + 1)
    tip = path.at(where + tooth.lean_mm) + path.normals(where, min(bite, 2.0)) * bite * inward
    out, back = path.at(where - tooth.open_mm / 2), path.at(where + tooth.open_mm / 2)
    return np.stack([out, *[tip, back] * tooth.times], axis=1).reshape(-1, 2)


def battlement(path: Path, bite: float, spacing: float, inward: float, tooth: float) -> FloatArray:
    """Along the edge with open teeth, square at the tip."""
    n = max(round(path.length / spacing), 3)
    where = np.linspace(0, path.length, n + 1)[:-1]
    normal = path.normals(where + tooth / 2, min(bite, 2.0)) * bite * inward
    low, high = path.at(where), path.at(where + tooth)
    return np.stack([low, low + normal, high + normal, high], axis=1).reshape(-1, 2)


# -- figures ---------------------------------------------------------------------------------------


def figures(path: Path, figure: FloatArray, size: float, spacing: float) -> FloatArray:
    """A figure again and again along a path; (f, 2) along and across it, in sizes."""
    n = max(round(path.length / spacing), 2)
    where = np.linspace(0, path.length, n + 1)[: -1 if path.closed else None]
    way, normal = path.ways(where, 1.0), path.normals(where, 1.0)
    parts = path.at(where)[:, None] + size * (
        figure[None, :, :1] * way[:, None] + figure[None, :, 1:] * normal[:, None]
    )
    return np.asarray(parts.reshape(-1, 2))


def _rays(count: int) -> FloatArray:
    angle = np.arange(count) * 2 * np.pi / count
    tips = 0.5 * np.column_stack([np.cos(angle), np.sin(angle)])
    return np.stack([np.zeros_like(tips), tips], axis=1).reshape(-1, 2)


FIGURES: Final[dict[str, FloatArray]] = {
    "diamond": np.array([(0, 0), (0.3, 0.5), (0, 1), (-0.3, 0.5), (0, 0)]),
    "candlewick": np.vstack([_rays(8), np.zeros((1, 2))]),
    "knot": np.vstack([_rays(5), np.zeros((1, 2))]),
    "feather": np.array([(0, 0), (0.25, 0.6), (0, 0), (0.35, 0), (0.6, -0.6), (0.35, 0), (0.7, 0)]),
    "chain": np.array(
        [(0, 0), (0.4, 0.3), (0.85, 0.25), (1.1, 0), (0.85, -0.25), (0.4, -0.3), (0, 0), (0.5, 0.0), (1, 0)]
    ),
    "scroll": np.array([(0, 0), (0.3, 0.5), (0.75, 0.55), (0.85, 0.2), (0.55, 0.1), (0.5, 0.35), (0.9, 0.3)]),
    "vine": np.array(
        [
            (0, 0),
            (0.5, 0.2),
            (0.7, 0.7),
            (1.1, 0.8),
            (0.9, 0.4),
            (0.5, 0.2),
            (1, 0),
            (1.5, -0.2),
            (1.7, -0.7),
            (2.1, -0.8),
            (1.9, -0.4),
            (1.5, -0.2),
        ]
    ),
}


def crosses(path: Path, size: float) -> FloatArray:
    """A row of crosses along a path, without cuts."""
    return figures(path, np.array([(-0.5, -0.5), (0.5, 0.5), (-0.5, 0.5), (0.5, -0.5)]), size, size)


# -- areas -----------------------------------------------------------------------------------------

AREAS: Final[dict[str, Polygon]] = {
    "rectangle": shapely.box(0, 0, 42, 30),
    "disc": Polygon(circle(14).points[::20]),
    "star": Polygon(star(5, 26, 12).points[::20]),
    "heart": Polygon(_heart(34).points[::20]),
    "small": Polygon(circle(5).points[::10]),
    "ring": Polygon(circle(20).points[::20], [circle(9).points[::20]]),
}


NARROW: Final = frozenset({"star", "ring"})
"""Their rows end in tips and columns, which are as much satin as fill."""
OPEN: Final = frozenset({"rectangle", "disc"})
"""Wide enough all over for rows more than a millimetre apart."""


def _rows(area: Polygon, spacing: float, degrees: float) -> list[FloatArray]:
    """Ends of rows, to and fro, (2, 2) each; what lies beside a hole or notch is sewn side after side."""
    flat = affinity.rotate(area, -degrees, origin=(0, 0))
    x0, y0, x1, y1 = flat.bounds
    parts: list[list[FloatArray]] = []
    before: list[list[FloatArray]] = []
    for y in np.arange(y0 + spacing / 2, y1, spacing):
        cut = flat.intersection(LineString([(x0 - 1, y), (x1 + 1, y)]))
        spans = sorted(g.bounds[::2] for g in shapely.get_parts(cut) if g.length > 0.3)
        goes_on = len(spans) == len(before)
        now = before if goes_on else [[] for _ in spans]
        for part, (a, b) in zip(now, spans, strict=True):
            part.append(np.array([(a, y), (b, y)] if len(part) % 2 == 0 else [(b, y), (a, y)]))
        parts += [] if goes_on else now
        before = now
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    return [row @ np.array([[c, s], [-s, c]]) for part in parts for row in part]


def fill(area: Polygon, spacing: float, length: float, degrees: float) -> FloatArray:
    """Rows to and fro, their inner penetrations staggered."""
    parts = []
    for k, (a, b) in enumerate(_rows(area, spacing, degrees)):
        reach = float(np.hypot(*(b - a)))
        inner = np.arange((k % 4 / 4 + 0.1) * length, reach - 0.3, length)
        parts.append(a + (b - a) * np.r_[0.0, inner / reach, 1.0][:, None])
    return np.vstack(parts)


def stipple(area: Polygon, spacing: float, length: float, rng: np.random.Generator) -> FloatArray:
    """A line that wanders over an area in loops."""
    rows = _rows(area.buffer(-1.0), spacing, float(rng.uniform(0, 180)))
    parts = []
    for a, b in rows:
        reach = max(float(np.hypot(*(b - a))), 0.1)
        along = np.arange(0, reach, 0.2)
        way = (b - a) / reach
        sway = 0.35 * spacing * np.sin(along * 2 * np.pi / (2.5 * spacing))
        loop = 0.06 * spacing * np.cos(along * 4 * np.pi / (2.5 * spacing))
        parts.append(a + np.outer(along + loop, way) + np.outer(sway, [-way[1], way[0]]))
    return run(_drawn(np.vstack(parts)), length, rng)


def cross_area(area: Polygon, cell: float) -> FloatArray:
    """Crosses on a grid, row by row."""
    x0, y0, x1, y1 = area.bounds
    parts = []
    for j in range(int((y1 - y0) / cell)):
        columns = range(int((x1 - x0) / cell))
        for i in columns if j % 2 == 0 else reversed(columns):
            x, y = x0 + i * cell, y0 + j * cell
            if area.contains(shapely.box(x, y, x + cell, y + cell)):
                parts += [[(x, y), (x + cell, y + cell), (x, y + cell), (x + cell, y)]]
    return np.array(parts, dtype=np.float64).reshape(-1, 2)


# -- how it is finished ----------------------------------------------------------------------------


def tied(points: FloatArray, kind: str) -> FloatArray:
    """Ties at both ends: three tiny stitches to and fro, a small triangle, or none."""
    if kind == "none":
        return points
    small = {
        "back": [(0, 0), (0.7, 0), (0, 0), (0.7, 0), (0, 0)],
        "triangle": [(0, 0), (0.5, 0.4), (0.5, -0.4), (0, 0)],
    }
    ends = []
    for here, there in ((points[0], points[1]), (points[-1], points[-2])):
        way = (there - here) / max(float(np.hypot(*(there - here))), 1e-9)
        ends.append(here + np.array(small[kind]) @ np.array([way, [-way[1], way[0]]]))
    return np.vstack([ends[0], points[1:-1], ends[1]])


def as_sewn(points: FloatArray, noise: float, rng: np.random.Generator) -> FloatArray:
    """Needle points as a file holds them: trembling by so much, on a grid of 0.1 mm."""
    return np.asarray(np.round(points + rng.normal(0, noise, points.shape) * (noise > 0), 1))
