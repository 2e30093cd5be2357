"""Line ornaments in several threads, in which nothing is to be cut: lines cross, shadow and interlace."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from tests.evaluation import stitching
from tests.evaluation.lines import Line, dense
from tests.evaluation.shapes import circle, ellipse, heart, hexagon, rounded_rectangle, star, triangle
from tests.evaluation.situations.negatives import DETAIL, QUILTING, scattered

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from piecewright.cutting.geometry import FloatArray
    from tests.evaluation.studio import Studio


def _polar(radius: FloatArray) -> Line:
    angle = np.linspace(0, 2 * np.pi, len(radius))
    return dense(np.column_stack([radius * np.cos(angle), radius * np.sin(angle)]))


def _in_threads(studio: Studio, lines: Iterable[Line], threads: int) -> None:
    """Deal lines to threads in turn and sew each thread's lines in one block."""
    dealt = list(lines)
    for thread in range(threads):
        if thread:
            studio.halt()
        for line in dealt[thread::threads]:
            studio.sew(studio.running(studio.round(line), studio.stitch_for(line)), DETAIL)


def guilloche(studio: Studio) -> None:
    """Wavy rings in two or three threads, each shifted by a part of a wave, so that they plait."""
    rng = studio.rng
    threads, waves = int(rng.integers(2, 4)), int(rng.integers(5, 14))
    angle = np.linspace(0, 2 * np.pi, 1441)
    base, swing = float(rng.uniform(25, 45)), float(rng.uniform(1.2, 4.5))
    _in_threads(
        studio,
        (_polar(base + swing * np.sin(waves * angle + 2 * np.pi * k / threads)) for k in range(threads)),
        threads,
    )


def turned_polygons(studio: Studio) -> None:
    """Squares, triangles or stars turned about one middle, none by so much that it lies on another."""
    rng = studio.rng
    line = studio.shape(float(rng.uniform(60, 90)), hexagon, triangle, star, rounded_rectangle)
    count = int(rng.integers(3, 10))
    step = float(rng.uniform(4.0, 55.0 / (count - 1)))
    _in_threads(studio, (line.turned(step * k) for k in range(count)), int(rng.integers(2, 4)))


def nearly_round_ovals_turned(studio: Studio) -> None:
    """Ovals that are nearly circles, turned by small steps: the lines stay close together all round."""
    rng = studio.rng
    angle = np.linspace(0, 2 * np.pi, 1441)
    wide, flat = float(rng.uniform(26, 40)), float(rng.uniform(0.8, 0.93))
    oval = dense(np.column_stack([wide * np.cos(angle), wide * flat * np.sin(angle)]))
    count = int(rng.integers(4, 12))
    _in_threads(studio, (oval.turned(180.0 * k / count) for k in range(count)), 2)


def shadowed_drawing(studio: Studio) -> None:
    """The drawing once more in a paler thread, moved a little to one side."""
    rng = studio.rng
    lines = scattered(studio, int(rng.integers(1, 5)), 30, 60)
    way, far = float(rng.uniform(0, 2 * np.pi)), float(rng.uniform(1.8, 3.2))
    moved = [line.moved(far * float(np.cos(way)), far * float(np.sin(way))) for line in lines]
    for part in (lines, moved):
        for line in part:
            studio.sew(studio.running(studio.round(line), studio.stitch_for(line)), DETAIL)
        studio.halt()


def chain_of_links(studio: Studio) -> None:
    """Rings in a row, each through the next, two threads in turn."""
    rng = studio.rng
    link = studio.shape(float(rng.uniform(20, 34)), circle, ellipse)
    step = float(link.size[0]) * float(rng.uniform(0.6, 0.85))
    _in_threads(studio, (link.moved(k * step, 0) for k in range(int(rng.integers(4, 8)))), 2)


def spun_loops(studio: Studio) -> None:
    """A curve of a wheel rolling in a wheel, with many crossings; again in a second thread, turned."""
    rng = studio.rng
    lobes, arm = int(rng.integers(5, 11)), float(rng.uniform(0.35, 1.1))
    angle = np.linspace(0, 2 * np.pi, 2881)
    x = np.cos(angle) + arm * np.cos((lobes - 1) * angle) / 2
    y = np.sin(angle) - arm * np.sin((lobes - 1) * angle) / 2
    line = dense(np.column_stack([x, y]) * float(rng.uniform(24, 34)))
    _in_threads(studio, (line.turned(k * float(rng.uniform(2, 180.0 / lobes))) for k in range(2)), 2)


def overlapping_circles_quilted(studio: Studio) -> None:
    """Circles on a grid that pass through each other's middles, rows in turn in two threads."""
    radius = float(studio.rng.uniform(14, 22))
    spots = [(x * radius * 1.4142, y * radius * 1.4142) for y in range(3) for x in range(4)]
    for thread in range(2):
        if thread:
            studio.halt()
        for x, y in spots[thread::2]:
            ring = circle(studio.rng, 2 * radius).moved(x, y)
            studio.sew(stitching.run(studio.round(ring), 2.6, "even"), QUILTING)


def drifting_rings(studio: Studio) -> None:
    """Rings of growing size whose middles drift: they touch at one side and part at the other."""
    rng = studio.rng
    line = studio.shape(30.0, circle, ellipse, heart)
    step = float(rng.uniform(1.5, 3.5))
    grown = [line.grown(k * step).moved(k * step * float(rng.uniform(0.6, 1.0)), 0.0) for k in range(6)]
    _in_threads(studio, grown, int(rng.integers(2, 4)))


def over_and_under(studio: Studio) -> None:
    """Two outlines interlaced like a knot: each is cut off where it passes under the other."""
    rng = studio.rng
    one = studio.shape(float(rng.uniform(50, 70)), ellipse, rounded_rectangle, heart)
    lines = [one, one.turned(float(rng.choice([12.0, 30.0, 90.0])))]
    for k, line in enumerate(lines):
        if k:
            studio.halt()
        other = lines[1 - k].region.buffer(0).exterior
        under = 1.2
        where = np.arange(0, line.length, 0.5)
        away = shapely.distance(shapely.points(line.at(where)), other)
        ways = np.flatnonzero(np.diff((away < under).astype(int)) == 1)[k::2]
        for a, b in zip(ways, [*ways[1:], ways[0] + len(where)] if len(ways) else [], strict=True):
            path = line.part(float(a) * 0.5 + 2.4, float(b) * 0.5)
            studio.sew(studio.running(path, studio.author.stitch), DETAIL)


ORNAMENTS: tuple[Callable[[Studio], None], ...] = (
    guilloche,
    turned_polygons,
    nearly_round_ovals_turned,
    shadowed_drawing,
    chain_of_links,
    spun_loops,
    overlapping_circles_quilted,
    drifting_rings,
    over_and_under,
)
