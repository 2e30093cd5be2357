"""More designs from which nothing is to be cut, or about which a sewer could say both."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from shapely.geometry import LineString

from piecewright.cutting.passes import Role
from tests.evaluation.sealed import areas, threads
from tests.evaluation.sealed.curves import curve, inset, rings
from tests.evaluation.sealed.figures import at, card, disc, flower, heart, joined, leaf, pebble, star

if TYPE_CHECKING:
    from tests.evaluation.sealed.bench import Bench


def cutwork_eyelets(b: Bench) -> None:
    """Leaves round an eyelet: two runs, a halt to cut the cloth away, satin bars, satin round."""
    for region in [
        disc(0, 0, 8),
        *(at(leaf(26, 14), 22 * np.cos(t), 22 * np.sin(t), np.degrees(t)) for t in (0, 1.57, 3.14, 4.71)),
    ]:
        key = b.piece(region, optional=True)
        b.place(key, laps=2, also=(Role.DETAIL, Role.UNDERLAY))
    b.halt()
    for key in range(5):
        b.cover(key, width=2.0)


def lace_snowflake(b: Bench) -> None:
    """Free-standing lace: a net of runs sewn twice, satin bars over it."""
    bars = [((0.0, 0.0), (38 * np.cos(t), 38 * np.sin(t))) for t in np.arange(6) * np.pi / 3]
    for r in (12.0, 24.0, 36.0):
        b.draw(threads.there_and_back(b.line_open(rings(star(6, r, 0.86))[0])))
    for bar in bars:
        b.draw(threads.there_and_back(b.line_open(curve(bar, closed=False))))
    b.halt()
    for bar in bars:
        one = curve(bar, closed=False)
        b.ornament(threads.column(one, (0.0, one.length), 2.2, 0.4))
    for r in (12.0, 24.0, 36.0):
        one = rings(star(6, r, 0.86))[0]
        b.ornament(threads.column(one, (0.0, one.length), 1.6, 0.4))


def outlined_fills_in_many_colours(b: Bench) -> None:
    """A flower of fills, then all outlines in black bean at the end."""
    forms = [
        at(leaf(30, 20), 20 * np.cos(t), 20 * np.sin(t), np.degrees(t)) for t in np.arange(6) * np.pi / 3
    ]
    for k, form in enumerate([*forms, disc(0, 0, 9)]):
        b.fill(form, angle=30.0 * k)
        if k in (2, 5):
            b.halt()
    b.halt()
    for form in [*forms, disc(0, 0, 9)]:
        b.draw(threads.bean(b.line_open(rings(form)[0])))


def shadow_drawing_in_two_colours(b: Bench) -> None:
    """A cup drawn in grey, then again in black, a little aside."""
    for dx in (0.0, float(b.rng.uniform(0.8, 1.6))):
        for form in (
            card(-20 + dx, -15, 20 + dx, 20, 5),
            at(disc(0, 0, 9), 27 + dx, 0),
            at(heart(16), dx, 2),
        ):
            b.draw(b.line_open(rings(form)[0]))
        b.halt()


def trapunto_heart(b: Bench) -> None:
    """A heart in a run, cords left unsewn, close stippling around it up to the line."""
    form = heart(60)
    b.draw(b.line_open(rings(form)[0]), role=Role.QUILTING)
    b.halt()
    around = joined(form.buffer(18)).difference(form)
    for one in areas.wander(around, 4.0, b.rng):
        b.draw(b.line_open(one), role=Role.QUILTING)


def continuous_line_feather(b: Bench) -> None:
    """A feather wreath: loop after loop in one line, then the two rings of its spine."""
    one = rings(disc(0, 0, 40))[0]
    lobes = ((0.0, 0.0), (0.1, 5.0), (0.4, 9.0), (0.7, 8.0), (0.8, 4.0), (0.7, 1.0), (1.0, 0.0))
    b.draw(threads.motif(one, (0.0, one.length), lobes, 12.0), role=Role.QUILTING)
    for r in (38.0, 36.0):
        b.draw(b.line_open(rings(disc(0, 0, r))[0]), role=Role.QUILTING)


def seam_that_encloses_nothing(b: Bench) -> None:
    """Two layers are sewn together: one seam all round, reinforced after a halt; the pouch is cut by hand."""
    form = joined(card(-40, -25, 40, 25, 6))
    key = b.piece(form, "either", optional=True)
    b.place(key, also=(Role.DETAIL, Role.QUILTING))
    b.halt()
    b.tack(key)


def patch_with_a_satin_border(b: Bench) -> None:
    """A filled badge: underlay, fill to the edge, a star on it, the satin border last."""
    form = (disc(0, 0, 34), inset(card(-36, -26, 36, 26), -4))[b.rng.integers(2)]
    b.fill(form, gap=2.0, angle=90)
    b.fill(form, gap=0.42)
    b.halt()
    b.fill(star(5, 16, 0.45), angle=45)
    b.halt()
    one = rings(form)[0]
    b.draw(b.line_open(one), role=Role.UNDERLAY)
    b.ornament(threads.column(one, (0.0, one.length), 4.0, 0.38), on=True, role=Role.COVER)


def hatched_pebbles(b: Bench) -> None:
    """Pebbles in single runs with open hatching in each, colour by colour."""
    for x in (-30.0, 0.0, 30.0):
        form = at(pebble(b.rng, 24), x, 0)
        b.draw(b.line_open(rings(form)[0]))
        for arm in areas.rows(inset(form, 1.5), 2.5, 3.0, float(b.rng.uniform(0, 90))):
            b.draw(arm)
        b.halt()


def applied_ribbon(b: Bench) -> None:
    """Ribbons: two parallel lines mark where each lies, then a zigzag along both of its edges."""
    ways = [((-50.0, y), (0.0, y + 6), (50.0, y)) for y in (-10.0, 10.0)]
    for y in (-3.0, 3.0):
        for way in ways:
            line = LineString(way).parallel_offset(abs(y), "left" if y > 0 else "right")
            b.draw(b.line_open(curve(np.array(line.coords), closed=False)))
    b.halt()
    for way in ways:
        one = curve(np.array(LineString(way).coords), closed=False)
        for side in (-3.0, 3.0):
            b.ornament(threads.column(one, (0.0, one.length), 2.0, 1.4, side))


def mandala_in_bean(b: Bench) -> None:
    """Rings, petals, dots: all in bean, one colour a ring, every ring sewn once more at the end."""
    lines = [
        rings(form)[0] for form in (disc(0, 0, 8), flower(8, 22, 0.3), star(16, 36, 0.85), disc(0, 0, 42))
    ]
    for one in lines:
        b.draw(threads.bean(b.line_open(one)))
        b.halt()
    if b.rng.random() < 0.5:
        for one in lines:
            b.draw(b.line_open(one))


MORE_DRAWINGS = (
    cutwork_eyelets,
    lace_snowflake,
    outlined_fills_in_many_colours,
    shadow_drawing_in_two_colours,
    trapunto_heart,
    continuous_line_feather,
    seam_that_encloses_nothing,
    patch_with_a_satin_border,
    hatched_pebbles,
    applied_ribbon,
    mandala_in_bean,
)
