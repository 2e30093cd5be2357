"""Projects in the hoop and quilt blocks."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from shapely.geometry import LineString

from piecewright.cutting.passes import Role
from tests.evaluation.sealed import areas
from tests.evaluation.sealed.curves import curve, rings
from tests.evaluation.sealed.figures import at, card, disc, joined, less
from tests.evaluation.sealed.sealed_half import outlines

if TYPE_CHECKING:
    from shapely.geometry import Polygon

    from tests.evaluation.sealed.bench import Bench
    from tests.evaluation.sealed.edges import Kind


def _layer(b: Bench, region: Polygon, kind: Kind, by: float, *, optional: bool = False) -> None:
    key = b.piece(region, kind, optional=optional)
    b.place(key)
    b.halt()
    b.tack(key, "run", by=by)
    b.halt()


def round_coaster(b: Bench) -> None:
    """Batting, front, a small appliqué, back, satin round the rim."""
    rim = disc(0, 0, 50)
    _layer(b, rim, "either", 1.5)
    key = b.piece(at(outlines.pear(40), 0, 0))
    b.place(key)
    b.halt()
    b.tack(key, by=0.6)
    b.halt()
    b.cover(key)
    b.halt()
    one = rings(rim)[0]
    b.draw(b.line_open(one), role=Role.TACK_DOWN)
    b.halt()
    b.edge(one, (0.0, one.length * 1.01), "zigzag+satin", 0, width=4.0)


def zip_pouch(b: Bench) -> None:
    """The zip's two lines, a front piece above and one below it, a bone on the lower one, the seam."""
    for y in (-24.0, -18.0):
        b.draw(b.line_open(curve(((-60.0, y), (60.0, y)), closed=False)))
    b.halt()
    for y in (-25.0, -17.0):
        b.draw(b.line_open(curve(((-60.0, y), (60.0, y)), closed=False)))
    b.halt()
    _layer(b, card(-60, -45, 60, -22), "either", 0.0, optional=True)
    _layer(b, card(-60, -20, 60, 45), "either", 0.0, optional=True)
    key = b.piece(at(outlines.bone(50), 0, 14))
    b.place(key)
    b.halt()
    b.tack(key)
    b.halt()
    b.cover(key)
    b.halt()
    seam = rings(card(-58, -43, 58, 43, 3))[0]
    b.draw(b.line_open(seam, 2.2), role=Role.QUILTING)


def crosshatched_block(b: Bench) -> None:
    """Batting over the whole hoop, a mitten, straight lines both ways that stop at the mitten."""
    square = card(-70, -70, 70, 70)
    _layer(b, square, "base", -1.5)
    form = outlines.mitten(80)
    key = b.piece(form)
    b.place(key)
    b.halt()
    b.tack(key, "run", by=0.5)
    b.halt()
    room = less(square, form.buffer(2.5))
    for turn in (45.0, -45.0):
        for one in areas.across(room, 18.0, turn):
            b.draw(b.line_open(one), role=Role.QUILTING)
    b.halt()
    b.cover(key)


def stocking_with_cuff(b: Bench) -> None:
    """Stocking in one fabric, cuff over its top, toe over its foot; echo lines round all."""
    leg = joined(card(-16, -50, 16, 20, 2), disc(4, 22, 20), at(disc(0, 0, 13), 26, 28))
    for region in (leg, card(-22, -58, 22, -38, 2)):
        key = b.piece(region)
        b.place(key)
        b.halt()
        b.tack(key, "zigzag")
        b.halt()
        b.cover(key)
        b.halt()
    for one in areas.echoes(leg, 7.0, 2):
        b.draw(b.line_open(one), role=Role.QUILTING)


def hanger_with_a_ribbon(b: Bench) -> None:
    """A felt shape: its detail, a tack for the ribbon, then a bean that holds the back and is the seam."""
    form = (outlines.bone(80), outlines.cloud(80), outlines.shield(70))[b.rng.integers(3)]
    key = b.piece(form, "either")
    b.place(key)
    b.halt()
    b.tack(key, by=1.0)
    b.halt()
    b.fill(disc(0, 0, 6), angle=45)
    b.halt()
    b.draw(b.line_open(curve(((-3.0, -10.0), (3.0, -10.0), (-3.0, -11.0), (3.0, -11.0)), closed=False), 1.5))
    b.halt()
    b.tack(key, "bean", by=2.5)


def wave_quilting_over_everything(b: Bench) -> None:
    """Pieces raw-edged on a ground, then waves across the whole block and over the pieces."""
    keys = [b.piece(at(outlines.moon(24), -34, 0)), b.piece(at(outlines.pear(50), 34, 0))]
    for key in keys:
        b.place(key)
    b.halt()
    for key in keys:
        b.tack(key, by=1.5)
    b.halt()
    x = np.arange(-75, 75, 0.5)
    for y in np.arange(-40, 41, 10.0):
        way = LineString(np.column_stack((x, y + 3 * np.sin(x / 9))))
        b.draw(b.line_open(curve(np.array(way.coords), closed=False)), role=Role.QUILTING)


def badge_on_twill(b: Bench) -> None:
    """A badge: twill placed and held, emblem filled on it, a wide satin border round it."""
    key = b.piece(outlines.shield(float(b.rng.uniform(60, 90))), "either")
    b.place(key)
    b.halt()
    b.tack(key, by=0.8)
    b.halt()
    b.fill(outlines.bolt(34))
    b.halt()
    b.cover(key, "run+satin", width=4.5)


def framed_picture(b: Bench) -> None:
    """A frame with an oval opening laid over a picture that is sewn before."""
    b.fill(disc(0, 8, 14), angle=30)
    b.halt()
    key = b.piece(less(card(-50, -40, 50, 40, 5), disc(0, 0, 36, 0.75)))
    b.place(key)
    b.halt()
    b.tack(key, by=0.8)
    b.halt()
    b.cover(key)


HOOP = (
    round_coaster,
    zip_pouch,
    crosshatched_block,
    stocking_with_cuff,
    hanger_with_a_ribbon,
    wave_quilting_over_everything,
    badge_on_twill,
    framed_picture,
)
