"""Placement lines as they really are: open, lapped, tied, in parts, among other stitches."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from piecewright.cutting.passes import Role
from tests.evaluation import stitching
from tests.evaluation.lines import Line, dense
from tests.evaluation.pen import Meaning
from tests.evaluation.shapes import blob, circle, ellipse, heart
from tests.evaluation.situations.negatives import DETAIL, FILL

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.evaluation.studio import Studio


def _finish(studio: Studio, *pieces: int) -> None:
    """Tack all, cover all."""
    studio.halt()
    for a in pieces:
        studio.tack(a)
    studio.halt()
    for a in pieces:
        studio.cover(a)


def _open_path(studio: Studio, a: int, gap: float) -> Line:
    line = studio.pieces[a].line
    start = float(studio.rng.uniform(0, line.length))
    path = line.part(start, start + line.length - gap)
    return path.reversed() if studio.rng.random() < 0.5 else path


def _with_gap(studio: Studio, gap: float) -> None:
    a = studio.piece(studio.shape(float(studio.rng.uniform(45, 95)), circle, ellipse, heart, blob))
    studio.place(a, [_open_path(studio, a, gap)])
    _finish(studio, a)


def gap_of_3_mm(studio: Studio) -> None:
    _with_gap(studio, 3.0)


def gap_of_7_mm(studio: Studio) -> None:
    _with_gap(studio, 7.0)


def gap_of_12_mm(studio: Studio) -> None:
    _with_gap(studio, 12.0)


def gap_of_18_mm_closed_by_the_tack_down(studio: Studio) -> None:
    """Wider than anyone would close by guess, but tack-down and cover go all round."""
    _with_gap(studio, 18.0)


def gap_left_by_every_pass(studio: Studio) -> None:
    """A leaf's stalk end or a sleeve's cuff: placement, tack-down and cover leave the same place open."""
    a = studio.piece(studio.shape(float(studio.rng.uniform(50, 90)), circle, ellipse, blob))
    line = studio.pieces[a].line
    start = float(studio.rng.uniform(0, line.length))
    gap = float(studio.rng.uniform(8, 14))
    path = line.part(start, start + line.length - gap)
    studio.place(a, [path])
    span = (start / line.length, (start + line.length - gap) / line.length)
    studio.halt()
    studio.tack(a, spans=[span])
    studio.halt()
    studio.cover(a, spans=[span])


def two_laps(studio: Studio) -> None:
    pieces = studio.row(2, float(studio.rng.uniform(40, 80)))
    for a in pieces:
        studio.place(a, laps=2)
    _finish(studio, *pieces)


def long_overlap(studio: Studio) -> None:
    a = studio.piece(studio.shape(float(studio.rng.uniform(40, 80))))
    line = studio.pieces[a].line
    start = studio.begin(line)
    studio.place(a, [line.part(start, start + line.length + float(studio.rng.uniform(10, 25)))])
    _finish(studio, a)


def heavy_ties(studio: Studio) -> None:
    """Ties on both ends of every run, stars among them."""
    a = studio.piece(studio.shape(float(studio.rng.uniform(35, 80))))
    piece = studio.pieces[a]
    path = studio.round(piece.line, piece.start)
    studio.place(a, [path])
    block = studio.pen.blocks[-1]
    here = np.array([block[-1][:2]])
    star = here + np.array([(0.5, 0), (-0.3, 0.4), (-0.3, -0.4), (0.4, 0.2), (0, 0)])
    studio.sew(star, Meaning(Role.PLACEMENT, frozenset(Role), a), "stitch", ties=False)
    _finish(studio, a)


def travel_from_the_middle(studio: Studio) -> None:
    """The hoop's middle first, then small stitches out to the line and round."""
    a = studio.piece(studio.shape(float(studio.rng.uniform(45, 90)), circle, ellipse, heart, blob))
    piece = studio.pieces[a]
    path = studio.round(piece.line, piece.start)
    middle = np.array(piece.line.region.representative_point().coords[0])
    way = dense(np.array([middle, path.points[0]]))
    also = frozenset({Role.DETAIL, Role.PLACEMENT})
    studio.sew(stitching.run(way, 2.5, "even"), Meaning(Role.DETAIL, also, a))
    studio.place(a, [path], move="stitch")
    _finish(studio, a)


def line_in_two_runs(studio: Studio) -> None:
    """The thread is cut halfway round and the rest is sewn from elsewhere."""
    a = studio.piece(studio.shape(float(studio.rng.uniform(45, 90))))
    line = studio.pieces[a].line
    start = studio.begin(line)
    share = float(studio.rng.uniform(0.3, 0.7)) * line.length
    first = line.part(start, start + share)
    second = line.part(start + share, start + line.length)
    paths = [first, second if studio.rng.random() < 0.5 else second.reversed()]
    studio.place(a, paths)
    _finish(studio, a)


def travels_sewn_as_stitches(studio: Studio) -> None:
    """From piece to piece with the needle down, as some formats and converters leave it."""
    pieces = studio.row(3, float(studio.rng.uniform(30, 60)))
    for k, a in enumerate(pieces):
        studio.place(a, move="stitch" if k else None)
    _finish(studio, *pieces)


def short_travels_sewn_as_small_stitches(studio: Studio) -> None:
    """A walk in running stitches from one placement line to the next."""
    pieces = studio.row(3, float(studio.rng.uniform(30, 60)), circle, ellipse, blob)
    studio.place(pieces[0])
    for a in pieces[1:]:
        piece = studio.pieces[a]
        path = studio.round(piece.line, piece.start)
        at = studio.pen.last()
        way = dense(np.array([at, path.points[0]], dtype=float))
        walk = Meaning(Role.DETAIL, frozenset({Role.PLACEMENT}), None)
        studio.sew(stitching.run(way, studio.author.stitch, "even"), walk, "stitch", ties=False)
        studio.place(a, [path], move="stitch")
    _finish(studio, *pieces)


def placement_after_a_fill(studio: Studio) -> None:
    """The stem is filled, and in the same thread the flower is placed."""
    stem = studio.shape(50.0, blob, ellipse).moved(-75, 10)
    studio.sew(stitching.fill(stem.region.buffer(0), 0.5, 3.2, 0.7), FILL)
    a = studio.piece(studio.shape(float(studio.rng.uniform(40, 80))))
    studio.place(a)
    _finish(studio, a)


def placement_before_a_satin(studio: Studio) -> None:
    """After the placement line the same thread sews a satin stem elsewhere."""
    a = studio.piece(studio.shape(float(studio.rng.uniform(40, 80))))
    studio.place(a)
    wave = np.linspace(0, 60, 120)
    stem = dense(np.column_stack([wave - 30, 60 + 6 * np.sin(wave / 9)]))
    studio.sew(stitching.run(stem, 2.2, "even"), DETAIL)
    studio.sew(stitching.zigzag(stem.reversed(), 2.5, 0.4), DETAIL)
    _finish(studio, a)


LINES: tuple[Callable[[Studio], None], ...] = (
    gap_of_3_mm,
    gap_of_7_mm,
    gap_of_12_mm,
    gap_of_18_mm_closed_by_the_tack_down,
    gap_left_by_every_pass,
    two_laps,
    long_overlap,
    heavy_ties,
    travel_from_the_middle,
    line_in_two_runs,
    travels_sewn_as_stitches,
    short_travels_sewn_as_small_stitches,
    placement_after_a_fill,
    placement_before_a_satin,
)
