"""Letters as appliqué."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.evaluation.sealed.alphabet import letter
from tests.evaluation.sealed.figures import at

if TYPE_CHECKING:
    from tests.evaluation.sealed.bench import Bench


def word_placed_in_one_block(b: Bench) -> None:
    """Name on a banner: all letters placed at once, tacked at once, satin at once."""
    keys = [
        b.piece(at(letter(s, 45, 2.6), k * 42, 0))
        for k, s in enumerate(b.rng.permutation(list("BODPRES"))[:4])
    ]
    for key in keys:
        b.place(key)
    b.halt()
    for key in keys:
        b.tack(key, by=1.0)
    b.halt()
    for key in keys:
        b.cover(key)


def word_letter_by_letter(b: Bench) -> None:
    """The same, each letter finished before the next."""
    for k, s in enumerate(b.rng.permutation(list("HOLKATN"))[:4]):
        key = b.piece(at(letter(s, 50, 3.2, soft=bool(b.rng.random() < 0.5)), k * 48, 0))
        b.place(key)
        b.halt()
        b.tack(key, "zigzag")
        b.halt()
        b.cover(key, "run+satin")
        b.halt()


def single_initial_tack_and_satin_in_one_block(b: Bench) -> None:
    """Pre-cut method: placement, halt, then tack-down and satin without a halt."""
    key = b.piece(letter(str(b.rng.choice(list("BDPR84Q"))), float(b.rng.uniform(60, 130)), 3.4))
    b.place(key)
    b.halt()
    b.tack(key, "run", by=0.8)
    b.cover(key, "satin")


def initial_in_raw_edge_bean(b: Bench) -> None:
    """Varsity letter with a raw edge: a bean 2.5 mm inside is all that holds it."""
    key = b.piece(letter(str(b.rng.choice(list("BEMKNR"))), float(b.rng.uniform(70, 120)), 3.4))
    b.place(key)
    b.halt()
    b.tack(key, "bean", by=2.5)


def initial_on_frame_with_name_below(b: Bench) -> None:
    """A letter sewn over a satin frame's middle, a name in small satin lettering under it."""
    key = b.piece(letter(str(b.rng.choice(list("DOPQ8G"))), 60, 2.8))
    b.place(key, laps=int(b.rng.choice([1, 2])))
    b.halt()
    b.tack(key, "twice")
    b.halt()
    b.cover(key)
    b.halt()
    b.word(-30, 42, 60)


LETTERS = (
    word_placed_in_one_block,
    word_letter_by_letter,
    single_initial_tack_and_satin_in_one_block,
    initial_in_raw_edge_bean,
    initial_on_frame_with_name_below,
)
