"""Drawings sewn more than once, colour by colour: the designs that look most like appliqué and are none."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from shapely.geometry import LineString

from piecewright.cutting.passes import Role
from tests.evaluation.sealed import areas, threads
from tests.evaluation.sealed.alphabet import letter
from tests.evaluation.sealed.curves import curve, inset, parts, rings
from tests.evaluation.sealed.figures import (
    at,
    card,
    disc,
    flower,
    heart,
    joined,
    knotted,
    leaf,
    less,
    pebble,
    star,
    strokes,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from shapely.geometry import Polygon

    from tests.evaluation.sealed.bench import Bench
    from tests.evaluation.sealed.curves import Curve


def _open(*points: tuple[float, float]) -> Curve:
    return curve(np.array(points), closed=False)


def _arc(x: float, y: float, r: float, a: float, b: float) -> Curve:
    t = np.radians(np.linspace(a, b, 60))
    return curve(np.column_stack((x + r * np.cos(t), y + r * np.sin(t))), closed=False)


def _outer(*forms: Polygon) -> list[Curve]:
    return [rings(form)[0] for form in forms]


def _satin(b: Bench, one: Curve, width: float, role: Role = Role.DETAIL) -> None:
    b.ornament(threads.column(one, (0.0, one.length), width, b.hand.dense), role=role)


def _runs(b: Bench, lines: Sequence[Curve], role: Role = Role.DETAIL) -> None:
    for one in lines:
        b.draw(b.line_open(one), role=role)


def _beans(b: Bench, lines: Sequence[Curve]) -> None:
    for one in lines:
        b.draw(threads.bean(b.line_open(one)))


def cartoon_in_run_then_bean(b: Bench) -> None:
    """A bear's face: every line in a run, then every line in a bean of another colour."""
    face = _outer(disc(0, 0, 28, 0.9), disc(-22, -24, 9), disc(22, -24, 9), disc(0, 8, 11, 0.7))
    eyes = _outer(disc(-9, -7, 2.5), disc(9, -7, 2.5))
    lines = [*face, _arc(0, 8, 6, 20, 160), _open((0.0, 3.0), (0.0, 14.0)), *eyes]
    _runs(b, lines)
    b.halt()
    _beans(b, lines)


def outline_details_then_satin_outline(b: Bench) -> None:
    """A cup outlined in a run; steam, a heart and a stripe in colours; the outline in satin at the end."""
    cup = knotted([(-20, -18), (20, -18), (16, 14), (10, 20), (-10, 20), (-16, 14)], sharp=(0, 1))
    _runs(b, _outer(cup))
    b.halt()
    b.fill(at(heart(14), 0, 0), angle=30)
    b.halt()
    for y in (-12.0, 12.0):
        _satin(b, _open((-14.0, y), (0.0, y + 1.5), (14.0, y)), 1.6)
    for x in (-8.0, 0.0, 8.0):
        b.draw(b.line_open(_open((x, -22.0), (x + 3, -27.0), (x - 2, -32.0), (x + 1, -37.0))))
    b.halt()
    _satin(b, _outer(cup)[0], 2.4, Role.COVER)


def satin_letter_over_its_own_underlay(b: Bench) -> None:
    """A block letter: edge run in one block, then zigzag and satin rows across it."""
    form = letter(str(b.rng.choice(list("BDRHL"))), 40, 3.4)
    edge = inset(form, 0.7)
    _runs(b, rings(edge), Role.UNDERLAY)
    b.halt()
    b.fill(edge, gap=1.8, stitch=20.0, angle=5)
    b.fill(form, gap=0.4, stitch=20.0, angle=0)


def satin_border_over_edge_runs(b: Bench) -> None:
    """A frame: its two edge runs and centre run as a block of their own, then the satin over them."""
    form = (card(-42, -30, 42, 30, 6), disc(0, 0, 38, 0.8))[b.rng.integers(2)]
    lines = _outer(inset(form, 1.3), form, inset(form, -1.3))
    _runs(b, lines if b.rng.random() < 0.5 else [lines[0], lines[2]], Role.UNDERLAY)
    b.halt()
    _satin(b, _outer(form)[0], 4.5)
    b.halt()
    b.word(-20, 0, 40)


