"""Sound designs that an export or the shop has changed."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from tests.evaluation.sealed import tape
from tests.evaluation.sealed.alphabet import letter
from tests.evaluation.sealed.figures import at, disc, flower, heart, joined, pebble, star

if TYPE_CHECKING:
    from shapely.geometry import Polygon

    from tests.evaluation.sealed.bench import Bench


def _three(b: Bench) -> list[Polygon]:
    return [at(heart(36), -45, 0), at(pebble(b.rng, 34), 0, 0), at(letter("A", 38, 2.8), 45, 0)]


def cover_and_next_placement_in_one_block(b: Bench) -> None:
    """Neighbouring blocks of one thread were merged: the satin of a piece and the line of the next."""
    for region in _three(b):
        key = b.piece(region)
        b.place(key)
        b.halt()
        b.tack(key)
        b.halt()
        b.cover(key)
        b.halt()
    b.mishaps.append(partial(tape.merged, halts=(2, 5)))


def no_trims_and_travels_sewn(b: Bench) -> None:
    """Three placed at once, every way between them sewn as stitches."""
    keys = [b.piece(region) for region in _three(b)]
    for key in keys:
        b.place(key)
    b.halt()
    for key in keys:
        b.tack(key, by=0.8)
    b.halt()
    for key in keys:
        b.cover(key)
    b.mishaps += [tape.untrimmed, tape.dragged]


def turned_and_resized(b: Bench) -> None:
    """Turned by any angle, mirrored, made 85 % or 120 % of its size without new stitches."""
    b.turned(
        float(b.rng.uniform(0, 360)), float(b.rng.choice([0.85, 1.2])), mirrored=bool(b.rng.random() < 0.5)
    )
    for region in (joined(disc(0, 0, 26), at(star(8, 34, 0.7), 0, 0)), disc(0, 0, 12)):
        key = b.piece(region)
        b.place(key)
        b.halt()
        b.tack(key, "zigzag")
        b.halt()
        b.cover(key)
        b.halt()


def tiny_and_huge(b: Bench) -> None:
    """6 mm dots on a flower of 250 mm, in one hoop."""
    big = b.piece(flower(8, 125, 0.3))
    b.place(big)
    b.halt()
    b.tack(big)
    b.halt()
    b.cover(big)
    b.halt()
    dots = [
        b.piece(at(disc(0, 0, float(b.rng.uniform(3, 5))), x, y))
        for x, y in ((-30, 0), (0, 0), (30, 0), (0, 30))
    ]
    for key in dots:
        b.place(key)
    b.halt()
    for key in dots:
        b.tack(key)
    b.halt()
    for key in dots:
        b.cover(key, width=1.8)


EXPORTS = (
    cover_and_next_placement_in_one_block,
    no_trims_and_travels_sewn,
    turned_and_resized,
    tiny_and_huge,
)
