"""Cut order: which ring is cut after which and where the blade goes in.

Nothing is cut that would let something still uncut move: holes before the outline around them, a piece in
another's hole before that hole. Within that, the way of the lifted blade is short: pieces go to the nearest
next one and are then improved by turning round parts of the way (2-opt: Croes, 1958); the points where the
blade goes in are chosen together, by dynamic programming over the rings in their order.

Terms: a *ring* is one closed cut; its *start* is where the blade goes in and comes out again; a *guest* is a
piece that lies in a hole of its *host*.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.geometry import (
    CurvedRegion,
    Region,
    bounds,
    contains_points,
    curve_length,
    flatten,
)
from piecewright.cutting.mats.starts import restarted, starts_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from piecewright.cutting.geometry import FloatArray
    from piecewright.cutting.mats.values import LaidPiece

HOME: Final = (0.0, 0.0)
"""Where the blade waits: the mat's upper left corner."""

COARSE_MM: Final = 0.5
"""To how much holes are flattened to see who lies in them."""

PASSES: Final = 12
"""So often at most is the whole way looked through for a part to turn round."""

LEAST_GAIN_MM: Final = 1e-6
"""Less is rounding."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Route:
    """Pieces in cutting order.

    Attributes:
        pieces: In that order, each with its holes in theirs and its rings from their starts on.
        cut_mm: Length of all cuts.
        travel_mm: Length of the way between them, from the mat's upper left corner on.
    """

    pieces: tuple[LaidPiece, ...]
    cut_mm: float
    travel_mm: float


def cut_order(pieces: Sequence[LaidPiece]) -> Route:
    """Put the pieces of one mat into cutting order."""
    ordered = [_holes_in_turn(pieces[i]) for i in _order(pieces)]
    rings = [list(_rings(piece)) for piece in ordered]
    starts = [starts_of(ring) for piece_rings in rings for ring in piece_rings]
    chosen, travel = _shortest([start.points for start in starts])
    moved = iter([restarted(start, choice) for start, choice in zip(starts, chosen, strict=True)])
    done = []
    for piece, piece_rings in zip(ordered, rings, strict=True):
        *holes, exterior = [next(moved) for _ in piece_rings]
        done.append(replace(piece, curve=CurvedRegion(exterior=exterior, holes=tuple(holes))))
    cut = sum(curve_length(ring) for piece_rings in rings for ring in piece_rings)
    return Route(pieces=tuple(done), cut_mm=float(cut), travel_mm=travel)


def _rings(piece: LaidPiece) -> Iterator[FloatArray]:
    """The rings of a piece in the order in which they are cut."""
    yield from piece.curve.holes
    yield piece.curve.exterior


def _order(pieces: Sequence[LaidPiece]) -> list[int]:
    """Indices of pieces in cutting order."""
    places = np.array([_middle(piece.curve.exterior) for piece in pieces]).reshape(-1, 2)
    guests = _guests(pieces)
    return _improved(_nearest_first(places, guests), places, guests)


def _guests(pieces: Sequence[LaidPiece]) -> dict[int, frozenset[int]]:
    """Of each host, the pieces that lie in its holes."""
    found: dict[int, frozenset[int]] = {}
    for host, piece in enumerate(pieces):
        holes = [Region(exterior=flatten(hole, COARSE_MM)) for hole in piece.curve.holes]
        inside = frozenset(
            i
            for i, other in enumerate(pieces)
            if i != host and any(contains_points(hole, other.curve.exterior[:1, 0]).all() for hole in holes)
        )
        if inside:
            found[host] = inside
    return found


def _nearest_first(places: FloatArray, guests: dict[int, frozenset[int]]) -> list[int]:
    """Always the nearest next piece, no host before its guests."""
    left, at, order = set(range(len(places))), np.array(HOME), list[int]()
    while left:
        ready = sorted(i for i in left if not guests.get(i, frozenset()) & left)
        way = np.hypot(*(places[ready] - at).T)
        nearest = ready[int(np.argmin(way))]
        left.remove(nearest)
        order.append(nearest)
        at = places[nearest]
    return order


def _improved(order: list[int], places: FloatArray, guests: dict[int, frozenset[int]]) -> list[int]:
    """Turn parts of the way round as long as that shortens it and keeps guests before their hosts."""
    for _ in range(PASSES):
        shorter = False
        for first in range(len(order) - 1):
            last = _best_turn_round(order, first, places)
            if last is not None:
                turned = order[:first] + order[first : last + 1][::-1] + order[last + 1 :]
                if _guests_first(turned, guests):
                    order, shorter = turned, True
        if not shorter:
            break
    return order


def _best_turn_round(order: Sequence[int], first: int, places: FloatArray) -> int | None:
    """Where the part that begins at ``first`` must end so that turning it round saves most way."""
    way = np.vstack([HOME, places[list(order)]])
    before, after = way[first], way[first + 1]
    lasts = way[first + 2 :]
    beyond = np.vstack([way[first + 3 :], [np.nan, np.nan]])
    old = np.hypot(*(after - before)) + np.nan_to_num(np.hypot(*(beyond - lasts).T))
    new = np.hypot(*(lasts - before).T) + np.nan_to_num(np.hypot(*(beyond - after).T))
    gain = old - new
    best = int(np.argmax(gain))
    return first + 1 + best if gain[best] > LEAST_GAIN_MM else None


def _guests_first(order: Sequence[int], guests: dict[int, frozenset[int]]) -> bool:
    place = {piece: n for n, piece in enumerate(order)}
    return all(place[guest] < place[host] for host, inside in guests.items() for guest in inside)


def _holes_in_turn(piece: LaidPiece) -> LaidPiece:
    """The piece with its holes in an order that goes to the nearest next one."""
    holes = piece.curve.holes
    order = _nearest_first(np.array([_middle(hole) for hole in holes]), {})
    curve = CurvedRegion(exterior=piece.curve.exterior, holes=tuple(holes[i] for i in order))
    return replace(piece, curve=curve)


def _middle(curve: FloatArray) -> tuple[float, float]:
    x0, y0, x1, y1 = bounds(CurvedRegion(exterior=curve))
    return ((x0 + x1) / 2, (y0 + y1) / 2)


def _shortest(choices: Sequence[FloatArray]) -> tuple[list[int], float]:
    """For each ring in turn one of its starts, so that the way from home through all is shortest."""
    at, cost = np.array([HOME]), np.zeros(1)
    froms: list[list[int]] = []
    for points in choices:
        ways = cost[:, None] + np.hypot(*np.moveaxis(at[:, None] - points[None], -1, 0))
        froms.append([int(n) for n in ways.argmin(axis=0)])
        at, cost = points, ways.min(axis=0)
    chosen = [int(cost.argmin())]
    for choice in froms[:0:-1]:
        chosen.append(choice[chosen[-1]])
    return chosen[::-1] if choices else [], float(cost.min())
