"""Covers and tack-downs as they really are: partial, astray, wide, split, in parts, tucked under."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.evaluation.shapes import blob, circle, ellipse, heart
from tests.evaluation.ways import Cover

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.evaluation.studio import Studio


def _placed(studio: Studio) -> int:
    a = studio.piece(studio.shape(float(studio.rng.uniform(45, 95))))
    studio.place(a)
    studio.halt()
    return a


def partial_tack(studio: Studio) -> None:
    a = _placed(studio)
    first = float(studio.rng.uniform(0, 1))
    studio.tack(a, spans=[(first, first + float(studio.rng.uniform(0.55, 0.8)))])
    studio.halt()
    studio.cover(a)


def partial_cover(studio: Studio) -> None:
    a = _placed(studio)
    studio.tack(a)
    studio.halt()
    first = float(studio.rng.uniform(0, 1))
    studio.cover(a, spans=[(first, first + float(studio.rng.uniform(0.55, 0.8)))])


def tucked_under(studio: Studio) -> None:
    """The first piece is tacked and covered only where the second does not lie on it."""
    size = float(studio.rng.uniform(50, 75))
    a = studio.piece(studio.shape(size, circle, ellipse, blob))
    b = studio.piece(studio.shape(size, circle, ellipse, blob, heart).moved(size * 0.7, 0))
    span = studio.span_outside(a, b)
    studio.place(a)
    studio.halt()
    studio.tack(a, spans=[span])
    studio.halt()
    studio.place(b)
    studio.halt()
    studio.tack(b)
    studio.halt()
    studio.cover(a, spans=[span])
    studio.halt()
    studio.cover(b)


def astray_cover(studio: Studio) -> None:
    """The satin's middle lies beside the line, on a worn machine or by a careless hand."""
    a = _placed(studio)
    studio.tack(a)
    studio.halt()
    studio.cover(a, Cover(bias=float(studio.rng.choice([-0.8, -0.5, 0.5, 0.8]))))


def cover_with_tails(studio: Studio) -> None:
    """The satin runs off the line at its ends."""
    a = _placed(studio)
    studio.tack(a)
    studio.halt()
    studio.cover(a, Cover(tails=float(studio.rng.uniform(3, 7))))


def wide_split_satin(studio: Studio) -> None:
    a = _placed(studio)
    studio.tack(a)
    studio.halt()
    studio.cover(a, Cover(width=float(studio.rng.uniform(6, 8)), longest=float(studio.rng.uniform(2.5, 3.5))))


def satin_in_columns(studio: Studio) -> None:
    a = _placed(studio)
    studio.tack(a)
    studio.halt()
    studio.cover(a, Cover(columns=int(studio.rng.integers(2, 7))))


def satin_with_edge_underlay(studio: Studio) -> None:
    a = _placed(studio)
    studio.tack(a)
    studio.halt()
    studio.cover(a, Cover(underlay="edge"))


def satin_with_zigzag_underlay(studio: Studio) -> None:
    a = _placed(studio)
    studio.tack(a, "double")
    studio.halt()
    studio.cover(a, Cover(underlay="zigzag", columns=int(studio.rng.integers(1, 4))))


EDGES: tuple[Callable[[Studio], None], ...] = (
    partial_tack,
    partial_cover,
    tucked_under,
    astray_cover,
    cover_with_tails,
    wide_split_satin,
    satin_in_columns,
    satin_with_edge_underlay,
    satin_with_zigzag_underlay,
)
