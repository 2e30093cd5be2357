"""How a line or an area is stitched: needle points for a designer's curve, (n, 2) mm."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from tests.evaluation.lines import Line

if TYPE_CHECKING:
    from piecewright.cutting.geometry import FloatArray

Division = Literal["even", "corners", "fixed", "adaptive"]
"""Stitches of one length all along; corners always hit; a fixed length with a short one at the end;
corners hit and shorter stitches where the line bends."""

CHORD_MM = 0.08
"""How far an adaptive stitch may cut across a bend."""

LONGEST_STITCH_MM = 12.0
"""Formats hold no longer stitch (DST: 12.1 mm)."""


def divided(line: Line, length: float, division: Division) -> FloatArray:
    """Where on the line the needle goes down, as lengths."""
    if division == "fixed":
        where = np.arange(0.0, line.length, length)
        if line.length - where[-1] > 0.3:
            where = np.append(where, line.length)
        return where
    stops = [0.0, line.length]
    if division in {"corners", "adaptive"}:
        stops = [0.0, *[float(c) for c in line.corners if 0.3 < c < line.length - 0.3], line.length]
    parts = []
    for a, b in pairwise(stops):
        n = max(1, round((b - a) / (_adapted(line, a, b, length) if division == "adaptive" else length)))
        parts.append(a + (b - a) * np.arange(n) / n)
    return np.concatenate([*parts, [line.length]])


def _adapted(line: Line, first: float, last: float, length: float) -> float:
    """The length at which a stitch on this span's mean bend leaves the curve by no more than is allowed."""
    normals = line.normals(np.linspace(first + 0.5, max(last - 0.5, first + 0.6), 40))
    a, b = normals[:-1], normals[1:]
    turn = np.abs(np.arcsin(np.clip(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0], -1, 1))).sum()
    radius = (last - first) / max(float(turn), 1e-3)
    return float(np.clip(np.sqrt(8 * radius * CHORD_MM), min(1.0, length), length))


def run(line: Line, length: float, division: Division) -> FloatArray:
    """A plain running stitch."""
    return line.at(divided(line, length, division))


def there_and_back(line: Line, length: float, division: Division, shift: float = 0.0) -> FloatArray:
    """A double run: along the line and back, the way back with its own holes if shifted."""
    out = run(line, length, division)
    where = divided(line, length, division)[::-1]
    if shift:
        where = np.clip(where[1:-1] + shift * length, 0, line.length)
        where = np.concatenate([where, [0.0]])
        return np.vstack([out, line.at(where)])
    return np.vstack([out, out[-2::-1]])


def bean(line: Line, length: float, division: Division) -> FloatArray:
    """Each stitch sewn forth, back and forth again."""
    return thrice(run(line, length, division))


def thrice(points: FloatArray) -> FloatArray:
    """Each stitch between these points forth, back and forth; point k comes first at 3 k - 2."""
    pairs = np.stack([points[1:], points[:-1], points[1:]], axis=1).reshape(-1, 2)
    return np.vstack([points[:1], pairs])


def zigzag(line: Line, width: float, spacing: float, bias: float = 0.0) -> FloatArray:
    """From side to side; ``spacing`` is how far one stitch goes ahead, ``bias`` moves it to the left."""
    n = max(2, round(line.length / spacing))
    where = np.linspace(0, line.length, n + 1)
    side = np.where(np.arange(n + 1) % 2 == 0, 1.0, -1.0) * width / 2 + bias
    return line.at(where) + line.normals(where) * side[:, None]


def straight_satin(line: Line, width: float, spacing: float, bias: float = 0.0) -> FloatArray:
    """Satin whose bites lie square to the line: out and back at about the same place."""
    n = max(2, round(line.length / spacing))
    where = np.linspace(0, line.length, n + 1)
    normal = line.normals(where, span=1.6)
    left = line.at(where) + normal * (width / 2 + bias)
    right = line.at(where) - normal * (width / 2 - bias)
    return np.stack([left, right], axis=1).reshape(-1, 2)


def split(points: FloatArray, longest: float, rng: np.random.Generator) -> FloatArray:
    """Long stitches broken by penetrations that do not line up."""
    parts = [points[:1]]
    for a, b in pairwise(points):
        reach = float(np.linalg.norm(b - a))
        n = int(np.ceil(reach / longest))
        if n > 1:
            shares = (np.arange(1, n) + rng.uniform(-0.2, 0.2, n - 1)) / n
            parts.append(a + (b - a) * shares[:, None])
        parts.append(b[None])
    return np.vstack(parts)


def blanket(line: Line, bite: float, spacing: float, inward: float) -> FloatArray:
    """Along the edge with a bite into the piece at each step; ``inward`` is +1 or -1 times the normal."""
    n = max(3, round(line.length / spacing))
    where = np.linspace(0, line.length, n + 1)
    on = line.at(where)
    tips = on + line.normals(where) * bite * inward
    return np.stack([on, tips, on], axis=1).reshape(-1, 2)


