"""Designs from which nothing is to be cut."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from piecewright.cutting.passes import Role
from tests.evaluation.sealed import areas, threads
from tests.evaluation.sealed.alphabet import letter
from tests.evaluation.sealed.curves import curve, rings
from tests.evaluation.sealed.figures import at, card, disc, flower, heart, knotted, leaf, pebble, star

if TYPE_CHECKING:
    from shapely.geometry import Polygon

    from tests.evaluation.sealed.bench import Bench


def _cat() -> list[Polygon]:
    head = knotted(
        [(-30, -10), (-26, -38), (-10, -26), (10, -26), (26, -38), (30, -10), (20, 18), (0, 26), (-20, 18)],
        sharp=(1, 4),
    )
    return [head, disc(-11, -6, 4), disc(11, -6, 4), at(heart(8), 0, 6)]


def sketch_of_loose_lines(b: Bench) -> None:
    """A cat in two or three loose laps of each line, one colour after the other."""
    for region in _cat():
        for one in rings(region):
            for _ in range(int(b.rng.choice([2, 3]))):
                b.draw(threads.loose(b.line_open(one), b.rng, 0.8))
        if b.rng.random() < 0.5:
            b.halt()


def redwork(b: Bench) -> None:
    """Every line sewn there and back in one thread."""
    for region in [
        flower(6, 30, 0.35),
        disc(0, 0, 9),
        at(leaf(34, 16), 30, 35, 40),
        at(leaf(34, 16), -30, 35, 140),
    ]:
        b.draw(threads.there_and_back(b.line_open(rings(region)[0])))


def bean_drawing_in_colours(b: Bench) -> None:
    """A drawing in bean, a colour for each part."""
    for region in _cat():
        b.draw(threads.bean(b.line_open(rings(region)[0])))
        b.halt()


def fills_with_borders_twice(b: Bench) -> None:
    """Filled shapes with an outline sewn before and a satin after."""
    for region in (at(pebble(b.rng, 40), -30, 0), at(star(5, 20, 0.5), 28, 0)):
        one = rings(region)[0]
        b.draw(b.line_open(one), role=Role.UNDERLAY)
        b.fill(region, angle=float(b.rng.uniform(0, 90)))
        b.halt()
        b.ornament(threads.column(one, (0.0, one.length), 2.5, 0.4))
        b.halt()


def satin_monogram_in_a_frame(b: Bench) -> None:
    """A satin letter's strokes in an oval of two satin lines."""
    for r in (30.0, 34.0):
        one = rings(disc(0, 0, r, 1.2))[0]
        b.ornament(threads.column(one, (0.0, one.length), 1.5, 0.4))
    b.halt()
    b.fill(letter(str(b.rng.choice(list("KMRB"))), 34, 3.0), gap=0.4)


def quilting_motif(b: Bench) -> None:
    """A continuous line quilting flower, sewn once, and echoed twice."""
    form = flower(8, 35, 0.3)
    for one in [rings(form)[0], *areas.echoes(form, 6.0, 3)]:
        b.draw(b.line_open(one), role=Role.QUILTING)


def sashiko(b: Bench) -> None:
    """Overlapping circles in dashes: every second stitch is left out."""
    for x in range(3):
        for y in range(3):
            one = rings(disc(x * 20.0, y * 20.0, 14))[0]
            for a in np.arange(0, one.length - 3, 6.0):
                b.draw(one.at(np.array([a, a + 1.5, a + 3.0])), lock=False)


def cross_stitch_heart(b: Bench) -> None:
    """Crosses of 2.5 mm in two colours."""
    for form in (heart(40), heart(18)):
        for x in np.arange(-20, 20, 2.5).tolist():
            for y in np.arange(-20, 20, 2.5).tolist():
                if form.contains(disc(x + 1.25, y + 1.25, 1.2)):
                    cross = np.array([(x, y), (x + 2.5, y + 2.5), (x, y + 2.5), (x + 2.5, y)], dtype=float)
                    b.ornament(cross, on=True)
        b.halt()


def frame_of_motifs(b: Bench) -> None:
    """A frame in a run, then motifs along it, then small lettering in the middle."""
    one = curve(np.array(card(-45, -30, 45, 30, 8).exterior.coords))
    b.draw(b.line_open(one))
    b.halt()
    b.ornament(threads.motif(one, (0.0, one.length), ((0, 0), (0.3, 2), (0.6, 0), (0.8, -2), (1, 0)), 5.0))
    b.halt()
    b.word(-30, 0, 60)


DRAWINGS = (
    sketch_of_loose_lines,
    redwork,
    bean_drawing_in_colours,
    fills_with_borders_twice,
    satin_monogram_in_a_frame,
    quilting_motif,
    sashiko,
    cross_stitch_heart,
    frame_of_motifs,
)
