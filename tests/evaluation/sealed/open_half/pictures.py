"""Pictures of several pieces in layers."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from tests.evaluation.sealed.figures import (
    at,
    card,
    disc,
    heart,
    joined,
    knotted,
    leaf,
    less,
    polygon,
    star,
)

if TYPE_CHECKING:
    from shapely.geometry import Polygon

    from tests.evaluation.sealed.bench import Bench
    from tests.evaluation.sealed.edges import Cover, Tack


def _whale() -> list[Polygon]:
    body = knotted(
        [(-60, 5), (-40, -25), (0, -32), (35, -18), (58, -6), (62, 6), (30, 24), (-20, 30), (-52, 22)]
    )
    tail = knotted([(54, -4), (70, -14), (84, -38), (94, -14), (104, 4), (80, 6), (60, 4)], sharp=(2, 4))
    belly = knotted([(-50, 14), (-20, 12), (20, 14), (30, 20), (-20, 27), (-46, 22)], sharp=(0, 3))
    eye = disc(-34, -4, 4)
    fin = knotted([(-8, 8), (4, 6), (14, 16), (10, 26), (0, 20)], sharp=(3,))
    return [tail, body, belly, fin, eye]


def _truck() -> list[Polygon]:
    load = card(-65, -30, 8, 18, 3)
    cab = polygon([(10, -22), (36, -22), (50, -2), (50, 18), (10, 18)], 2)
    pane = polygon([(18, -16), (33, -16), (42, -3), (18, -3)], 1)
    wheels = [disc(-40, 22, 13), disc(30, 22, 13)]
    hubs = [disc(-40, 22, 5), disc(30, 22, 5)]
    return [load, cab, pane, *wheels, *hubs]


def _owl() -> list[Polygon]:
    body = knotted(
        [(-30, -30), (0, -22), (30, -30), (34, 5), (20, 42), (0, 48), (-20, 42), (-34, 5)], sharp=(0, 2)
    )
    wings = [
        knotted([(-33, -6), (-24, 4), (-22, 24), (-30, 34), (-44, 12)], sharp=(3,)),
        knotted([(33, -6), (44, 12), (30, 34), (22, 24), (24, 4)], sharp=(2,)),
    ]
    eyes = [disc(-12, -10, 11), disc(12, -10, 11)]
    pupils = [disc(-12, -10, 4.5), disc(12, -10, 4.5)]
    beak = polygon([(-5, -3), (5, -3), (0, 9)])
    return [body, *wings, *eyes, *pupils, beak]


def _flowerpot() -> list[Polygon]:
    pot = polygon([(-22, 20), (22, 20), (16, 58), (-16, 58)], 1.5)
    rim = card(-26, 12, 26, 22, 1)
    petals = [
        at(leaf(30, 20), 22 * np.cos(t), -25 + 22 * np.sin(t), np.degrees(t))
        for t in np.arange(6) * np.pi / 3
    ]
    return [pot, rim, *petals, disc(0, -25, 11)]


def _boat() -> list[Polygon]:
    hull = polygon([(-50, 20), (50, 20), (34, 44), (-36, 44)], 2)
    sails = [polygon([(-2, -50), (-2, 14), (-44, 14)]), polygon([(4, -40), (4, 14), (38, 14)])]
    return [hull, *sails, at(star(5, 6, 0.45), -16, 2)]


PICTURES = (_whale, _truck, _owl, _flowerpot, _boat)


def _pick(b: Bench) -> list[Polygon]:
    return PICTURES[b.rng.integers(len(PICTURES))]()


def _finish(b: Bench, key: int, tack: Tack = "run", cover: Cover = "satin", by: float = 0.0) -> None:
    b.place(key)
    b.halt()
    b.tack(key, tack, by=by)
    b.halt()
    b.cover(key, cover)
    b.halt()


def piece_by_piece(b: Bench) -> None:
    """Placement, tack-down and satin of each piece in turn, lower layers first."""
    tack: Tack = ("run", "zigzag", "twice", "bean")[b.rng.integers(4)]
    for region in _pick(b):
        _finish(b, b.piece(region), tack)


def tack_and_satin_of_each_in_one_block(b: Bench) -> None:
    """Pre-cut method for a whole picture: each piece is placed, then held and covered without a halt."""
    for region in _pick(b):
        key = b.piece(region)
        b.place(key)
        b.halt()
        b.tack(key, "zigzag" if b.rng.random() < 0.5 else "run", by=0.7)
        b.cover(key, "satin" if min(region.bounds[2] - region.bounds[0], 30) > 20 else "zigzag")
        b.halt()


def lower_edges_left_open(b: Bench) -> None:
    """A piece tucks under the next: its line, tack-down and satin stop under the piece that lies over it."""
    under = [disc(-30, -22, 18), disc(30, -22, 18)]  # ears under a head
    head = knotted([(-42, 0), (-30, -34), (0, -40), (30, -34), (42, 0), (26, 32), (0, 38), (-26, 32)])
    keys = [b.piece(region) for region in under]
    for key in keys:
        outside = b.outside(key, head)
        b.place(key, spans=outside)
        b.halt()
        b.tack(key, spans=outside, by=0.0)
        b.cover(key, spans=outside)
        b.halt()
    face = b.piece(head)
    _finish(b, face, "run", "run+satin")
    _finish(b, b.piece(disc(0, 8, 9, 0.7)), "zigzag")
    for x in (-14, 14):
        b.fill(disc(x, -8, 3))


def sections_between_other_pieces(b: Bench) -> None:
    """Body first; its satin is sewn in sections, each after the piece that touches it there."""
    body = b.piece(knotted([(-50, 0), (-25, -24), (20, -26), (48, -4), (40, 22), (0, 30), (-36, 22)]))
    b.place(body)
    b.halt()
    b.tack(body, "run", by=0.5)
    b.halt()
    b.cover(body, spans=[(0.0, 0.35)])
    b.halt()
    _finish(b, b.piece(at(heart(22), 0, 0)), "run")
    b.cover(body, spans=[(0.34, 0.7)])
    b.halt()
    _finish(b, b.piece(disc(-28, -2, 6)), "zigzag", "zigzag+satin")
    b.cover(body, spans=[(0.69, 1.01)])


def shared_edge_under_one_satin(b: Bench) -> None:
    """Two pieces meet edge to edge; each is placed all round, one satin covers the edge between them."""
    left = b.piece(polygon([(-40, -30), (5, -30), (-5, 30), (-40, 30)]))
    right = b.piece(polygon([(5, -30), (45, -30), (45, 30), (-5, 30)]))
    for key in (left, right):
        b.place(key)
        b.halt()
        b.tack(key, "run", by=0.6)
        b.halt()
    b.cover(left)
    free = b.outside(
        right, less(card(-41, -31, 46, 31), polygon([(6.5, -40), (60, -40), (60, 40), (-3.5, 40)])), 0.0
    )
    b.cover(right, spans=free)


def placed_at_once_then_finished_in_turn(b: Bench) -> None:
    """All pieces of a flat picture are placed in one block, then held in one, then covered by colour."""
    regions = [at(joined(disc(0, 0, 10), card(-3, 8, 3, 30)), x, 0) for x in (-60, -20, 20, 60)]
    keys = [b.piece(region) for region in regions]
    for key in keys:
        b.place(key)
    b.halt()
    for key in keys:
        b.tack(key, "back")
    for key in keys:
        b.halt()
        b.cover(key)


PICTURES_SEWN = (
    piece_by_piece,
    tack_and_satin_of_each_in_one_block,
    lower_edges_left_open,
    sections_between_other_pieces,
    shared_edge_under_one_satin,
    placed_at_once_then_finished_in_turn,
)