def lettering_in_run_then_bean(b: Bench) -> None:
    """A word in single lines, round letters closed, then all of it in a bean."""
    word: list[Curve] = []
    for k, sign in enumerate("LOVED"):
        x = k * 22.0
        round_ = _outer(disc(x + 8, 10, 8, 1.25))
        stem = [_open((x, 0.0), (x, 20.0))]
        every = {
            "L": [_open((x, 0.0), (x, 20.0), (x + 12, 20.0))],
            "O": round_,
            "V": [_open((x, 0.0), (x + 8, 20.0), (x + 16, 0.0))],
            "E": [_open((x + 12, 0.0), (x, 0.0), (x, 20.0), (x + 12, 20.0)), _open((x, 10.0), (x + 9, 10.0))],
            "D": [*stem, _arc(x, 10, 10, -90, 90)],
        }
        word += every[sign]
    _runs(b, word)
    b.halt()
    _beans(b, word)


def light_fill_with_its_edge_before_and_after(b: Bench) -> None:
    """Leaves: edge run, an open fill, the edge once more, each in a thread of its own."""
    forms = [at(leaf(44, 22), -24, 0, 20), at(leaf(44, 22), 24, 0, -20)]
    _runs(b, _outer(*forms), Role.UNDERLAY)
    b.halt()
    for form in forms:
        b.fill(inset(form, 0.6), gap=float(b.rng.uniform(1.0, 2.0)), angle=float(b.rng.uniform(0, 180)))
    b.halt()
    _runs(b, _outer(*forms))


def shaded_fill_that_fades(b: Bench) -> None:
    """Petals: an outline, rows that grow apart until they stop half-way, then a satin outline."""
    forms = [at(disc(0, 0, 14, 0.7), 20 * np.cos(t), 20 * np.sin(t)) for t in (0.3, 2.4, 4.5)]
    _runs(b, _outer(*forms))
    b.halt()
    for form in forms:
        x0, y0, x1, y1 = form.bounds
        for share, gap in ((0.0, 0.5), (0.3, 0.9), (0.5, 1.6)):
            low = y0 + share * (y1 - y0)
            part = form.intersection(card(x0 - 1, low, x1 + 1, low + 0.3 * (y1 - y0)))
            for one in parts(part):
                b.fill(one, gap=gap)
    b.halt()
    for line in _outer(*forms):
        _satin(b, line, 2.0)


def ripples_in_many_colours(b: Bench) -> None:
    """A heart, and ripple after ripple round it, each in another thread; then the same with a bean."""
    form = heart(30)
    lines = [*_outer(form), *areas.echoes(form, float(b.rng.uniform(2.5, 5)), 4)]
    for one in lines:
        b.draw(b.line_open(one), role=Role.QUILTING)
        b.halt()
    if b.rng.random() < 0.5:
        _beans(b, lines[::-1])


def ring_in_run_double_run_and_satin(b: Bench) -> None:
    """A ring for a monogram: run, double run, satin, in three threads, the letter before the last."""
    form = disc(0, 0, 36, 0.85)
    key = b.piece(form, optional=True)
    b.place(key)
    b.halt()
    b.tack(key, "back")
    b.halt()
    b.fill(letter(str(b.rng.choice(list("MKAE"))), 30, 2.6), gap=0.4)
    b.halt()
    b.cover(key, width=3.0)


def spirograph(b: Bench) -> None:
    """Loops round a ring, turned a little in each of three threads, the first sewn again in bean."""
    t = np.linspace(0, 2 * np.pi, 600, endpoint=False)
    lines = []
    for turn in (0.0, 0.26, 0.52):
        r = 26 + 12 * np.cos(7 * t)
        wave = t * 2 + turn
        lines.append(
            curve(
                np.column_stack(
                    (r * np.cos(t + 0.5 * np.sin(7 * wave / 2)), r * np.sin(t + 0.5 * np.sin(7 * wave / 2)))
                )
            )
        )
    for one in lines:
        b.draw(b.line_open(one))
        b.halt()
    _beans(b, lines)


