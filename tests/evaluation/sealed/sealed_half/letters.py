"""Letters, numbers and words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.evaluation.sealed.alphabet import letter
from tests.evaluation.sealed.curves import inset
from tests.evaluation.sealed.figures import at, disc, less, sized
from tests.evaluation.sealed.sealed_half.outlines import script

if TYPE_CHECKING:
    from tests.evaluation.sealed.bench import Bench


def joined_script_as_one_piece(b: Bench) -> None:
    """A word in joined writing: one piece with many counters."""
    key = b.piece(sized(script(int(b.rng.integers(16))), float(b.rng.uniform(110, 180))))
    b.place(key)
    b.halt()
    b.tack(key, "bean" if b.rng.random() < 0.5 else "run", by=0.7)
    b.halt()
    b.cover(key, "run+satin")


def slab_word_with_all_satins_last(b: Bench) -> None:
    """Letters placed and held in turn; all satins in the last block."""
    signs = b.rng.permutation(list("DEHILRTU"))[:4]
    keys = []
    for k, sign in enumerate(signs):
        keys.append(b.piece(at(letter(str(sign), 55, 2.8, slab=True), k * 56, 0)))
        b.place(keys[-1])
        b.halt()
        b.tack(keys[-1], "zigzag", width=1.8)
        b.halt()
    for key in keys:
        b.cover(key)


def letter_in_a_ring(b: Bench) -> None:
    """A ring of fabric round a letter of fabric."""
    for region in (less(disc(0, 0, 58), disc(0, 0, 44)), letter(str(b.rng.choice(list("HKMNRSZ"))), 52, 3.4)):
        key = b.piece(region)
        b.place(key)
        b.halt()
        b.tack(key, by=float(b.rng.choice([0.0, 1.2])))
        b.halt()
        b.cover(key)
        b.halt()


def jersey_number_in_two_layers(b: Bench) -> None:
    """Two layers of twill placed one on the other, zigzag on both at the very end."""
    upper = letter(str(b.rng.choice(list("48"))), 90, 3.4)
    keys = []
    for region in (inset(upper, -5.0), upper):
        keys.append(b.piece(region))
        b.place(keys[-1])
        b.halt()
        b.tack(keys[-1], "bean", by=1.0)
        b.halt()
    for key in keys:
        b.cover(key, "zigzag", width=2.6)


def raw_edge_letters_by_two_loose_laps(b: Bench) -> None:
    """Raw-edge letters held by two laps 2 mm inside."""
    keys = [b.piece(at(letter(str(s), 60, 3.4, soft=True), k * 56, 0)) for k, s in enumerate("LUT")]
    for key in keys:
        b.place(key)
    b.halt()
    for key in keys:
        b.tack(key, "twice", by=2.0)


def alphabet_sampler_one_colour_each(b: Bench) -> None:
    """Six letters in two rows; placed together, then one block each with tack-down and blanket."""
    keys = [b.piece(at(letter(str(s), 48, 3.2), k % 3 * 56, k // 3 * 62)) for k, s in enumerate("PZIGSY")]
    for key in keys:
        b.place(key)
    for key in keys:
        b.halt()
        b.tack(key, by=0.8)
        b.cover(key, "comb", width=2.5)


LETTERS = (
    joined_script_as_one_piece,
    slab_word_with_all_satins_last,
    letter_in_a_ring,
    jersey_number_in_two_layers,
    raw_edge_letters_by_two_loose_laps,
    alphabet_sampler_one_colour_each,
)
