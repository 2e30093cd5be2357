"""Designs from which nothing is to be cut: fills, satins, lace, lettering."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from shapely import affinity

from piecewright.cutting.passes import Role
from tests.evaluation.sealed import areas, threads
from tests.evaluation.sealed.alphabet import letter
from tests.evaluation.sealed.curves import curve, inset, rings
from tests.evaluation.sealed.figures import at, card, disc, heart, leaf, polygon
from tests.evaluation.sealed.sealed_half import outlines

if TYPE_CHECKING:
    from shapely.geometry import Polygon

    from tests.evaluation.sealed.bench import Bench


def _satin(b: Bench, region: Polygon, width: float) -> None:
    for one in rings(region):
        b.ornament(threads.column(one, (0.0, one.length * 1.01), width, 0.4))


def filled_rocket_outlined_in_satin(b: Bench) -> None:
    """Every part: edge run, underlay, fill in one block; satin outlines of all parts last."""
    every = outlines.rocket()
    for region in every:
        b.draw(b.line_open(rings(inset(region, 0.8))[0]), role=Role.UNDERLAY)
        b.fill(region, gap=2.5, angle=70)
        b.fill(region, angle=-20)
        b.halt()
    for region in every:
        _satin(b, region, 1.6)


def filled_letters_with_a_bean(b: Bench) -> None:
    """Filled letters, each outlined with a bean in a second thread, and a run in a third."""
    every = [
        at(letter(str(s), 40, 3.4), k * 40, 0) for k, s in enumerate(b.rng.permutation(list("BKMSE"))[:3])
    ]
    for region in every:
        b.fill(region, angle=float(b.rng.uniform(0, 180)))
    for strands in (3, 1):
        b.halt()
        for region in every:
            for one in rings(region):
                b.draw(threads.bean(b.line_open(one)) if strands == 3 else b.line_open(one))


def satin_letters_in_columns(b: Bench) -> None:
    """Lettering of 20 mm: strokes as satin columns on a run of underlay."""
    for k in range(5):
        for stroke in (((0.0, 20.0), (4.0, 0.0)), ((4.0, 0.0), (8.0, 20.0)), ((2.0, 13.0), (6.0, 13.0))):
            one = curve([(x + k * 16, y) for x, y in stroke], closed=False)
            b.draw(b.line_open(one), role=Role.UNDERLAY)
            b.ornament(threads.column(one, (0.0, one.length), 2.6, 0.4), on=True)


def lace_edging(b: Bench) -> None:
    """Free-standing lace: a net of crossing lines, scallops in runs, satin over the scallops."""
    room = card(-50, -14, 50, 14)
    for turn in (45.0, -45.0):
        for one in areas.across(room, 4.0, turn):
            b.draw(threads.there_and_back(b.line_open(one)))
    lobes = [rings(disc(x, 14, 9))[0] for x in (-40.0, -20.0, 0.0, 20.0, 40.0)]
    for one in lobes:
        b.draw(threads.there_and_back(b.line_open(one)))
    b.halt()
    for one in lobes:
        b.ornament(threads.column(one, (0.0, one.length), 2.0, 0.4))
    _satin(b, room, 2.0)


def cutwork_petals(b: Bench) -> None:
    """Petals to be cut away: a bean round each, halt, zigzag, then satin."""
    keys = [
        b.piece(at(leaf(30, 15), 24 * np.cos(t), 24 * np.sin(t), np.degrees(t)), optional=True)
        for t in np.arange(5) * 1.2566
    ]
    for key in keys:
        b.place(key, strands=3, also=(Role.DETAIL, Role.UNDERLAY))
    b.halt()
    for key in keys:
        b.cover(key, "zigzag+satin", width=2.2)


def cross_stitched_border(b: Bench) -> None:
    """A border of crosses round a plain middle, outlined with back stitch."""
    sides = [(k * 3.0, 0.0) for k in range(26)] + [(75.0, k * 3.0) for k in range(1, 17)]
    sides += [(75.0 - k * 3.0, 48.0) for k in range(1, 26)] + [(0.0, 48.0 - k * 3.0) for k in range(1, 16)]
    for x, y in sides:
        b.ornament(np.array([(x, y), (x + 3, y + 3), (x, y + 3), (x + 3, y)], dtype=float), on=True)
    b.halt()
    for frame in (card(-1, -1, 79, 52), card(4, 4, 74, 47)):
        b.draw(b.line_open(rings(frame)[0], 3.0))


def double_satin_frame(b: Bench) -> None:
    """An oval frame: run, zigzag and satin in one block; an inner satin line in the next."""
    outer = disc(0, 0, 48, 0.7)
    one = rings(outer)[0]
    b.draw(b.line_open(one), role=Role.UNDERLAY)
    b.ornament(threads.column(one, (0.0, one.length), 2.0, 2.2), on=True, role=Role.UNDERLAY)
    b.ornament(threads.column(one, (0.0, one.length), 3.2, 0.4), on=True)
    b.halt()
    _satin(b, inset(outer, 6.0), 1.5)
    b.halt()
    b.word(-20, -2, 40)


def shaded_heart(b: Bench) -> None:
    """A heart filled in three shades that overlap, highlights in satin, outline in a run at the very end."""
    for k in range(3):
        b.fill(at(heart(50 - 12 * k), 0, 2.0 * k), angle=30.0 * k)
        b.halt()
    b.draw(b.line_open(rings(heart(50))[0]))


def motif_carpet(b: Bench) -> None:
    """A ground of motif rows with a border of motifs in another thread."""
    room = card(-40, -40, 40, 40)
    for one in areas.across(room, 8.0, 0.0):
        b.ornament(
            threads.motif(one, (0.0, one.length), ((0, 0), (0.25, 3), (0.5, 0), (0.75, -3), (1, 0)), 8.0),
            role=Role.FILL,
        )
    b.halt()
    one = rings(affinity.scale(room, 1.1, 1.1))[0]
    b.ornament(threads.motif(one, (0.0, one.length), ((0, 0), (0.5, 4), (0.5, 0), (1, 0)), 5.0))


def tile_of_fills_edge_to_edge(b: Bench) -> None:
    """Four triangles of fill meet; seams between them in satin; a run goes round all first and last."""
    corners = [(-30.0, -30.0), (30.0, -30.0), (30.0, 30.0), (-30.0, 30.0)]
    tile = rings(polygon(corners))[0]
    b.draw(b.line_open(tile), role=Role.UNDERLAY)
    for k in range(4):
        b.fill(polygon([corners[k], corners[(k + 1) % 4], (0.0, 0.0)]), angle=90.0 * k)
        b.halt()
    for corner in corners[:2]:
        one = curve((corner, (-corner[0], -corner[1])), closed=False)
        b.ornament(threads.column(one, (0.0, one.length), 2.0, 0.4))
    b.draw(b.line_open(tile))


EMBROIDERY = (
    filled_rocket_outlined_in_satin,
    filled_letters_with_a_bean,
    satin_letters_in_columns,
    lace_edging,
    cutwork_petals,
    cross_stitched_border,
    double_satin_frame,
    shaded_heart,
    motif_carpet,
    tile_of_fills_edge_to_edge,
)
