"""Habits of the trade that are easily misread: raw edges held well inside, layers, ways sewn in runs."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from piecewright.cutting.passes import Role
from tests.evaluation import stitching
from tests.evaluation.lines import Line, dense
from tests.evaluation.pen import Meaning
from tests.evaluation.shapes import blob, circle, ellipse, heart, leaf, rounded_rectangle, star, teardrop
from tests.evaluation.situations.negatives import QUILTING
from tests.evaluation.ways import Cover

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.evaluation.studio import Studio

ROOMY = (circle, ellipse, heart, blob, rounded_rectangle, leaf, teardrop)
"""Shapes that keep their form with a line 3 mm inside."""

MOVES = Meaning(Role.DETAIL, frozenset(Role))


def raw_edge_held_well_inside(studio: Studio) -> None:
    """The line, and 2 to 3 mm inside it a bean, a double run or two laps: all that holds the piece."""
    rng = studio.rng
    for a in studio.row(int(rng.integers(1, 4)), float(rng.uniform(40, 75)), *ROOMY):
        studio.place(a)
        studio.halt()
        _held_inside(
            studio, a, float(rng.uniform(2.0, 3.0)), ("bean", "double", "laps")[int(rng.integers(3))]
        )
        studio.halt()


def raw_edges_piece_by_piece(studio: Studio) -> None:
    """One plain round 2 to 3 mm inside each line; no piece is placed before the one before is held."""
    rng = studio.rng
    inset = float(rng.uniform(2.0, 3.0))
    for a in studio.row(int(rng.integers(2, 5)), float(rng.uniform(35, 65)), *ROOMY):
        studio.place(a)
        studio.halt()
        _held_inside(studio, a, inset, "run")
        studio.halt()


def _held_inside(studio: Studio, a: int, inset: float, way: str) -> None:
    inner = studio.pieces[a].line.grown(-inset)
    path = studio.round(inner, lap=0.0)
    length = studio.stitch_for(inner)
    if way == "bean":
        points = stitching.bean(path, length, studio.author.division)
    elif way == "double":
        points = stitching.there_and_back(path, length, "even", 0.4)
    elif way == "laps":
        start = studio.begin(inner)
        points = studio.running(inner.part(start, start + 2 * inner.length), length)
    else:
        points = studio.running(path, length)
    studio.sew(points, Meaning(Role.TACK_DOWN, piece=a))


def double_placement_tacked_inside(studio: Studio) -> None:
    """The line is sewn there and back, the tack-down 1.5 to 2.5 mm inside it; a satin over all."""
    rng = studio.rng
    pieces = studio.row(int(rng.integers(1, 4)), float(rng.uniform(40, 75)))
    for a in pieces:
        path = studio.round(studio.pieces[a].line, lap=0.0)
        studio.place(a, [path, path.reversed()], joined=True)
    studio.halt()
    for a in pieces:
        _held_inside(studio, a, float(rng.uniform(1.5, 2.5)), ("run", "bean", "laps")[int(rng.integers(3))])
    studio.halt()
    for a in pieces:
        studio.cover(a, Cover(width=4.5))


def number_on_its_shadow(studio: Studio) -> None:
    """Two layers of twill: the lower 3 to 5 mm larger all round, each placed and held by a zigzag."""
    upper_line = studio.shape(float(studio.rng.uniform(50, 80)), star, heart, ellipse)
    lower = studio.piece(upper_line.grown(float(studio.rng.uniform(3.0, 5.0))))
    upper = studio.piece(upper_line)
    for a in (lower, upper):
        studio.place(a)
        studio.halt()
        path = studio.round(studio.pieces[a].line.grown(-0.6))
        also = frozenset({Role.COVER})
        studio.sew(stitching.zigzag(path, 1.6, 1.1), Meaning(Role.TACK_DOWN, also, a))
        studio.halt()


def joined_by_runs(studio: Studio) -> None:
    """Leaves and petals without a cut between them: from tip to tip the needle walks, in every block."""
    rng = studio.rng
    pieces = studio.row(int(rng.integers(2, 5)), float(rng.uniform(28, 45)), leaf, teardrop, heart)
    for inset, step in ((0.0, "place"), (float(rng.uniform(0.5, 1.2)), "tack")):
        for k, a in enumerate(pieces):
            line = studio.pieces[a].line.grown(-inset) if inset else studio.pieces[a].line
            start = float(line.corners[0]) if len(line.corners) else 0.0
            path = line.started_at(start)
            if k:
                _walk(studio, path)
            if step == "place":
                studio.place(a, [path], move="stitch" if k else None)
            else:
                points = studio.running(path, studio.stitch_for(path))
                studio.sew(points, Meaning(Role.TACK_DOWN, piece=a), "stitch" if k else None, ties=False)
        studio.halt()
    for a in pieces:
        studio.cover(a, Cover(width=3.0))


def _walk(studio: Studio, path: Line) -> None:
    way = dense(np.array([studio.pen.last(), path.points[0]], dtype=float))
    studio.sew(stitching.run(way, studio.author.stitch, "even"), MOVES, "stitch", ties=False)


def letters_with_split_satin(studio: Studio) -> None:
    """Narrow shapes with holes whose covers meet in the middle and leave no fabric to be seen."""
    outer = studio.shape(float(studio.rng.uniform(24, 32)), circle, ellipse, rounded_rectangle)
    a = studio.piece(outer, [outer.grown(-float(studio.rng.uniform(6.0, 7.5)))])
    studio.place(a)
    studio.halt()
    studio.tack(a)
    studio.halt()
    studio.cover(a, Cover(width=4.5, longest=3.0))


def echoes_close_together(studio: Studio) -> None:
    """Three and more lines round a shape 2 to 3.4 mm apart, with a halt after each."""
    line = studio.shape(float(studio.rng.uniform(30, 60)), circle, ellipse, heart, blob)
    gap = float(studio.rng.uniform(2.0, 3.4))
    outwards = studio.rng.random() < 0.5
    for k in range(int(studio.rng.integers(3, 6))):
        ring = line.grown((k if outwards else -k) * gap)
        if studio.rng.random() < 0.3:
            studio.sew(stitching.bean(studio.round(ring), studio.stitch_for(ring), "even"), QUILTING)
        else:
            studio.sew(studio.running(studio.round(ring), studio.stitch_for(ring)), QUILTING)
        studio.halt()


TRADE: tuple[Callable[[Studio], None], ...] = (
    raw_edge_held_well_inside,
    raw_edges_piece_by_piece,
    double_placement_tacked_inside,
    number_on_its_shadow,
    joined_by_runs,
    letters_with_split_satin,
    echoes_close_together,
)
