"""Drawings in several threads, written after the finder knew those of still_more_drawings.py."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from piecewright.cutting.passes import Role
from tests.evaluation.sealed import areas, threads
from tests.evaluation.sealed.alphabet import letter
from tests.evaluation.sealed.curves import curve, inset, rings
from tests.evaluation.sealed.figures import (
    at,
    card,
    disc,
    flower,
    heart,
    joined,
    knotted,
    leaf,
    polygon,
    star,
)

if TYPE_CHECKING:
    from collections.abc import Iterable

    from shapely.geometry import Polygon

    from tests.evaluation.sealed.bench import Bench
    from tests.evaluation.sealed.curves import Curve


def _lines(*forms: Polygon) -> list[Curve]:
    return [rings(form)[0] for form in forms]


def _way(*points: tuple[float, float]) -> Curve:
    return curve(np.array(points), closed=False)


def _run(b: Bench, lines: Iterable[Curve], *, laps: int = 1, role: Role = Role.DETAIL) -> None:
    for one in lines:
        points = b.line_open(one)
        b.draw(threads.there_and_back(points) if laps > 1 else points, role=role)


def _satin(b: Bench, lines: Iterable[Curve], width: float) -> None:
    for one in lines:
        b.ornament(threads.column(one, (0.0, one.length), width, b.hand.dense))


def owl_in_three_weights(b: Bench) -> None:
    """An owl in fine runs, its wing bars in bean, then all outlines there and back in black."""
    outlines = _lines(
        disc(0, 0, 24, 1.3), disc(-9, -12, 6), disc(9, -12, 6), polygon([(-3, -6), (3, -6), (0, 0)])
    )
    scales = [_way((x - 4, y), (x, y + 3), (x + 4, y)) for y in (6.0, 13.0, 20.0) for x in (-9.0, 0.0, 9.0)]
    _run(b, [*outlines, *scales])
    b.halt()
    for one in scales:
        b.draw(threads.bean(b.line_open(one)))
    b.halt()
    _run(b, outlines, laps=2)


def compass_rose(b: Bench) -> None:
    """Two stars, three rings, spokes: runs in grey, half of each ray filled, the outlines in bean."""
    lines = _lines(star(8, 34, 0.35), star(4, 24, 0.4), disc(0, 0, 38), disc(0, 0, 41), disc(0, 0, 4))
    _run(b, lines)
    b.halt()
    for t in np.degrees(np.arange(4) * np.pi / 2):
        b.fill(at(polygon([(4, 0), (22, 0), (6, 5)]), 0, 0, float(t)))
    b.halt()
    for one in lines:
        b.draw(threads.bean(b.line_open(one)))


def feather_over_its_spine(b: Bench) -> None:
    """Feathers: outline and barbs in a run, the outline again in another thread, the spine in satin."""
    form = leaf(60, 20)
    spine = _way((-32.0, 2.0), (0.0, 0.0), (34.0, 0.0))
    barbs = [_way((x, 0.5), (x + 4, y)) for x in np.arange(-18.0, 18.0, 4.0) for y in (-5.0, 5.0)]
    _run(b, [*_lines(form), *barbs])
    b.halt()
    _run(b, _lines(form))
    b.halt()
    _satin(b, [spine], 1.8)


def banner_with_a_word(b: Bench) -> None:
    """A banner's outline, the word on it in satin, then the outline in satin."""
    form = knotted([(-45, -8), (0, -14), (45, -8), (45, 8), (0, 2), (-45, 8)], sharp=(0, 2, 3, 5))
    _run(b, _lines(form))
    b.halt()
    b.word(-24, -8, 48)
    b.halt()
    _satin(b, _lines(form), 2.0)


def rosettes_of_rings(b: Bench) -> None:
    """Rings through each other's middles, in a run; then every second one again in bean."""
    forms = [disc(14 * np.cos(t), 14 * np.sin(t), 14) for t in np.arange(6) * np.pi / 3]
    _run(b, _lines(*forms))
    b.halt()
    for one in _lines(*forms[:: int(b.rng.choice([1, 2]))]):
        b.draw(threads.bean(b.line_open(one)))


