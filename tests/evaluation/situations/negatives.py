"""Designs in which nothing is to be cut, however often a line comes back."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from shapely.geometry import Polygon

from piecewright.cutting.passes import Role
from tests.evaluation import stitching
from tests.evaluation.lines import dense
from tests.evaluation.pen import Meaning
from tests.evaluation.shapes import circle, rectangle, rounded_rectangle

if TYPE_CHECKING:
    from collections.abc import Callable

    from piecewright.cutting.geometry import FloatArray
    from tests.evaluation.lines import Line
    from tests.evaluation.studio import Studio

DECORATIVE = frozenset({Role.DETAIL, Role.FILL, Role.QUILTING, Role.UNDERLAY})
"""Nothing is laid on for these; which of them a sewer would say is a matter of taste."""

DETAIL = Meaning(Role.DETAIL, DECORATIVE)
FILL = Meaning(Role.FILL, DECORATIVE)
QUILTING = Meaning(Role.QUILTING, DECORATIVE)
UNDERLAY = Meaning(Role.UNDERLAY, DECORATIVE)


def scattered(studio: Studio, count: int, low: float = 25, high: float = 70) -> list[Line]:
    """Shapes of these sizes that do not touch."""
    return [
        studio.shape(float(studio.rng.uniform(low, high))).moved(k % 3 * (high + 8), k // 3 * (high + 8))
        for k in range(count)
    ]


def line_drawing_sewn_twice(studio: Studio) -> None:
    """Each line is sewn round twice before the thread goes on."""
    for line in scattered(studio, 4):
        start = studio.begin(line)
        studio.sew(studio.running(line.part(start, start + 2 * line.length), studio.author.stitch), DETAIL)


def redwork(studio: Studio) -> None:
    """There and back along every line of a drawing in one colour."""
    for line in scattered(studio, 4):
        path = studio.round(line, lap=0.0)
        studio.sew(stitching.there_and_back(path, studio.author.stitch, "even", 0.3), DETAIL)


def bean_drawing(studio: Studio) -> None:
    for line in scattered(studio, 4):
        studio.sew(stitching.bean(studio.round(line), studio.author.stitch, studio.author.division), DETAIL)


def bean_drawing_in_two_colours(studio: Studio) -> None:
    shapes = scattered(studio, 5)
    for k, line in enumerate(shapes):
        if k == 2:
            studio.halt()
        studio.sew(stitching.bean(studio.round(line), studio.author.stitch, studio.author.division), DETAIL)


def outline_round_a_fill(studio: Studio) -> None:
    """A fill, then after a colour change an outline along its edge."""
    lines = scattered(studio, 2)
    for line in lines:
        studio.sew(stitching.fill(line.region.buffer(0), 0.45, 3.5, float(studio.rng.uniform(0, 3))), FILL)
    studio.halt()
    for line in lines:
        studio.sew(studio.running(studio.round(line), studio.author.stitch), DETAIL)


def fill_with_edge_run_and_satin_border(studio: Studio) -> None:
    """The fill's underlay runs along its edge; after a colour change satin goes along the same edge."""
    for line in scattered(studio, 2):
        studio.sew(studio.running(studio.round(line.grown(-0.6)), 2.5), UNDERLAY)
        region = line.region.buffer(0)
        studio.sew(stitching.fill(region.buffer(-0.5), 2.5, 3.5, 1.2), UNDERLAY)
        studio.sew(stitching.fill(region, 0.45, 3.5, 0.4), FILL)
        studio.halt()
        studio.sew(studio.running(studio.round(line), 2.2), UNDERLAY)
        studio.sew(stitching.zigzag(studio.round(line), 2.5, 0.4), DETAIL)
        studio.halt()


def satin_ring_with_underlays(studio: Studio) -> None:
    """Run, zigzag and satin one over the other without a halt."""
    for line in scattered(studio, 3):
        studio.sew(studio.running(studio.round(line), 2.2), UNDERLAY)
        studio.sew(stitching.zigzag(studio.round(line), 2.4, 1.6), UNDERLAY)
        studio.sew(stitching.zigzag(studio.round(line), 3.2, 0.4), DETAIL)


def run_zigzag_satin_without_a_halt(studio: Studio) -> None:
    """Everything that an appliqué has, in one block: the machine never stops to take fabric."""
    lines = scattered(studio, 3)
    for line in lines:
        studio.sew(studio.running(studio.round(line), studio.author.stitch), UNDERLAY)
    for line in lines:
        studio.sew(studio.running(studio.round(line), studio.author.stitch), UNDERLAY)
    for line in lines:
        studio.sew(stitching.zigzag(studio.round(line), 3.5, 0.4), DETAIL)


