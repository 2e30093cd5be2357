"""Designs from which nothing is to be cut: drawings and quilting."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from piecewright.cutting.passes import Role
from tests.evaluation.pen import Meaning
from tests.evaluation.sealed import areas, threads
from tests.evaluation.sealed.curves import curve, inset, rings
from tests.evaluation.sealed.figures import at, card, disc, joined, less, star
from tests.evaluation.sealed.sealed_half import outlines

if TYPE_CHECKING:
    from tests.evaluation.sealed.bench import Bench


def loose_sketch_of_a_bus(b: Bench) -> None:
    """Two loose laps of every line, all in black; then hatching in grey."""
    for region in outlines.bus():
        for one in rings(region):
            for _ in range(2):
                b.draw(threads.loose(b.line_open(one), b.rng, 0.7))
    b.halt()
    for one in areas.across(outlines.bus()[0], 5.0, 60.0):
        b.draw(b.line_open(one))


def redwork_cupcake(b: Bench) -> None:
    """There and back along every line, in one thread, with a name in runs below."""
    for region in outlines.cupcake():
        b.draw(threads.there_and_back(b.line_open(rings(region)[0])))
    for x in np.arange(-18, 18, 6.0):
        b.draw(
            threads.there_and_back(
                b.line_open(curve(((x, 52.0), (x + 2, 46.0), (x + 4, 52.0)), closed=False))
            )
        )


def bean_butterfly_by_colours(b: Bench) -> None:
    """Wings in bean, the same wings 3 mm smaller in another colour: a drawing, or raw edges with a halt."""
    keys = [b.piece(region, optional=True) for region in outlines.butterfly()]
    for key in keys:
        b.place(key, strands=3, also=(Role.DETAIL, Role.QUILTING))
    b.halt()
    inner = frozenset({Role.DETAIL, Role.QUILTING})
    for key in keys:
        small = inset(b.pieces[key].region, 2.5 if key < 4 else 1.5)
        b.sew(threads.bean(b.line_open(rings(small)[0])), Meaning(Role.TACK_DOWN, inner, key))


def feather_with_echo(b: Bench) -> None:
    """A quilting motif sewn twice in one block and echoed."""
    form = outlines.pear(60)
    one = rings(form)[0]
    for _ in range(2):
        b.draw(b.line_open(one), role=Role.QUILTING)
    for ring in areas.echoes(form, 5.0, 4):
        b.draw(b.line_open(ring), role=Role.QUILTING)


def stippling_round_a_drawn_form(b: Bench) -> None:
    """A shape drawn once, the ground stippled up to it in another thread."""
    form = outlines.mitten(70)
    b.draw(b.line_open(rings(form)[0]), role=Role.QUILTING)
    b.halt()
    for one in areas.wander(less(card(-60, -60, 60, 60), form), 6.0, b.rng):
        b.draw(b.line_open(one), role=Role.QUILTING)


def sashiko_waves(b: Bench) -> None:
    """Overlapping scales in dashes."""
    for row in range(4):
        for k in range(4):
            centre = k * 24.0 + row % 2 * 12.0, row * 12.0
            for r in (12.0, 8.0, 4.0):
                one = rings(disc(*centre, r))[0]
                for a in np.arange(one.length / 2, one.length - 3, 5.0):
                    b.draw(one.at(np.array([a, a + 1.5, a + 3.0])), lock=False)


def continuous_line_leaves(b: Bench) -> None:
    """A vine drawn in one go, leaves as loops, back along the same way."""
    t = np.linspace(0, 1, 900)
    vine = np.column_stack((120 * t + 9 * np.cos(40 * t), 8 * np.sin(6 * t) + 12 * np.sin(40 * t)))
    b.draw(threads.there_and_back(b.line_open(curve(vine, closed=False))), role=Role.QUILTING)


def stars_in_runs_on_two_threads(b: Bench) -> None:
    """A sky of stars as single runs, half of them in a second colour."""
    for shade in range(2):
        for k in range(5):
            region = at(
                star(5, float(b.rng.uniform(6, 14)), 0.45),
                k * 32.0,
                shade * 34.0 + float(b.rng.uniform(-6, 6)),
            )
            b.draw(b.line_open(rings(region)[0]))
        b.halt()


def crosshatch_in_a_frame(b: Bench) -> None:
    """A frame once, a grid in it, the frame again to hide the ends."""
    frame = card(-45, -35, 45, 35, 4)
    b.draw(b.line_open(rings(frame)[0]), role=Role.QUILTING)
    for turn in (30.0, 90.0, 150.0):
        for one in areas.across(frame, 12.0, turn):
            b.draw(b.line_open(one), role=Role.QUILTING)
    b.draw(b.line_open(rings(frame)[0]), role=Role.QUILTING)


def seam_of_a_bag(b: Bench) -> None:
    """An open seam on three sides, sewn twice after a halt: the fourth stays open for turning."""
    way = curve(((-40.0, -45.0), (-40.0, 45.0), (40.0, 45.0), (40.0, -45.0)), closed=False)
    for _ in range(2):
        b.draw(b.line_open(way), role=Role.QUILTING)
        b.halt()
    b.draw(b.line_open(curve(((-40.0, -38.0), (40.0, -38.0)), closed=False)))


def rosette_of_circles(b: Bench) -> None:
    """Eight circles crossing each other, in bean, the middle filled later."""
    for k in range(8):
        t = k * np.pi / 4
        b.draw(threads.bean(b.line_open(rings(disc(16 * np.cos(t), 16 * np.sin(t), 16))[0])))
    b.halt()
    b.fill(joined(disc(0, 0, 6)))


DRAWINGS = (
    loose_sketch_of_a_bus,
    redwork_cupcake,
    bean_butterfly_by_colours,
    feather_with_echo,
    stippling_round_a_drawn_form,
    sashiko_waves,
    continuous_line_leaves,
    stars_in_runs_on_two_threads,
    crosshatch_in_a_frame,
    seam_of_a_bag,
    rosette_of_circles,
)