def meander(region: Polygon, spacing: float, length: float, rng: np.random.Generator) -> list[FloatArray]:
    """Wavy lines that wander over the whole region row by row, without leaving it."""
    x0, y0, x1, y1 = region.bounds
    rows = max(2, int((y1 - y0) / spacing))
    phase = rng.uniform(0, 6, 2)
    points = []
    for k, y in enumerate(np.linspace(y0, y1, rows + 2)[1:-1]):
        xs = np.arange(x0, x1, length / 1.6)[:: -1 if k % 2 else 1]
        wave = np.sin(xs * 2.2 / spacing + phase[0] + k) + 0.4 * np.sin(xs / spacing + phase[1])
        points.append(np.column_stack([xs, y + spacing * 0.55 * wave]))
    every = np.vstack(points)
    every = every[shapely.contains_xy(region, every[:, 0], every[:, 1])]
    steps = shapely.linestrings(np.stack([every[:-1], every[1:]], axis=1))
    leaves = np.flatnonzero(~shapely.covers(region, steps)) + 1
    return [resampled(part, length) for part in np.split(every, leaves) if len(part) > 3]


def resampled(points: FloatArray, length: float) -> FloatArray:
    """The same way with stitches of about this length."""
    if len(points) < 2:
        return points
    return run(Line(points), length, "even")


def fill(region: Polygon, spacing: float, length: float, angle: float = 0.0) -> FloatArray:
    """Rows to and fro over the region, holes where they are."""
    middle = np.array(region.centroid.coords[0])
    c, s = np.cos(angle), np.sin(angle)
    turn = np.array([[c, s], [-s, c]])
    flat = Polygon(
        (np.array(region.exterior.coords) - middle) @ turn,
        [(np.array(hole.coords) - middle) @ turn for hole in region.interiors],
    )
    x0, y0, x1, y1 = flat.bounds
    points: list[FloatArray] = []
    for k, y in enumerate(np.arange(y0 + spacing / 2, y1, spacing)):
        cut = flat.intersection(LineString([(x0 - 1, y), (x1 + 1, y)]))
        spans = sorted(
            (g.bounds[0], g.bounds[2])
            for g in getattr(cut, "geoms", [cut])
            if g.geom_type == "LineString" and g.length > 0.2
        )
        for a, b in spans if k % 2 == 0 else spans[::-1]:
            first = a + (k % 4) / 4 * length
            inner = np.arange(first, b - 0.4, length)
            xs = np.unique(np.concatenate([[a], inner[inner > a + 0.4], [b]]))
            xs = xs if k % 2 == 0 else xs[::-1]
            points.append(np.column_stack([xs, np.full(len(xs), y)]))
    return np.asarray(np.vstack(points) @ turn.T + middle)


def cross_stitch(region: Polygon, cell: float) -> FloatArray:
    """Crosses on a grid."""
    x0, y0, x1, y1 = region.bounds
    points = []
    for j in range(int((y1 - y0) / cell)):
        columns = range(int((x1 - x0) / cell))
        for i in columns if j % 2 == 0 else reversed(columns):
            x, y = x0 + i * cell, y0 + j * cell
            if region.contains(shapely.Point(x + cell / 2, y + cell / 2)):
                points.append([(x, y), (x + cell, y + cell), (x + cell, y), (x, y + cell), (x, y)])
    return np.array([p for cross in points for p in cross], dtype=float)


def motif(line: Line, size: float, spacing: float) -> FloatArray:
    """A small closed motif again and again along a line."""
    n = max(2, round(line.length / spacing))
    where = np.linspace(0, line.length, n + 1)
    on, normal = line.at(where), line.normals(where)
    along = np.column_stack([normal[:, 1], -normal[:, 0]])
    steps = [(0, 0), (0.3, 0.5), (0, 1), (-0.3, 0.5), (0, 0)]
    return np.stack([on + size * (a * along + b * normal) for a, b in steps], axis=1).reshape(-1, 2)


def tie(points: FloatArray, kind: Literal["none", "back", "star"], *, at_end: bool) -> FloatArray:
    """Tie stitches at an end: three tiny ones back and forth, or a small star."""
    if kind == "none" or len(points) < 2:
        return points
    a, b = (points[-1], points[-2]) if at_end else (points[0], points[1])
    step = (b - a) / max(float(np.linalg.norm(b - a)), 1e-9)
    if kind == "back":
        small = np.array([a + step * 0.7, a, a + step * 0.7, a])
    else:
        side = np.array([-step[1], step[0]])
        small = np.array([a + step * 0.5, a - side * 0.4, a + side * 0.4, a])
    return np.vstack([points, small]) if at_end else np.vstack([points[:1], small, points[1:]])


def noisy(points: FloatArray, sigma: float, rng: np.random.Generator) -> FloatArray:
    """Needle points as a digitiser's hand or a converter leaves them."""
    return points + rng.normal(0, sigma, points.shape) if sigma else points
