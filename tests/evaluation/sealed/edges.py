"""How a piece's edge is held and covered: needle points of tack-downs and covers, and the piece itself."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

import numpy as np
from shapely.geometry import Polygon

from tests.evaluation.sealed import threads
from tests.evaluation.sealed.curves import Curve, divide

if TYPE_CHECKING:
    from tests.evaluation.sealed.curves import FloatArray
    from tests.evaluation.sealed.hands import Hand

Kind = Literal["applique", "base", "either"]
Tack = Literal["run", "twice", "back", "bean", "zigzag", "comb", "wander"]
Cover = Literal["satin", "zigzag", "comb", "motif", "bean", "split", "zigzag+satin", "run+satin", "out-comb"]
Seam = tuple[Curve, tuple[float, float]]
"""A curve, and the lengths on it between which something is sewn."""

TRIANGLES = ((0.0, 0.0), (0.35, 0.0), (0.5, 1.8), (0.65, 0.0), (1.0, 0.0))
LOOPS = ((0.0, 0.0), (0.6, 0.2), (0.8, 1.0), (0.5, 1.5), (0.2, 1.0), (0.4, 0.2), (1.0, 0.0))


@dataclass
class Piece:
    """A piece as its author means it.

    Attributes:
        region: What he drew, holes included.
        kind: Appliqué piece or base layer, or either.
        optional: Whether it is right to cut it and right to leave it.
        curves: Its outer curve and those of its holes.
        start: Where closed lines begin, lengths.
        sewn: Inside the needle points that place it; empty before that.
        held: Whether it is tacked down; if not, its cover holds it as well.
    """

    region: Polygon
    kind: Kind
    optional: bool
    curves: list[Curve]
    start: list[float]
    sewn: Polygon = field(default_factory=Polygon)
    held: bool = False


def held(points: FloatArray, seam: Seam, how: Tack, width: float, rng: np.random.Generator) -> FloatArray:
    """Needle points of a tack-down along a seam; ``points`` are those of a single run."""
    one, ends = seam
    if how == "zigzag":
        return threads.column(one, ends, width, float(rng.uniform(2.0, 3.5)), shift=-width / 2 + 0.3)
    if how == "comb":
        return threads.comb(one, ends, width, float(rng.uniform(2.5, 4.0)))
    if how == "twice":
        return np.vstack([points, points])
    if how == "bean":
        return threads.bean(points)
    return threads.there_and_back(points) if how == "back" else points


def covered(seam: Seam, how: Cover, width: float, hand: Hand, rng: np.random.Generator) -> FloatArray:
    """Needle points of a cover along a seam."""
    one, ends = seam
    shift = width * (0.5 - hand.inside)
    if how == "zigzag":
        return threads.column(one, ends, width, 1.4, shift)
    if how in {"comb", "out-comb"}:
        return threads.comb(one, ends, width if how == "comb" else -width, float(rng.uniform(2.0, 4.0)))
    if how == "motif":
        return threads.motif(one, ends, TRIANGLES, 3.5)
    if how == "bean":
        return threads.bean(one.at(divide(one, *ends, hand.stitch, hand.division)))
    return threads.column(one, ends, width, hand.dense, shift, split=width * 0.6 if how == "split" else 99.0)


def widest_cover(region: Polygon) -> float:
    """The widest satin that leaves something of the fabric to be seen."""
    return max(1.3, 0.45 * 2 * region.area / region.length)
