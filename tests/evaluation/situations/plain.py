"""Ordinary appliqué: how pieces are placed, tacked and covered, one or several to a block."""

from __future__ import annotations

from typing import TYPE_CHECKING

from piecewright.cutting.passes import Role
from tests.evaluation import stitching
from tests.evaluation.pen import Meaning
from tests.evaluation.shapes import blob, circle, ellipse, heart, leaf, teardrop
from tests.evaluation.ways import Cover

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.evaluation.studio import Studio


def _size(studio: Studio) -> float:
    return float(studio.rng.uniform(35, 95))


def _one(studio: Studio) -> int:
    return studio.piece(studio.shape(_size(studio)))


def run_tack_and_satin(studio: Studio) -> None:
    a = _one(studio)
    studio.place(a)
    studio.halt()
    studio.tack(a)
    studio.halt()
    studio.cover(a)


def double_run_tack_and_satin(studio: Studio) -> None:
    a = _one(studio)
    studio.place(a)
    studio.halt()
    studio.tack(a, "double")
    studio.halt()
    studio.cover(a, Cover(underlay="centre"))


def bean_tack_and_satin(studio: Studio) -> None:
    a = _one(studio)
    studio.place(a)
    studio.halt()
    studio.tack(a, "bean")
    studio.halt()
    studio.cover(a)


def zigzag_tack_and_satin(studio: Studio) -> None:
    a = _one(studio)
    studio.place(a)
    studio.halt()
    studio.tack(a, "zigzag")
    studio.halt()
    studio.cover(a)


def tack_inside_the_line(studio: Studio) -> None:
    a = _one(studio)
    studio.place(a)
    studio.halt()
    studio.tack(a, inset=float(studio.rng.uniform(0.5, 1.2)))
    studio.halt()
    studio.cover(a)


def tack_and_cover_in_one_block(studio: Studio) -> None:
    a = _one(studio)
    studio.place(a)
    studio.halt()
    studio.tack(a, "zigzag" if studio.rng.random() < 0.4 else "run")
    studio.cover(a)


def meander_tack_and_satin(studio: Studio) -> None:
    a = studio.piece(studio.shape(_size(studio), circle, ellipse, heart, blob))
    studio.place(a)
    studio.halt()
    studio.tack(a, "meander")
    studio.halt()
    studio.cover(a)


def meander_only(studio: Studio) -> None:
    a = studio.piece(studio.shape(_size(studio), circle, ellipse, heart, blob))
    studio.place(a)
    studio.halt()
    studio.tack(a, "meander")


def raw_edge_double_run(studio: Studio) -> None:
    for a in studio.row(2, _size(studio)):
        studio.place(a)
        studio.halt()
        studio.tack(a, "double")
        studio.halt()


def raw_edge_run_then_bean(studio: Studio) -> None:
    a = _one(studio)
    studio.place(a)
    studio.halt()
    studio.tack(a)
    studio.halt()
    studio.tack(a, "bean")


def blanket_only(studio: Studio) -> None:
    """The blanket stitch both holds the piece and dresses its edge."""
    a = _one(studio)
    studio.place(a)
    studio.halt()
    meaning_free = studio.pieces[a]
    path = studio.round(meaning_free.line, meaning_free.start)
    points = stitching.blanket(path, 3.0, 2.6, studio.inward(path, a))
    studio.sew(points, Meaning(Role.COVER, frozenset({Role.TACK_DOWN}), a))


def blanket_cover(studio: Studio) -> None:
    a = _one(studio)
    studio.place(a)
    studio.halt()
    studio.tack(a)
    studio.halt()
    studio.cover(a, Cover("blanket"))


def zigzag_cover(studio: Studio) -> None:
    a = _one(studio)
    studio.place(a)
    studio.halt()
    studio.tack(a)
    studio.halt()
    studio.cover(a, Cover("zigzag"))


def satin_holds_the_piece(studio: Studio) -> None:
    """No tack-down of its own: the satin's underlay holds the fabric."""
    a = _one(studio)
    studio.place(a)
    studio.halt()
    studio.cover(a, Cover(underlay="zigzag" if studio.rng.random() < 0.5 else "centre", holds=True))


def several_pieces_block_by_block(studio: Studio) -> None:
    pieces = studio.row(int(studio.rng.integers(3, 6)), _size(studio))
    for a in pieces:
        studio.place(a)
    studio.halt()
    for a in pieces:
        studio.tack(a)
    studio.halt()
    for a in pieces:
        studio.cover(a)


def several_pieces_one_by_one(studio: Studio) -> None:
    for a in studio.row(int(studio.rng.integers(2, 5)), _size(studio)):
        studio.place(a)
        studio.halt()
        studio.tack(a, "zigzag" if studio.rng.random() < 0.3 else "run")
        studio.halt()
        studio.cover(a, Cover(underlay="edge" if studio.rng.random() < 0.3 else "none"))
        studio.halt()


def covers_in_any_order(studio: Studio) -> None:
    pieces = studio.row(4, _size(studio))
    for a in pieces[:2]:
        studio.place(a)
    studio.halt()
    for a in pieces[:2]:
        studio.tack(a)
    studio.halt()
    for a in pieces[2:]:
        studio.place(a)
    studio.halt()
    for a in pieces[2:][::-1]:
        studio.tack(a, "zigzag")
    for k in studio.rng.permutation(4):
        studio.halt()
        studio.cover(pieces[int(k)])


def many_small_dots(studio: Studio) -> None:
    pieces = studio.row(int(studio.rng.integers(5, 12)), float(studio.rng.uniform(8, 12)), circle)
    for a in pieces:
        studio.place(a)
    studio.halt()
    for a in pieces:
        studio.tack(a)
    studio.halt()
    for a in pieces:
        studio.cover(a, Cover(width=1.8))


def whole_hoop(studio: Studio) -> None:
    a = studio.piece(studio.shape(float(studio.rng.uniform(250, 300)), heart, blob, leaf, teardrop))
    studio.place(a)
    studio.halt()
    studio.tack(a, "zigzag")
    studio.halt()
    studio.cover(a, Cover("zigzag"))


def twins(studio: Studio) -> None:
    """The same leaf again and again, turned and turned over."""
    first = studio.shape(float(studio.rng.uniform(25, 50)))
    step = 70.0
    for k in range(6):
        line = first.turned(float(studio.rng.uniform(0, 360)))
        if k % 3 == 2:
            line = line.mirrored()
        studio.piece(line.moved(k % 3 * step, k // 3 * step))
    for a in range(6):
        studio.place(a)
    studio.halt()
    for a in range(6):
        studio.tack(a)
    studio.halt()
    for a in range(6):
        studio.cover(a, Cover(width=3.0))


PLAIN: tuple[Callable[[Studio], None], ...] = (
    run_tack_and_satin,
    double_run_tack_and_satin,
    bean_tack_and_satin,
    zigzag_tack_and_satin,
    tack_inside_the_line,
    tack_and_cover_in_one_block,
    meander_tack_and_satin,
    meander_only,
    raw_edge_double_run,
    raw_edge_run_then_bean,
    blanket_only,
    blanket_cover,
    zigzag_cover,
    satin_holds_the_piece,
    several_pieces_block_by_block,
    several_pieces_one_by_one,
    covers_in_any_order,
    many_small_dots,
    whole_hoop,
    twins,
)
