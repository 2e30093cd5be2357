"""Designs that came through somebody else's hands."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from tests.evaluation.sealed import tape
from tests.evaluation.sealed.alphabet import letter
from tests.evaluation.sealed.figures import at, disc
from tests.evaluation.sealed.sealed_half import outlines

if TYPE_CHECKING:
    from tests.evaluation.sealed.bench import Bench


def _three(b: Bench) -> list[int]:
    forms = [
        outlines.shield(44),
        outlines.cog(8, 22),
        letter("D", 46, 3.0),
        outlines.bolt(48),
        outlines.pear(44),
    ]
    return [b.piece(at(forms[k], x, 0)) for k, x in zip(b.rng.permutation(5)[:3], (-52, 0, 52), strict=True)]


def _in_turn(b: Bench, keys: list[int]) -> None:
    for key in keys:
        b.place(key)
        b.halt()
        b.tack(key, by=0.5)
        b.halt()
        b.cover(key)
        b.halt()


def halts_between_tack_and_cover_lost(b: Bench) -> None:
    """One colour for tack-down and cover: the halt between them is gone, and so are the cuts."""
    _in_turn(b, _three(b))
    b.mishaps += [partial(tape.merged, halts=(1, 4, 7)), tape.untrimmed]


def cover_merged_with_all_that_follows(b: Bench) -> None:
    """Covers run into the next piece's line, every travel sewn."""
    _in_turn(b, _three(b))
    b.mishaps += [partial(tape.merged, halts=(2, 5)), tape.untrimmed, tape.dragged]


def one_colour_stops_between(b: Bench) -> None:
    """Every block in one thread, so that halts are stops and not colour changes."""
    _in_turn(b, _three(b))

    def one_shade(sewn: tape.Tape) -> tape.Tape:
        return replace(sewn, shades=[0x222222] * len(sewn.shades))

    b.mishaps.append(one_shade)


def turned_any_way(b: Bench) -> None:
    """Turned by any angle and mirrored; pieces placed together."""
    b.turned(float(b.rng.uniform(0, 360)), mirrored=True)
    keys = _three(b)
    for key in keys:
        b.place(key)
    b.halt()
    for key in keys:
        b.tack(key, "zigzag")
    b.halt()
    for key in keys:
        b.cover(key)


def shrunk_and_grown(b: Bench) -> None:
    """85 % or 120 % of its size with as many stitches; tiny pieces among them."""
    b.turned(0.0, float(b.rng.choice([0.85, 1.2])))
    keys = [*_three(b), *(b.piece(disc(x, 40, 5)) for x in (-20, 0, 20))]
    for key in keys:
        b.place(key)
    b.halt()
    for key in keys:
        b.tack(key)
    b.halt()
    for key in keys:
        b.cover(key)


def whole_hoop(b: Bench) -> None:
    """One piece of 240 mm and a small one far from it, long stitches."""
    b.hand = replace(b.hand, stitch=4.5, division="even")
    keys = [b.piece(outlines.mitten(240)), b.piece(at(outlines.bone(28), 66, -85))]
    for key in keys:
        b.place(key)
    b.halt()
    for key in keys:
        b.tack(key, "back")
    b.halt()
    for key in keys:
        b.cover(key, "zigzag+satin")


def fine_needle_points(b: Bench) -> None:
    """An auto-digitizer's file: stitches of 1.2 mm, every corner a lock."""
    b.hand = replace(b.hand, stitch=1.2, division="march", lock="star")
    _in_turn(b, _three(b)[:2])


EXPORTS = (
    halts_between_tack_and_cover_lost,
    cover_merged_with_all_that_follows,
    one_colour_stops_between,
    turned_any_way,
    shrunk_and_grown,
    whole_hoop,
    fine_needle_points,
)