def knot_of_bands(b: Bench) -> None:
    """A knot of one endless band: its middle in a run, then satin over it, crossing itself."""
    t = np.linspace(0, 2 * np.pi, 500, endpoint=False)
    n = int(b.rng.choice([2, 3]))
    one = curve(
        np.column_stack(
            (15 * (np.sin(t) + 2 * np.sin(n * t)) * 0.9, 15 * (np.cos(t) - 2 * np.cos(n * t)) * 0.9)
        )
    )
    round_ = _outer(disc(0, 0, 24))
    _runs(b, [one, *round_], Role.UNDERLAY)
    b.halt()
    for line in (one, *round_):
        _satin(b, line, 3.0)


def star_of_chords(b: Bench) -> None:
    """Chords of a circle, the circle and the star within, in a run and again in another thread."""
    n, skip = ((9, 4), (7, 3), (12, 5))[b.rng.integers(3)]
    t = np.arange(n) * skip * 2 * np.pi / n
    chords = curve(np.column_stack((34 * np.cos(t), 34 * np.sin(t))))
    lines = [chords, *_outer(disc(0, 0, 34), disc(0, 0, 37))]
    _runs(b, lines)
    b.halt()
    _runs(b, lines)


def butterfly_with_veins(b: Bench) -> None:
    """Wings and veins in a run, then both in bean; spots and body in satin."""
    wings = [at(disc(0, 0, 18, 0.75), x, y, 0) for x, y in ((-17, -10), (17, -10), (-14, 12), (14, 12))]
    veins = [_open((np.sign(x) * 3, 0.0), (x, y)) for x, y in ((-28, -14), (28, -14), (-22, 18), (22, 18))]
    _runs(b, [*_outer(*wings), *veins])
    b.halt()
    for x in (-20.0, 20.0):
        b.fill(disc(x, -12, 3))
    b.halt()
    _beans(b, [*_outer(*wings), *veins])
    b.halt()
    _satin(b, _open((0.0, -16.0), (0.0, 20.0)), 3.5)


def snowflake_in_satin_over_runs(b: Bench) -> None:
    """Arms, barbs and two hexagons in runs; after a halt satin over all of them."""
    lines = []
    for a in np.arange(6) * np.pi / 3:
        way, side = np.array([np.cos(a), np.sin(a)]), np.array([-np.sin(a), np.cos(a)])
        lines.append(curve(np.array([0 * way, 36 * way]), closed=False))
        for r in (18.0, 27.0):
            barb = np.array([r * way + 6 * side + 5 * way, r * way, r * way - 6 * side + 5 * way])
            lines.append(curve(barb, closed=False))
    hexagons = [
        curve(np.array([(r * np.cos(a), r * np.sin(a)) for a in np.arange(6) * np.pi / 3])) for r in (9, 14)
    ]
    _runs(b, [*lines, *hexagons], Role.UNDERLAY)
    b.halt()
    for one in (*lines, *hexagons):
        _satin(b, one, 1.8)


def petals_outlined_filled_bordered(b: Bench) -> None:
    """A flower petal by petal: outline, fill, satin border, each petal with threads of its own."""
    for t in np.arange(5) * 2 * np.pi / 5:
        form = at(leaf(26, 16), 19 * np.cos(t), 19 * np.sin(t), np.degrees(t))
        _runs(b, _outer(form), Role.UNDERLAY)
        if b.rng.random() < 0.5:
            b.halt()
        b.fill(inset(form, 0.8), angle=float(np.degrees(t)), gap=float(b.rng.uniform(0.4, 0.8)))
        b.halt()
        _satin(b, _outer(form)[0], 2.0)
        b.halt()
    b.fill(disc(0, 0, 7))