def echo_quilting(studio: Studio) -> None:
    """Lines round a shape, each farther out; a few in each colour."""
    line = studio.shape(float(studio.rng.uniform(30, 50)))
    gap = float(studio.rng.uniform(3, 6))
    halting = studio.rng.random() < 0.5
    for k in range(5):
        if k and halting:
            studio.halt()
        studio.sew(studio.running(studio.round(line.grown(k * gap)), studio.author.stitch), QUILTING)


def stippling(studio: Studio) -> None:
    region = studio.shape(120.0, rectangle, rounded_rectangle, circle).region
    studio.wander(region, 6.0, QUILTING)


def stippling_round_a_shape(studio: Studio) -> None:
    frame = studio.shape(130.0, rectangle, rounded_rectangle)
    motif = studio.shape(50.0)
    region = Polygon(frame.points, [motif.points]).buffer(0)
    studio.sew(studio.running(studio.round(motif), studio.author.stitch), QUILTING)
    studio.halt()
    studio.wander(region, 6.0, QUILTING)


def satin_lettering(studio: Studio) -> None:
    """Letters of satin strokes with centre runs below, in one or two colours."""
    for row in range(2):
        if row:
            studio.halt()
        for k in range(5):
            x, y = k * 16.0, row * 30.0
            for stroke in _strokes(studio):
                path = dense(stroke + np.array([x, y]))
                studio.sew(stitching.run(path, 2.0, "even"), UNDERLAY)
                studio.sew(stitching.zigzag(path.reversed(), 2.2, 0.4), DETAIL)


def run_lettering(studio: Studio) -> None:
    """Small script in running stitch, sewn there and back; loops close here and there."""
    for k in range(8):
        for stroke in _strokes(studio):
            path = dense(stroke * 0.6 + np.array([k * 10.0, 0.0]))
            studio.sew(stitching.there_and_back(path, 1.6, "even"), DETAIL)
    studio.halt()
    for k in range(6):
        ring = circle(studio.rng, 7.0).moved(k * 10.0, 22)
        studio.sew(stitching.run(studio.round(ring), 1.4, "even"), DETAIL)


def _strokes(studio: Studio) -> list[FloatArray]:
    a = np.linspace(0, float(studio.rng.uniform(3, 6.28)), 40)
    bowl = np.column_stack([5 + 5 * np.sin(a), 10 - 9 * np.cos(a)])
    stem = np.array([(0.0, 0.0), (float(studio.rng.uniform(-1, 2)), 20.0)])
    return [stem, bowl] if studio.rng.random() < 0.6 else [bowl]


def cross_stitch_picture(studio: Studio) -> None:
    for k, line in enumerate(scattered(studio, 3)):
        if k:
            studio.halt()
        studio.sew(stitching.cross_stitch(line.region.buffer(0), 2.0), DETAIL)


def frame_round_a_motif(studio: Studio) -> None:
    """A basting frame, then a filled motif inside; the frame never comes back."""
    frame = studio.shape(130.0, rectangle, rounded_rectangle)
    studio.sew(studio.running(studio.round(frame), 5.0), DETAIL)
    studio.halt()
    line = studio.shape(60.0)
    studio.sew(stitching.fill(line.region.buffer(0), 0.5, 3.5), FILL)
    studio.halt()
    studio.sew(stitching.zigzag(studio.round(line), 2.5, 0.4), DETAIL)


def motif_line(studio: Studio) -> None:
    for k, line in enumerate(scattered(studio, 2)):
        if k:
            studio.halt()
        studio.sew(stitching.motif(studio.round(line), 4.0, 5.0), DETAIL)


def fills_in_many_colours(studio: Studio) -> None:
    """A filled picture whose outlines come last, in the darkest thread."""
    lines = scattered(studio, 5)
    for line in lines:
        studio.sew(stitching.fill(line.region.buffer(0), 0.45, 3.5, float(studio.rng.uniform(0, 3))), FILL)
        studio.halt()
        inner = line.grown(-line.size.min() / 4.5)
        studio.sew(stitching.fill(inner.region.buffer(0), 0.45, 3.5, 1.0), FILL)
        studio.halt()
    for line in lines:
        studio.sew(stitching.bean(studio.round(line), 2.2, "even"), DETAIL)


NEGATIVES: tuple[Callable[[Studio], None], ...] = (
    line_drawing_sewn_twice,
    redwork,
    bean_drawing,
    bean_drawing_in_two_colours,
    outline_round_a_fill,
    fill_with_edge_run_and_satin_border,
    satin_ring_with_underlays,
    run_zigzag_satin_without_a_halt,
    echo_quilting,
    stippling,
    stippling_round_a_shape,
    satin_lettering,
    run_lettering,
    cross_stitch_picture,
    frame_round_a_motif,
    motif_line,
    fills_in_many_colours,
)
