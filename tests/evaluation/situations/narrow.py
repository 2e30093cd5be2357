"""Narrow shapes, in which rows and holes are easily lost, and lines sewn as a narrow zigzag."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from piecewright.cutting.passes import Role
from tests.evaluation import stitching
from tests.evaluation.lines import Line, dense, largest
from tests.evaluation.pen import Meaning
from tests.evaluation.shapes import blob, block_letter, circle, crescent, ellipse, heart, leaf, star, teardrop
from tests.evaluation.situations.negatives import DETAIL, FILL

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.evaluation.studio import Studio


def _bar(studio: Studio, length: float, width: float) -> Line:
    """A bowed bar with round ends."""
    t = np.linspace(-0.5, 0.5, 60)
    middle = np.column_stack([t * length, float(studio.rng.uniform(-0.12, 0.12)) * length * (1 - 4 * t * t)])
    return dense(np.array(largest(shapely.LineString(middle).buffer(width / 2)).exterior.coords))


def _slender(studio: Studio) -> Line:
    rng = studio.rng
    length, width = float(rng.uniform(35, 80)), float(rng.uniform(5, 11))
    if rng.random() < 0.4:
        return _bar(studio, length, width)
    shape = leaf(rng, length) if rng.random() < 0.5 else crescent(rng, length)
    return shape.turned(float(rng.uniform(0, 180)))


def _outlined(studio: Studio, lines: list[Line], way: str) -> None:
    for line in lines:
        length, path = studio.stitch_for(line), studio.round(line)
        if way == "satin":
            points = stitching.zigzag(path, 2.2, 0.4)
        elif way == "bean":
            points = stitching.bean(path, length, "even")
        else:
            points = studio.running(path, length)
        studio.sew(points, DETAIL)


def narrow_rows_between_outlines(studio: Studio) -> None:
    """An outline, rows of two or three stitches across a narrow shape, and the outline again."""
    rng = studio.rng
    lines = [_slender(studio).moved(k * 95.0, 0) for k in range(int(rng.integers(1, 4)))]
    rows, stitch = float(rng.uniform(1.2, 3.4)), float(rng.uniform(2.2, 4.0))
    _outlined(studio, lines, "run")
    studio.halt()
    for line in lines:
        studio.sew(stitching.fill(line.region.buffer(-0.3), rows, stitch, float(rng.uniform(0, 3))), FILL)
    studio.halt()
    _outlined(studio, lines, "bean" if rng.random() < 0.5 else "run")


def narrow_shapes_filled_first(studio: Studio) -> None:
    """Letters and bars filled, then outlined by a run, then by a run, a bean or a satin."""
    rng = studio.rng
    lines = [
        (block_letter(rng, float(rng.uniform(40, 60))) if rng.random() < 0.6 else _slender(studio)).moved(
            k * 95.0, 0
        )
        for k in range(int(rng.integers(1, 4)))
    ]
    rows = float(rng.uniform(0.45, 1.3))
    for line in lines:
        studio.sew(stitching.fill(line.region.buffer(-0.3), rows, 3.5, float(rng.uniform(0, 3))), FILL)
    studio.halt()
    _outlined(studio, lines, "run")
    studio.halt()
    _outlined(studio, lines, ("satin", "bean", "run")[int(rng.integers(3))])


def placed_by_a_zigzag(studio: Studio) -> None:
    """On felt the line is a narrow zigzag; a zigzag or a run holds the piece, a satin covers it."""
    rng = studio.rng
    pieces = studio.row(int(rng.integers(1, 4)), float(rng.uniform(40, 70)), circle, ellipse, heart, blob)
    for a in pieces:
        line = studio.pieces[a].line
        points = stitching.zigzag(
            studio.round(line, lap=0.0), float(rng.uniform(1.0, 1.5)), float(rng.uniform(0.6, 0.9))
        )
        studio.sew(points, Meaning(Role.PLACEMENT, piece=a))
        studio.pieces[a].sewn = line.region
    studio.halt()
    for a in pieces:
        studio.tack(a, "zigzag" if rng.random() < 0.5 else "run", inset=float(rng.uniform(0.3, 0.8)))
    studio.halt()
    for a in pieces:
        studio.cover(a)


def zigzag_rings_in_two_threads(studio: Studio) -> None:
    """Ornament: a narrow zigzag all round, and in the next thread once more."""
    rng = studio.rng
    lines = [
        studio.shape(float(rng.uniform(25, 60)), circle, ellipse, heart, star).moved(k * 75.0, 0)
        for k in range(int(rng.integers(1, 4)))
    ]
    for width in (float(rng.uniform(1.0, 1.5)), float(rng.uniform(1.2, 2.5))):
        for line in lines:
            studio.sew(stitching.zigzag(studio.round(line), width, float(rng.uniform(0.6, 0.9))), DETAIL)
        studio.halt()


def letters_held_by_a_zigzag_inside(studio: Studio) -> None:
    """Twill letters: the line, then a zigzag that begins half a millimetre inside the edge, and no more."""
    rng = studio.rng
    for k in range(int(rng.integers(1, 4))):
        outer = studio.shape(float(rng.uniform(38, 60)), ellipse, teardrop, circle).moved(k * 80.0, 0)
        hole = outer.grown(-float(rng.uniform(8.0, 11.0)))
        studio.piece(outer, [hole])
    for a in range(len(studio.pieces)):
        studio.place(a)
    studio.halt()
    width, edge = float(rng.uniform(1.5, 2.0)), float(rng.uniform(0.3, 0.7))
    for a, piece in enumerate(studio.pieces):
        for line, side in ((piece.line, -1), (piece.holes[0], 1)):
            path = studio.round(line.grown(side * (edge + width / 2)))
            points = stitching.zigzag(path, width, 1.0)
            studio.sew(points, Meaning(Role.TACK_DOWN, frozenset({Role.COVER}), a))


NARROW: tuple[Callable[[Studio], None], ...] = (
    narrow_rows_between_outlines,
    narrow_shapes_filled_first,
    placed_by_a_zigzag,
    zigzag_rings_in_two_threads,
    letters_held_by_a_zigzag_inside,
)