def map_in_two_threads(b: Bench) -> None:
    """A coast, an inland border and a lake, rivers and roads: in grey, then all of it in black."""
    land = pebble(b.rng, 80, 0.3)
    lake = at(pebble(b.rng, 12), 8, 8)
    ways = [
        LineString([(-60, -8), (-10, 4), (4, 6)]),
        LineString([(60, -20), (10, -5), (-12, -60)]),
        LineString([(-60, 30), (0, 14), (60, 22)]),
    ]
    lines = _outer(land, lake)
    for way in ways:
        cut = inset(land, 0.5).intersection(way)
        lines += [curve(np.array(cut.coords), closed=False)] if isinstance(cut, LineString) else []
    for _ in range(2):
        _runs(b, lines)
        b.halt()


def sashiko_in_two_threads(b: Bench) -> None:
    """A lattice in a frame, and the same lattice again a stitch on, in another thread."""
    frame = card(-30, -30, 30, 30)
    lines = [*_outer(frame), *areas.across(frame, 10.0, 45), *areas.across(frame, 10.0, 135)]
    for _ in range(2):
        _runs(b, lines, Role.QUILTING)
        b.halt()


def scallops_in_rows(b: Bench) -> None:
    """A doily's edge: three scalloped lines, 3 mm apart, then small satin scallops on the outermost."""
    lines = _outer(*(flower(12, r, 0.12) for r in (30.0, 33.0, 36.0)))
    for one in lines:
        b.draw(b.line_open(one))
        if b.rng.random() < 0.5:
            b.halt()
    b.halt()
    for one in lines:
        _satin(b, one, 1.5)


def sketch_with_shading(b: Bench) -> None:
    """A pear and its leaf: outlines, hatching where the shade lies, then the outlines again, loosely."""
    pear = knotted([(0, -26), (9, -12), (20, 8), (12, 24), (-12, 24), (-20, 8), (-9, -12)])
    blade = at(leaf(22, 10), 12, -30, -30)
    _runs(b, _outer(pear, blade))
    b.halt()
    shade = pear.intersection(at(pear, 16, 6))
    for part in parts(shade):
        _runs(b, areas.across(inset(part, 0.5), 1.8, 60))
    b.halt()
    for one in _outer(pear, blade):
        b.draw(threads.loose(b.line_open(one), b.rng, 0.5))


def heart_of_net(b: Bench) -> None:
    """Free-standing lace: the heart twice, a net of lines across it, a zigzag, then satin round it."""
    form = heart(50)
    one = _outer(form)[0]
    b.draw(threads.there_and_back(b.line_open(one)), role=Role.UNDERLAY)
    _runs(b, [*areas.across(form, 3.0, 45), *areas.across(form, 3.0, 135)], Role.UNDERLAY)
    b.halt()
    b.ornament(threads.column(one, (0.0, one.length), 2.0, 2.0))
    b.halt()
    _satin(b, one, 3.0, Role.COVER)


def mandala_in_satin_over_runs(b: Bench) -> None:
    """Petals over petals: all in a run, with dots between, then each ring of petals in satin."""
    inner = [
        at(leaf(18, 10), 12 * np.cos(t), 12 * np.sin(t), np.degrees(t)) for t in np.arange(8) * np.pi / 4
    ]
    outer = [
        at(leaf(22, 14), 30 * np.cos(t), 30 * np.sin(t), np.degrees(t)) for t in np.arange(12) * np.pi / 6
    ]
    _runs(b, _outer(*inner, *outer))
    b.halt()
    for t in np.arange(8) * np.pi / 4:
        b.fill(disc(12 * float(np.cos(t)), 12 * float(np.sin(t)), 1.6))
    b.halt()
    for group in (inner, outer):
        for one in _outer(*group):
            _satin(b, one, 1.4)
        b.halt()


def band_with_edges_first(b: Bench) -> None:
    """Two ribbons of satin laid in a wreath: both edges of the band in runs, satin from edge to edge."""
    middle, wide = (disc(0, 0, 34), float(b.rng.uniform(4, 7)))
    lines = _outer(inset(middle, wide / 2), inset(middle, -wide / 2))
    _runs(b, lines, Role.UNDERLAY)
    b.halt()
    _satin(b, _outer(middle)[0], wide + 0.6)
    b.halt()
    for one in lines:
        b.draw(threads.bean(b.line_open(one)))


