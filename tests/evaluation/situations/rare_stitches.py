"""Pieces held or covered by stitches that are sewn over and over: their kind decides what the pass is for."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from piecewright.cutting.passes import Role
from tests.evaluation.pen import Meaning
from tests.evaluation.shapes import blob, circle, ellipse, flower, heart, rounded_rectangle
from tests.evaluation.situations.negatives import DECORATIVE

if TYPE_CHECKING:
    from collections.abc import Callable

    from piecewright.cutting.geometry import FloatArray
    from tests.evaluation.lines import Line
    from tests.evaluation.studio import Studio


def _placed(studio: Studio) -> int:
    size = float(studio.rng.uniform(40, 80))
    a = studio.piece(studio.shape(size, circle, ellipse, heart, blob, flower, rounded_rectangle))
    studio.place(a)
    studio.halt()
    return a


def blanket_sewn_twice(studio: Studio) -> None:
    """The edge covered by a blanket stitch whose bites are sewn in and out twice, the edge between once."""
    a = _placed(studio)
    studio.tack(a)
    studio.halt()
    path = studio.round(studio.pieces[a].line)
    bite, apart = studio.rng.uniform(2.0, 3.5, 2)
    where = np.linspace(0, path.length, max(4, round(path.length / apart)) + 1)
    on = path.at(where)
    tips = on + path.normals(where) * bite * studio.inward(path, a)
    studio.sew(np.stack([on, tips, on, tips, on], axis=1).reshape(-1, 2), Meaning(Role.COVER, piece=a))


def bean_of_five_holds(studio: Studio) -> None:
    """Each stitch of the tack-down sewn five times, and satin over it."""
    a = _placed(studio)
    path = studio.round(studio.pieces[a].line)
    on = studio.running(path, float(studio.rng.uniform(1.8, 3.2)))
    five = np.stack([on[1:], on[:-1]] * 2 + [on[1:]], axis=1).reshape(-1, 2)
    studio.sew(np.vstack([on[:1], five]), Meaning(Role.TACK_DOWN, piece=a))
    studio.halt()
    studio.cover(a)


def knots_along_the_edge(studio: Studio) -> None:
    """A raw edge held by a double run, with candlewick knots along it."""
    a = _placed(studio)
    studio.tack(a, "double")
    studio.halt()
    path = studio.round(studio.pieces[a].line)
    size, apart = float(studio.rng.uniform(2.0, 3.2)), float(studio.rng.uniform(4.0, 6.0))
    knots = _knots(path, size, apart, rays=int(studio.rng.integers(6, 10)))
    studio.sew(knots, Meaning(Role.COVER, DECORATIVE | {Role.TACK_DOWN}, a))


def _knots(path: Line, size: float, apart: float, rays: int) -> FloatArray:
    """Rays out of one hole and back, again and again along a path."""
    angle = np.arange(rays) * 2 * np.pi / rays
    tips = size / 2 * np.column_stack([np.cos(angle), np.sin(angle)])
    knot = np.vstack([np.stack([0 * tips, tips], axis=1).reshape(-1, 2), np.zeros((1, 2))])
    middles = path.at(np.linspace(0, path.length, max(4, round(path.length / apart)) + 1)[:-1])
    return np.asarray((middles[:, None] + knot).reshape(-1, 2))


RARE_STITCHES: list[Callable[[Studio], None]] = [
    blanket_sewn_twice,
    bean_of_five_holds,
    knots_along_the_edge,
]
