"""More designs in which nothing is to be cut, closer to appliqué than is comfortable."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from tests.evaluation import stitching
from tests.evaluation.lines import dense
from tests.evaluation.shapes import circle, ellipse, hexagon, rectangle
from tests.evaluation.situations.negatives import DETAIL, FILL, QUILTING, UNDERLAY, scattered

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.evaluation.studio import Studio


def run_on_top_of_satin(studio: Studio) -> None:
    """A satin ring, and after a colour change a thin line along its middle."""
    lines = scattered(studio, 3)
    for line in lines:
        studio.sew(stitching.zigzag(studio.round(line), 3.5, 0.4), DETAIL)
    studio.halt()
    for line in lines:
        studio.sew(studio.running(studio.round(line), studio.author.stitch), DETAIL)


def outline_first_filled_after(studio: Studio) -> None:
    """A drawn outline that the next colour fills to the edge."""
    lines = scattered(studio, 3)
    for line in lines:
        studio.sew(studio.running(studio.round(line), studio.author.stitch), DETAIL)
    studio.halt()
    for line in lines:
        studio.sew(stitching.fill(line.region.buffer(0), 0.45, 3.5, 0.9), FILL)


def rings_of_run_and_satin(studio: Studio) -> None:
    """A run ring in one colour, a satin ring well outside it in the next, and so on outwards."""
    line = studio.shape(30.0, circle, ellipse, hexagon)
    for k in range(3):
        studio.sew(studio.running(studio.round(line.grown(k * 10.0)), studio.author.stitch), DETAIL)
        studio.halt()
        studio.sew(stitching.zigzag(studio.round(line.grown(k * 10.0 + 5.0)), 2.5, 0.4), DETAIL)
        studio.halt()


def neighbours_that_share_edges(studio: Studio) -> None:
    """Boxes drawn side by side in two colours; each edge between two is drawn in both."""
    side = float(studio.rng.uniform(22, 32))
    for colour in range(2):
        if colour:
            studio.halt()
        for k in range(9):
            if k % 2 == colour:
                x, y = k % 3 * side, k // 3 * side
                box = dense(np.array([(x, y), (x + side, y), (x + side, y + side), (x, y + side), (x, y)]))
                studio.sew(studio.running(studio.round(box), studio.author.stitch), DETAIL)


def shaded_fills(studio: Studio) -> None:
    """The same area filled twice in two shades, the second open."""
    lines = scattered(studio, 3)
    for spacing in (0.45, 1.2):
        for line in lines:
            studio.sew(stitching.fill(line.region.buffer(0), spacing, 3.5, 0.9 + spacing), FILL)
        studio.halt()


def double_line_quilting(studio: Studio) -> None:
    """Loops of quilting in two parallel lines, one colour after the other."""
    lines = scattered(studio, 4, 30, 60)
    gap = float(studio.rng.uniform(2.0, 3.5))
    for inset in (0.0, gap):
        for line in lines:
            studio.sew(studio.running(studio.round(line.grown(-inset)), studio.author.stitch), QUILTING)
        studio.halt()


def cross_stitch_with_backstitch(studio: Studio) -> None:
    lines = scattered(studio, 3)
    for line in lines:
        studio.sew(stitching.cross_stitch(line.region.buffer(0), 2.0), DETAIL)
    studio.halt()
    for line in lines:
        studio.sew(stitching.bean(studio.round(line), 2.0, "even"), DETAIL)


def lace_ring(studio: Studio) -> None:
    """Free-standing lace: a net of runs, rings sewn twice, satin over the rings, all in one thread."""
    line = studio.shape(60.0, circle, hexagon)
    studio.sew(stitching.fill(line.region, 2.5, 2.5, 0.7), UNDERLAY)
    studio.sew(stitching.fill(line.region, 2.5, 2.5, 2.2), UNDERLAY)
    for _ in range(2):
        studio.sew(studio.running(studio.round(line), 2.2), UNDERLAY)
    studio.sew(stitching.zigzag(studio.round(line), 2.8, 0.4), DETAIL)


def stem_and_leaves_in_satin(studio: Studio) -> None:
    """Leaves of satin from edge to edge over an edge run, each colour its own leaves."""
    for _ in range(2):
        for line in scattered(studio, 3, 18, 26):
            studio.sew(studio.running(studio.round(line.grown(-0.7)), 1.8), UNDERLAY)
            studio.sew(stitching.fill(line.region.buffer(0), 0.4, 11.0, 0.4), DETAIL)
        studio.halt()


def grid_quilting(studio: Studio) -> None:
    """A lattice of straight lines and a frame round it, in two threads."""
    frame = studio.shape(110.0, rectangle)
    x0, y0, x1, y1 = frame.region.bounds
    for k, x in enumerate(np.arange(x0 + 8, x1 - 4, 12.0).tolist()):
        way = np.array([(x, y0 + 1), (x, y1 - 1)][:: -1 if k % 2 else 1])
        studio.sew(stitching.run(dense(way), 2.6, "even"), QUILTING)
    studio.halt()
    studio.sew(studio.running(studio.round(frame), 2.6), QUILTING)


def tiny_rings_in_two_colours(studio: Studio) -> None:
    """Eyes and berries: small rings, the second colour sews a smaller ring inside each."""
    for colour, size in enumerate((9.0, 4.5)):
        if colour:
            studio.halt()
        for k in range(6):
            ring = circle(studio.rng, size).moved(k % 3 * 18.0, k // 3 * 18.0)
            studio.sew(stitching.run(studio.round(ring), 1.3, "even"), DETAIL)


MORE_NEGATIVES: tuple[Callable[[Studio], None], ...] = (
    run_on_top_of_satin,
    outline_first_filled_after,
    rings_of_run_and_satin,
    neighbours_that_share_edges,
    shaded_fills,
    double_line_quilting,
    cross_stitch_with_backstitch,
    lace_ring,
    stem_and_leaves_in_satin,
    grid_quilting,
    tiny_rings_in_two_colours,
)