def letter_in_contour_lines(b: Bench) -> None:
    """A letter filled by lines that follow its edge, 1.5 mm apart, inwards; the edge in satin after."""
    form = letter(str(b.rng.choice(list("LTHE"))), 60, 3.6)
    depth = np.arange(0.0, 5.0, 1.5)
    _run(b, [one for by in depth for one in rings(inset(form, float(by)) if by else form)])
    b.halt()
    _satin(b, rings(form), 2.2)


def wheel_of_satin_spokes(b: Bench) -> None:
    """A wheel: rim and hub in runs, spokes in satin, then rim and hub in satin."""
    rim = _lines(disc(0, 0, 30), disc(0, 0, 7))
    _run(b, rim, role=Role.UNDERLAY)
    b.halt()
    spokes = [
        _way((7 * np.cos(t), 7 * np.sin(t)), (30 * np.cos(t), 30 * np.sin(t)))
        for t in np.arange(8) * np.pi / 4
    ]
    _satin(b, spokes, 1.8)
    b.halt()
    _satin(b, rim, 3.0)


def hearts_within_hearts(b: Bench) -> None:
    """Four hearts inside each other, run; every one again in satin, from within, each its own thread."""
    hearts = _lines(*(heart(size) for size in (16.0, 26.0, 36.0, 46.0)))
    _run(b, hearts)
    b.halt()
    for one in hearts:
        _satin(b, [one], 1.6)
        b.halt()


def wreath_of_leaves_with_veins(b: Bench) -> None:
    """A wreath: leaves and veins in a run, all leaves and veins there and back in a darker green."""
    lines = []
    for t in np.arange(9) * 2 * np.pi / 9:
        form = at(leaf(20, 10), 30 * np.cos(t), 30 * np.sin(t), np.degrees(t) + 60)
        x, y = form.centroid.x, form.centroid.y
        way = np.array([np.cos(t + np.pi / 3), np.sin(t + np.pi / 3)])
        lines += [*_lines(form), curve(np.array([(x, y) - 6 * way, (x, y) + 6 * way]), closed=False)]
    _run(b, lines)
    b.halt()
    _run(b, lines, laps=2)


def house_with_windows(b: Bench) -> None:
    """A house, its door and windows in runs; hatched roof; then satin on the house, bean on the windows."""
    house = joined(card(-22, -8, 22, 26), polygon([(-28, -8), (28, -8), (0, -30)]))
    windows = _lines(card(-15, 0, -5, 10), card(5, 0, 15, 10), card(-4, 12, 4, 26))
    bars = [_way((-10.0, 1.5), (-10.0, 8.5)), _way((10.0, 1.5), (10.0, 8.5))]
    _run(b, [*_lines(house), *windows, *bars])
    b.halt()
    _run(b, areas.across(polygon([(-24, -9), (24, -9), (0, -28)]), 2.0, 0.0))
    b.halt()
    _satin(b, _lines(house), 2.0)
    for one in [*windows, *bars]:
        b.draw(threads.bean(b.line_open(one)))


def flower_in_echoes(b: Bench) -> None:
    """A quilted flower: two laps, then three echoes, then the same again a shade darker, 0.6 mm aside."""
    form = flower(6, 22, 0.3)
    lines = [*_lines(form), *areas.echoes(form, 4.0, 3)]
    _run(b, lines, laps=2, role=Role.QUILTING)
    b.halt()
    for one in lines:
        b.draw(b.line_open(one) + 0.6, role=Role.QUILTING)


COLOURED_DRAWINGS = (
    owl_in_three_weights,
    compass_rose,
    feather_over_its_spine,
    banner_with_a_word,
    rosettes_of_rings,
    letter_in_contour_lines,
    wheel_of_satin_spokes,
    hearts_within_hearts,
    wreath_of_leaves_with_veins,
    house_with_windows,
    flower_in_echoes,
)
