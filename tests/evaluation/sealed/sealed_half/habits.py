"""Habits of single hands, on single shapes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from piecewright.cutting.passes import Role
from tests.evaluation.pen import Meaning
from tests.evaluation.sealed import threads
from tests.evaluation.sealed.curves import rings
from tests.evaluation.sealed.edges import LOOPS
from tests.evaluation.sealed.figures import at, card, disc, pebble
from tests.evaluation.sealed.sealed_half import outlines

if TYPE_CHECKING:
    from shapely.geometry import Polygon

    from tests.evaluation.sealed.bench import Bench


def _any(b: Bench, size: float) -> Polygon:
    every = (
        outlines.cog(9, size / 2),
        outlines.cloud(size),
        outlines.moon(size / 2),
        outlines.mitten(size),
        outlines.shield(size),
        outlines.bolt(size),
        pebble(b.rng, size, 0.35),
    )
    return every[b.rng.integers(len(every))]


def felt_with_one_blanket(b: Bench) -> None:
    """Felt needs no tack-down: a line, the felt, one blanket stitch with doubled bites."""
    key = b.piece(_any(b, 60))
    b.place(key)
    b.halt()
    held = Meaning(Role.COVER, frozenset({Role.TACK_DOWN}), key)
    for one, start in zip(b.pieces[key].curves, b.pieces[key].start, strict=True):
        b.sew(threads.comb(one, b.ends(one, start, (0.0, 1.0)), 3.0, 3.2, double=True), held)


def satin_in_two_halves(b: Bench) -> None:
    """The satin comes in two halves that meet at top and bottom, left and right in two blocks."""
    key = b.piece(outlines.shield(70) if b.rng.random() < 0.5 else outlines.pear(70))
    b.place(key)
    b.halt()
    b.tack(key, "run", by=0.5)
    b.halt()
    b.cover(key, spans=[(0.0, 0.505)])
    b.halt()
    b.cover(key, spans=[(1.0, 0.495)])


def looped_edge(b: Bench) -> None:
    """Raw edge with a chain of loops along it."""
    key = b.piece(_any(b, 80))
    b.place(key)
    b.halt()
    b.tack(key, "run", by=1.2)
    b.halt()
    meaning = Meaning(Role.COVER, frozenset({Role.TACK_DOWN, Role.DETAIL}), key)
    for one, start in zip(b.pieces[key].curves, b.pieces[key].start, strict=True):
        b.sew(threads.motif(one, b.ends(one, start, (0.0, 1.0)), LOOPS, 4.0), meaning)


def pencil_lines_in_two_colours(b: Bench) -> None:
    """Held by a run, then drawn round with loose lines in two colours that sway about the edge."""
    key = b.piece(_any(b, 75))
    b.place(key)
    b.halt()
    b.tack(key, "run", by=1.0)
    drawn = Meaning(Role.COVER, frozenset({Role.TACK_DOWN, Role.DETAIL}), key)
    for _ in range(2):
        b.halt()
        for one in b.pieces[key].curves:
            b.sew(threads.loose(b.line_open(one), b.rng, 1.2), drawn)


def placed_twice_held_by_zigzag_only(b: Bench) -> None:
    """Two laps of placement; a zigzag holds and covers in one."""
    key = b.piece(_any(b, 65))
    b.place(key, laps=2)
    b.halt()
    held = Meaning(Role.COVER, frozenset({Role.TACK_DOWN}), key)
    for one, start in zip(b.pieces[key].curves, b.pieces[key].start, strict=True):
        b.sew(threads.column(one, b.ends(one, start, (0.0, 1.02)), 2.6, 1.6), held)


def bean_three_inside(b: Bench) -> None:
    """Raw edge, a bean 3 mm inside; a filled dot and small lettering on the piece."""
    key = b.piece(outlines.cloud(95) if b.rng.random() < 0.5 else outlines.mitten(95))
    b.place(key)
    b.halt()
    b.tack(key, "bean", by=3.0)
    b.halt()
    b.fill(disc(-6, -4, 4))
    b.halt()
    b.word(-16, 8, 20)


def wide_split_satin(b: Bench) -> None:
    """A satin 7 mm wide whose stitches are broken."""
    key = b.piece(_any(b, 120))
    b.place(key)
    b.halt()
    b.tack(key, "zigzag", width=4.0)
    b.halt()
    b.cover(key, "split", width=7.0)


def line_in_two_runs(b: Bench) -> None:
    """The placement line is sewn in two runs with a cut between, ends not meeting by some stitches."""
    key = b.piece(_any(b, 70))
    b.place(key, spans=[(0.0, 0.47), (0.5, 0.985)])
    b.halt()
    b.tack(key, "run")
    b.halt()
    b.cover(key, "satin")


def dots_on_a_dress(b: Bench) -> None:
    """A skirt with many dots of 9 to 16 mm in one colour, placed, held and covered block by block."""
    skirt = b.piece(outlines.pear(120))
    b.place(skirt)
    b.halt()
    b.tack(skirt, by=1.0)
    b.halt()
    spots = ((-14, 8), (8, 0), (26, 18), (-30, 22), (2, 26), (-12, 40), (18, 40), (0, -24))
    keys = [b.piece(disc(x, y, float(b.rng.uniform(4.5, 8)))) for x, y in spots]
    for key in keys:
        b.place(key)
    b.halt()
    for key in keys:
        b.tack(key, "run")
    b.halt()
    for key in keys:
        b.cover(key)
    b.halt()
    b.cover(skirt, "zigzag+satin")


def sewn_behind_a_window(b: Bench) -> None:
    """Reverse appliqué: the ground is cut away inside the line after the cloth under it is held."""
    key = b.piece(_any(b, 70), optional=True)
    b.place(key)
    b.halt()
    outside = Meaning(Role.TACK_DOWN, frozenset({Role.DETAIL, Role.QUILTING}), key)
    b.sew(b.line_open(rings(b.pieces[key].region.buffer(6))[0]), outside)
    b.halt()
    b.cover(key)


def piece_in_a_tatami_meadow(b: Bench) -> None:
    """Grass is filled first with a gap left for the piece; details in satin overlap its edge."""
    form = at(outlines.cloud(50), 0, -12)
    b.fill(card(-60, 10, 60, 35), angle=10)
    b.halt()
    key = b.piece(form)
    b.place(key)
    b.halt()
    b.tack(key, "run")
    b.halt()
    b.cover(key)
    b.halt()
    for x in (-12.0, 4.0):
        one = rings(disc(x, 6, 5, 0.5))[0]
        b.ornament(threads.column(one, (0.0, one.length), 1.8, 0.4))


HABITS = (
    felt_with_one_blanket,
    satin_in_two_halves,
    looped_edge,
    pencil_lines_in_two_colours,
    placed_twice_held_by_zigzag_only,
    bean_three_inside,
    wide_split_satin,
    line_in_two_runs,
    dots_on_a_dress,
    sewn_behind_a_window,
    piece_in_a_tatami_meadow,
)
