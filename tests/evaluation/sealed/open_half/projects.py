"""Projects in the hoop, quilt blocks, and other grounds."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from shapely.geometry import LineString

from piecewright.cutting.passes import Role
from tests.evaluation.sealed import areas
from tests.evaluation.sealed.curves import curve, inset
from tests.evaluation.sealed.figures import at, card, disc, flower, heart, joined, leaf, less, star

if TYPE_CHECKING:
    from shapely.geometry import Polygon

    from tests.evaluation.sealed.bench import Bench

SEAM = frozenset({Role.DETAIL, Role.COVER, Role.TACK_DOWN})


def _base(b: Bench, region: Polygon, by: float) -> int:
    key = b.piece(region, "base")
    b.place(key)
    b.halt()
    b.tack(key, "run", by=by)
    b.halt()
    return key


def mug_rug(b: Bench) -> None:
    """Batting, ground cloth, a heart on it, wavy quilting that stops at the heart, a back, the seam."""
    cloth = card(-75, -55, 75, 55, 4)
    _base(b, cloth, -1.0)
    ground = b.piece(card(-73, -53, 73, 53, 3), "either", optional=True)
    b.place(ground)
    b.halt()
    b.tack(ground, "run")
    b.halt()
    form = at((heart(50), flower(6, 26, 0.35), star(5, 28, 0.5))[b.rng.integers(3)], -25, 0)
    key = b.piece(form)
    b.place(key)
    b.halt()
    b.tack(key, "run", by=0.5)
    b.halt()
    for one in areas.wander(less(inset(cloth, 6), form.buffer(3)), 9.0, b.rng):
        b.draw(b.line_open(one), role=Role.QUILTING)
    b.halt()
    b.cover(key)
    b.halt()
    seam = curve(np.array(inset(cloth, 4).exterior.coords))
    b.draw(b.line_open(seam, 2.5), role=Role.QUILTING)


def quilt_block(b: Bench) -> None:
    """Batting and cloth held by one line each, petals, then stippling up to 2 mm from every piece."""
    square = card(-90, -90, 90, 90)
    _base(b, square, 2.0)
    petals = [
        at(leaf(52, 26), 45 * np.cos(t), 45 * np.sin(t), np.degrees(t))
        for t in np.arange(4) * np.pi / 2 + 0.78
    ]
    keys = [b.piece(region) for region in petals]
    for key in keys:
        b.place(key)
    b.halt()
    for key in keys:
        b.tack(key, "run", by=1.0)
    b.halt()
    for key in keys:
        b.cover(key, "comb", width=3.0)
    b.halt()
    taken = [region.buffer(2.0) for region in petals]
    for one in areas.wander(less(inset(square, 5), *taken), 8.0, b.rng):
        b.draw(b.line_open(one), role=Role.QUILTING)


def key_tab(b: Bench) -> None:
    """Vinyl tab: the front is placed and held by a run; the back goes under the hoop, a bean round all."""
    tab = joined(card(-14, -45, 14, 25, 8), disc(0, -45, 14))
    key = b.piece(tab, "either")
    b.place(key)
    b.halt()
    b.tack(key, "run", by=float(b.rng.choice([0.0, 1.0])))
    b.halt()
    b.fill(at(star(5, 8, 0.45), 0, -10))
    b.halt()
    b.tack(key, "bean", by=2.0)


def basting_box_and_marks(b: Bench) -> None:
    """A basting box and crosses for aligning come first; then an ordinary flower."""
    frame = curve(np.array(card(-60, -60, 60, 60).exterior.coords))
    b.draw(b.line_open(frame, 6.0))
    for x, y in ((-55, -55), (55, 55)):
        for ends in (((x - 3, y), (x + 3, y)), ((x, y - 3), (x, y + 3))):
            b.draw(b.line_open(curve(ends, closed=False), 2.0))
    b.halt()
    key = b.piece(flower(5, 32, 0.3))
    b.place(key)
    b.halt()
    b.tack(key, "run")
    b.halt()
    b.cover(key)
    b.halt()
    middle = b.piece(disc(0, 0, 9))
    b.place(middle)
    b.halt()
    b.tack(middle, "bean")
    b.halt()
    b.cover(middle)


def reverse_window(b: Bench) -> None:
    """Reverse appliqué: the window's line; cloth under it, held 4 mm outside; satin on the line."""
    key = b.piece((heart(60), star(5, 34, 0.5), disc(0, 0, 28))[b.rng.integers(3)], optional=True)
    b.place(key)
    b.halt()
    b.tack(key, "run", by=-4.0)
    b.halt()
    b.cover(key)


def on_a_filled_ground(b: Bench) -> None:
    """A tatami scene with an appliqué balloon in it, and a string in satin."""
    b.fill(card(-50, 20, 50, 45), angle=20)
    b.halt()
    key = b.piece(disc(0, -15, 20, 1.15))
    b.place(key)
    b.halt()
    b.tack(key, "zigzag")
    b.halt()
    b.cover(key)
    b.halt()
    string = curve(np.array(LineString([(0, 9), (4, 20), (-3, 34)]).coords), closed=False)
    b.draw(b.line_open(string))


PROJECTS = (mug_rug, quilt_block, key_tab, basting_box_and_marks, reverse_window, on_a_filled_ground)
