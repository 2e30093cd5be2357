"""Drawings whose outlines are sewn once more in a later thread, in which nothing is to be cut."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from tests.evaluation import stitching
from tests.evaluation.lines import Line, dense
from tests.evaluation.shapes import blob, circle, ellipse, heart, hexagon
from tests.evaluation.situations.negatives import DETAIL, FILL, scattered

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from tests.evaluation.studio import Studio


def _outlines(studio: Studio, lines: Sequence[Line], *, bean: bool) -> None:
    for line in lines:
        length = studio.stitch_for(line)
        path = studio.round(line)
        points = stitching.bean(path, length, "even") if bean else studio.running(path, length)
        studio.sew(points, DETAIL)


def shadow_line_outside(studio: Studio) -> None:
    """The outline once more, 0.8 to 1.2 mm outside the first, in a darker thread."""
    lines = scattered(studio, int(studio.rng.integers(1, 4)))
    out = float(studio.rng.uniform(0.8, 1.2))
    _outlines(studio, lines, bean=False)
    studio.halt()
    _outlines(studio, [line.grown(out) for line in lines], bean=studio.rng.random() < 0.5)


def outline_rows_outline(studio: Studio) -> None:
    """An outline, rows of any distance inside it up to the line, and the outline again."""
    rng = studio.rng
    lines = scattered(studio, int(rng.integers(1, 4)))
    rows, angle = float(rng.uniform(0.5, 3.0)), float(rng.uniform(0, 3))
    _outlines(studio, lines, bean=False)
    studio.halt()
    for line in lines:
        studio.sew(stitching.fill(line.region.buffer(-rng.uniform(0.1, 1.0)), rows, 3.5, angle), FILL)
    studio.halt()
    _outlines(studio, lines, bean=rng.random() < 0.5)


def rows_then_two_outlines(studio: Studio) -> None:
    """A sketch: loose rows first, an outline, and the same outline thicker."""
    rng = studio.rng
    lines = scattered(studio, int(rng.integers(1, 4)))
    rows, angle = float(rng.uniform(0.8, 2.5)), float(rng.uniform(0, 3))
    for line in lines:
        studio.sew(stitching.fill(line.region.buffer(-0.3), rows, 3.5, angle), FILL)
    studio.halt()
    _outlines(studio, lines, bean=False)
    studio.halt()
    _outlines(studio, lines, bean=True)


def line_art_in_bean_over_run(studio: Studio) -> None:
    """Closed and open lines in one thread, all of them again in a second, in the same order."""
    rng = studio.rng
    lines = scattered(studio, int(rng.integers(2, 4)), 30, 60)
    veins = []
    for line in lines:
        x0, y0, x1, y1 = line.region.bounds
        start, end = (x0 * 0.7 + x1 * 0.3, (y0 + y1) / 2), (x0 * 0.3 + x1 * 0.7, y0 * 0.4 + y1 * 0.6)
        veins.append(dense(np.array([start, end])))
    for bean in (False, True):
        for line, vein in zip(lines, veins, strict=True):
            _outlines(studio, [line], bean=bean)
            points = stitching.bean(vein, 2.2, "even") if bean else stitching.run(vein, 2.2, "even")
            studio.sew(points, DETAIL)
        studio.halt()


def knot_of_one_line(studio: Studio) -> None:
    """One line that crosses itself again and again, sewn once, and in bean over itself."""
    rng = studio.rng
    lobes = int(rng.choice([3, 5, 7]))
    angle = np.linspace(0, 2 * np.pi, 2881)
    radius = 1 + float(rng.uniform(0.3, 0.6)) * np.cos(lobes * angle)
    knot = np.column_stack([radius * np.cos(2 * angle), radius * np.sin(2 * angle)])
    line = dense(knot / np.abs(knot).max() * float(rng.uniform(30, 45)))
    studio.sew(studio.running(line, studio.author.stitch), DETAIL)
    studio.halt()
    studio.sew(stitching.bean(line, studio.author.stitch, "even"), DETAIL)


def crosshatched_shadow(studio: Studio) -> None:
    """A round, two open hatchings across each other, and the round again."""
    rng = studio.rng
    line = studio.shape(float(rng.uniform(40, 70)), circle, ellipse, blob, heart, hexagon)
    _outlines(studio, [line], bean=False)
    studio.halt()
    for angle in (0.5, -0.6):
        studio.sew(stitching.fill(line.region.buffer(-0.5), float(rng.uniform(2.0, 3.2)), 3.0, angle), FILL)
    studio.halt()
    _outlines(studio, [line], bean=False)


REDRAWN: tuple[Callable[[Studio], None], ...] = (
    shadow_line_outside,
    outline_rows_outline,
    rows_then_two_outlines,
    line_art_in_bean_over_run,
    knot_of_one_line,
    crosshatched_shadow,
)
