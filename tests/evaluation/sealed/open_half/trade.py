"""Habits of the trade, each shown on one or two plain shapes."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from shapely.geometry import LineString

from piecewright.cutting.passes import Role
from tests.evaluation.pen import Meaning
from tests.evaluation.sealed import threads
from tests.evaluation.sealed.alphabet import letter
from tests.evaluation.sealed.curves import curve, inset
from tests.evaluation.sealed.figures import at, card, disc, flower, heart, joined, less, pebble, polygon, star

if TYPE_CHECKING:
    from shapely.geometry import Polygon

    from tests.evaluation.sealed.bench import Bench


def _form(b: Bench, size: float = 55.0) -> Polygon:
    forms = (heart(size), pebble(b.rng, size, 0.3), star(6, size / 2, 0.6), flower(7, size / 2, 0.3))
    return forms[b.rng.integers(len(forms))]


def trim_line_before_the_satin(b: Bench) -> None:
    """Cut in the hoop: tack-down, then a second run along it to trim by, then satin."""
    key = b.piece(_form(b))
    b.place(key)
    b.halt()
    b.tack(key, by=0.6)
    b.halt()
    b.tack(key, by=float(b.rng.choice([0.0, 0.6])))
    b.halt()
    b.cover(key, "zigzag+satin")


def dieline_sewn_twice_before_the_fabric(b: Bench) -> None:
    """An old habit: a line to cut by, a halt, the same line again to place by, then tack-down and satin."""
    key = b.piece(_form(b))
    b.place(key, also=(Role.TACK_DOWN, Role.DETAIL))
    b.halt()
    b.place(key, also=(Role.TACK_DOWN,))
    b.halt()
    b.tack(key, "zigzag")
    b.halt()
    b.cover(key)


def blanket_from_both_sides(b: Bench) -> None:
    """Blanket stitch biting inwards, then once more biting outwards."""
    key = b.piece(_form(b))
    b.place(key)
    b.halt()
    b.tack(key, by=0.5)
    b.halt()
    b.cover(key, "comb", width=3.0)
    b.cover(key, "out-comb", width=2.0)


def motif_cover(b: Bench) -> None:
    """Raw edge held by a run and a row of little triangles along it."""
    key = b.piece(_form(b, 70))
    b.place(key)
    b.halt()
    b.tack(key, "twice", by=1.0)
    b.halt()
    b.cover(key, "motif")


def sketchy_raw_edge(b: Bench) -> None:
    """Sketch style: the fabric is held by two or three loose lines that cross each other on its edge."""
    for region in (_form(b, 60), at(_form(b, 26), 60, 0)):
        key = b.piece(region)
        b.place(key)
        b.halt()
        held = Meaning(Role.TACK_DOWN, frozenset({Role.COVER, Role.DETAIL}), key)
        for one in b.pieces[key].curves:
            for _ in range(int(b.rng.choice([2, 3]))):
                b.sew(threads.loose(b.line_open(one), b.rng, 0.9), held)
        b.halt()


def two_layers_of_twill(b: Bench) -> None:
    """Varsity letter: a wide lower letter, a narrower upper one on it, zigzag on both."""
    upper = letter(str(b.rng.choice(list("BDEHKLMPRT"))), 70, 3.4)
    for region in (inset(upper, -4.0), upper):
        key = b.piece(region)
        b.place(key)
        b.halt()
        b.tack(key, "run", by=1.2)
        b.cover(key, "zigzag", width=2.2)
        b.halt()


def wandering_tack_down(b: Bench) -> None:
    """The fabric is held by stippling all over it; blanket stitch on the edge."""
    key = b.piece(_form(b, 90))
    b.place(key)
    b.halt()
    b.tack(key, "wander")
    b.halt()
    b.cover(key, "comb", width=3.5)


def tack_down_missing(b: Bench) -> None:
    """Fused pieces: placement, then the satin at once."""
    for region in (_form(b, 45), at(_form(b, 30), 50, 10)):
        key = b.piece(region)
        b.place(key)
        b.halt()
        b.cover(key, "run+satin")
        b.halt()


def seven_hexagons(b: Bench) -> None:
    """Patchwork hexagons edge to edge, each placed and held in turn; feather stitch on the edges last."""
    centres = [(0.0, 0.0)] + [
        (34.6 * np.cos(t), 34.6 * np.sin(t)) for t in np.pi / 6 + np.arange(6) * np.pi / 3
    ]
    form = polygon([(20 * np.cos(t), 20 * np.sin(t)) for t in np.arange(6) * np.pi / 3])
    keys = [b.piece(at(form, x, y)) for x, y in centres]
    for key in keys:
        b.place(key)
        b.halt()
        b.tack(key, by=1.0)
        b.halt()
    for key in keys:
        b.cover(key, "zigzag", width=3.0)


def face_embroidered_on_the_piece(b: Bench) -> None:
    """A gingerbread face: eyes filled, mouth and icing in satin within the piece, name below."""
    key = b.piece(joined(disc(0, 0, 30), at(disc(0, 0, 12), -26, 18), at(disc(0, 0, 12), 26, 18)))
    b.place(key)
    b.halt()
    b.tack(key)
    b.halt()
    for x in (-10, 10):
        b.fill(disc(x, -6, 3.5))
    b.halt()
    smile = curve(
        np.array(LineString([(-12, 8), (-6, 13), (0, 14.5), (6, 13), (12, 8)]).coords), closed=False
    )
    b.ornament(threads.column(smile, (0.0, smile.length), 2.0, 0.4))
    b.halt()
    b.cover(key)
    b.halt()
    b.word(-24, 40, 48)


def all_placed_in_one_block_with_marks(b: Bench) -> None:
    """Bunting: five flags placed in one block together with the string they hang on."""
    string = curve(
        np.array(LineString([(-95, -2), (-40, 4), (0, 6), (40, 4), (95, -2)]).coords), closed=False
    )
    keys = [
        b.piece(at(polygon([(-14, 0), (14, 0), (0, 32)]), x, 6 - abs(x) * 0.05))
        for x in (-70, -35, 0, 35, 70)
    ]
    for key in keys:
        b.place(key)
    b.draw(b.line_open(string))
    b.halt()
    for key in keys:
        b.tack(key, by=1.0)
    b.halt()
    for key in keys:
        b.cover(key)
    b.halt()
    b.ornament(threads.column(string, (0.0, string.length), 2.0, 0.45))


def window_cut_out_of_a_wall(b: Bench) -> None:
    """A house: the wall has a window cut out; roof and door are pieces of their own."""
    wall = less(card(-32, -14, 32, 36), card(6, -4, 24, 16))
    for region in (wall, polygon([(-40, -14), (40, -14), (0, -44)], 1), card(-20, 10, -6, 36)):
        key = b.piece(region)
        b.place(key)
        b.halt()
        b.tack(key, by=0.5)
        b.halt()
        b.cover(key)
        b.halt()


TRADE = (
    trim_line_before_the_satin,
    dieline_sewn_twice_before_the_fabric,
    blanket_from_both_sides,
    motif_cover,
    sketchy_raw_edge,
    two_layers_of_twill,
    wandering_tack_down,
    tack_down_missing,
    seven_hexagons,
    face_embroidered_on_the_piece,
    all_placed_in_one_block_with_marks,
    window_cut_out_of_a_wall,
)
