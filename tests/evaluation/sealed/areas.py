"""Ways to sew over an area: rows, wandering lines, rings inside each other."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from shapely import affinity
from shapely.geometry import LineString, MultiLineString

from tests.evaluation.sealed.curves import curve, inset, parts

if TYPE_CHECKING:
    from shapely.geometry import Polygon
    from shapely.geometry.base import BaseGeometry

    from tests.evaluation.sealed.curves import Curve, FloatArray

Row = tuple[float, float, float]


def rows(region: Polygon, gap: float, stitch: float, angle: float = 0.0) -> list[FloatArray]:
    """A tatami: rows to and fro, stitches staggered by thirds; a list, since arms are sewn one by one."""
    turned = affinity.rotate(region, -angle, origin=(0, 0))
    back = np.radians(angle)
    turn = np.array([[np.cos(back), np.sin(back)], [-np.sin(back), np.cos(back)]])
    return [_to_and_fro(arm, stitch) @ turn for arm in _arms(turned, gap)]


def _arms(region: Polygon, gap: float) -> list[list[Row]]:
    """Rows (y, from, to) that lie one above the other, as lists."""
    x0, y0, x1, y1 = region.bounds
    open_arms: list[list[Row]] = []
    done: list[list[Row]] = []
    for y in np.arange(y0 + gap / 2, y1, gap).tolist():
        cut = region.intersection(LineString([(x0 - 1, y), (x1 + 1, y)]))
        lines = [cut] if isinstance(cut, LineString) else list(getattr(cut, "geoms", ()))
        spans = [
            (y, line.coords[0][0], line.coords[-1][0])
            for line in lines
            if isinstance(line, LineString) and line.length > 0.2
        ]
        going = []
        for y_, a, b in spans:
            above = [arm for arm in open_arms if arm[-1][1] < b and arm[-1][2] > a]
            arm = above[0] if above else []
            if above:
                open_arms.remove(arm)
            arm.append((y_, a, b))
            going.append(arm)
        done += open_arms
        open_arms = going
    return [arm for arm in done + open_arms if len(arm) > 1]


def _to_and_fro(arm: list[Row], stitch: float) -> FloatArray:
    out: list[tuple[float, float]] = []
    for k, (y, a, b) in enumerate(arm):
        inner = np.arange(np.floor(a / stitch) * stitch + (k % 3) * stitch / 3, b, stitch)
        xs = [a, *(float(x) for x in inner if a + 0.5 < x < b - 0.5), b]
        out += [(x, y) for x in (xs if k % 2 == 0 else xs[::-1])]
    return np.array(out)


def wander(region: BaseGeometry, gap: float, rng: np.random.Generator) -> list[Curve]:
    """Stippling: a line that wanders to and fro in waves without crossing itself, clear of the edge."""
    out = []
    for room in parts(region.buffer(-gap / 2)):
        for arm in _arms(affinity.rotate(room, 30, origin=(0, 0)), gap):
            way = _waves(arm, gap, rng)
            back = np.array(affinity.rotate(LineString(way), -30, origin=(0, 0)).coords)
            line = LineString(back).intersection(room)
            lines = line.geoms if isinstance(line, MultiLineString) else [line]
            out += [
                curve(np.array(x.coords), closed=False)
                for x in lines
                if isinstance(x, LineString) and x.length > 8
            ]
    return out


def _waves(arm: list[Row], gap: float, rng: np.random.Generator) -> FloatArray:
    out = []
    phase = rng.uniform(0, 6)
    for k, (y, a, b) in enumerate(arm):
        xs = np.arange(a, b, 0.4)
        ys = y + gap * 0.42 * np.sin(xs / gap * 2.6 + phase)
        row = np.column_stack((xs, ys))
        out.append(row if k % 2 == 0 else row[::-1])
    return np.vstack(out)


def echoes(region: Polygon, gap: float, count: int) -> list[Curve]:
    """Rings around (inside if the gap is negative) a region, like waves around a stone."""
    out = []
    for k in range(1, count + 1):
        try:
            out.append(curve(np.array(inset(region, -gap * k).exterior.coords)))
        except IndexError:
            break
    return out


def across(region: BaseGeometry, gap: float, angle: float) -> list[Curve]:
    """Straight lines side by side, each ending where the region ends."""
    x0, y0, x1, y1 = region.bounds
    reach = max(x1 - x0, y1 - y0)
    out = []
    for y in np.arange(-reach, reach, gap).tolist():
        line = affinity.rotate(LineString([(-2 * reach, y), (2 * reach, y)]), angle, origin=(0, 0))
        cut = region.intersection(affinity.translate(line, (x0 + x1) / 2, (y0 + y1) / 2))
        lines = cut.geoms if isinstance(cut, MultiLineString) else [cut]
        out += [
            curve(np.array(one.coords), closed=False)
            for one in lines
            if isinstance(one, LineString) and one.length > 2
        ]
    return out