def script_with_a_shadow_line(b: Bench) -> None:
    """Thick script letters: a fill in each, the outline in run, and the outline again 0.7 mm farther out."""
    forms = [
        at(strokes([((0, 0), (6, 16), (12, 0)), ((3, 8), (9, 8))], 3.0, round_ends=True), 22.0 * k, 0)
        for k in range(3)
    ]
    for form in forms:
        b.fill(form, gap=0.45)
    b.halt()
    for form in forms:
        _runs(b, rings(form))
    b.halt()
    for form in forms:
        _runs(b, rings(inset(form, -0.7)))


def face_under_a_hat(b: Bench) -> None:
    """A gnome in runs, hat, beard and nose with strands of hair; then hat and nose in bean, hair in satin."""
    hat = knotted([(-18, 0), (0, -40), (18, 0)], sharp=(0, 1, 2))
    nose = disc(0, 4, 5)
    strands = [_open((x, 6.0), (x * 1.2, 16.0), (x, 28.0)) for x in (-12.0, -8.0, -4.0, 4.0, 8.0, 12.0)]
    bands = [
        _open((-12.0, -8.0), (0.0, -6.0), (12.0, -8.0)),
        _open((-7.0, -22.0), (0.0, -20.0), (7.0, -22.0)),
    ]
    _runs(b, [*_outer(hat, nose), *strands, *bands])
    b.halt()
    for one in strands:
        _satin(b, one, 1.2)
    b.halt()
    _beans(b, [*_outer(hat, nose), *bands])


def quilted_medallion(b: Bench) -> None:
    """Feathers in a wreath and a lattice within, drawn in a run; the wreath's rings twice, in two blocks."""
    inside = disc(0, 0, 22)
    _runs(
        b, [*_outer(inside), *areas.across(inside, 5.0, 45), *areas.across(inside, 5.0, -45)], Role.QUILTING
    )
    b.halt()
    plumes = [
        at(leaf(14, 8), 30 * np.cos(t), 30 * np.sin(t), np.degrees(t) + 30) for t in np.arange(10) * np.pi / 5
    ]
    _runs(b, _outer(*plumes), Role.QUILTING)
    b.halt()
    _runs(b, _outer(inside, disc(0, 0, 24)), Role.QUILTING)


def pictures_over_a_bordered_ground(b: Bench) -> None:
    """A landscape: hill, sun and house outlined in runs, filled in turn, everything bordered at the end."""
    hill = knotted([(-40, 20), (-20, 0), (10, 4), (40, 20)], sharp=(0, 3))
    sun = disc(20, -22, 9)
    house = joined(card(-14, -6, 6, 8), at(star(3, 10, 0.55), -4, -10))
    forms = (hill, sun, house)
    for form in forms:
        _runs(b, _outer(form), Role.UNDERLAY)
    b.halt()
    for form in (less(hill, house.buffer(0.2)), sun, house):
        b.fill(form, gap=0.7, angle=20.0)
        b.halt()
    for form in forms:
        _satin(b, _outer(form)[0], 1.8)


STILL_MORE_DRAWINGS = (
    cartoon_in_run_then_bean,
    outline_details_then_satin_outline,
    satin_letter_over_its_own_underlay,
    satin_border_over_edge_runs,
    lettering_in_run_then_bean,
    light_fill_with_its_edge_before_and_after,
    shaded_fill_that_fades,
    ripples_in_many_colours,
    ring_in_run_double_run_and_satin,
    spirograph,
    knot_of_bands,
    star_of_chords,
    butterfly_with_veins,
    snowflake_in_satin_over_runs,
    petals_outlined_filled_bordered,
    map_in_two_threads,
    sashiko_in_two_threads,
    scallops_in_rows,
    sketch_with_shading,
    heart_of_net,
    mandala_in_satin_over_runs,
    band_with_edges_first,
    script_with_a_shadow_line,
    face_under_a_hat,
    quilted_medallion,
    pictures_over_a_bordered_ground,
)
