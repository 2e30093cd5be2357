"""Cut order: which piece is cut after which, so that nothing moves and the way between is short."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from piecewright.cutting.geometry import curve_length

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.mats.values import LaidPiece


@dataclass(frozen=True, slots=True, kw_only=True)
class Route:
    """Pieces in cutting order.

    Attributes:
        pieces: In that order, each with its holes and starts as they are cut.
        cut_mm: Length of all cuts.
        travel_mm: Length of the way between them, from the mat's upper left corner on.
    """

    pieces: tuple[LaidPiece, ...]
    cut_mm: float
    travel_mm: float


def cut_order(pieces: Sequence[LaidPiece]) -> Route:
    """Order the pieces of one mat by going to the nearest next one."""
    left, at, route, travel = list(pieces), np.zeros(2), [], 0.0
    while left:
        way = [float(np.hypot(*(piece.curve.exterior[0, 0] - at))) for piece in left]
        nearest = int(np.argmin(way))
        travel += way[nearest]
        route.append(left.pop(nearest))
        at = route[-1].curve.exterior[0, 0]
    cut = sum(curve_length(ring) for p in route for ring in (p.curve.exterior, *p.curve.holes))
    return Route(pieces=tuple(route), cut_mm=cut, travel_mm=travel)
