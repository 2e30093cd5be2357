"""Copies to be laid, where they may lie, and where they do.

Terms: the *bed* is the part of a mat that may be cut on; a *pose* is how a copy is turned and turned
over, and where it lies.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.geometry import convex_hull, transformed, transformed_points
from piecewright.cutting.mats.values import LaidPiece

if TYPE_CHECKING:
    from piecewright.cutting.geometry import FloatArray
    from piecewright.cutting.mats.values import Demand
    from piecewright.cutting.rules import Turning

STEPS_DEG: Final[dict[Turning, tuple[float, ...]]] = {
    "none": (0.0,),
    "half": (0.0, 180.0),
    "quarter": (0.0, 90.0, 180.0, 270.0),
    "free": (0.0, 90.0, 180.0, 270.0),
}
"""Turns in whole quarters that each limit allows; free allows every other turn as well."""

FLAT_MM: Final = 0.003
"""To how much outlines are flattened for laying: far under the 0.05 mm added to half the gap, and for two
neighbours laid by their boxes still under the slack of the check."""

ASLANT_DEG: Final = 1.0
"""Step of the turns tried for a piece that is too long for the bed any other way."""

ROOM_MM: Final = 1e-6
"""Sizes that should be equal differ by rounding."""

DIGITS: Final = 4
"""Positions and turns are kept to 0.0001 mm and degrees, so that the report says exactly what is cut."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bed:
    """A rectangle on the mat, mm from its upper left corner."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float

    @property
    def area_mm2(self) -> float:
        """Width times height."""
        return self.width_mm * self.height_mm

    def takes(self, width_mm: float, height_mm: float, *, quarter: bool) -> bool:
        """Whether a box goes on it, turned by 90 degrees if it may be."""
        upright = width_mm <= self.width_mm + ROOM_MM and height_mm <= self.height_mm + ROOM_MM
        return upright or (quarter and self.takes(height_mm, width_mm, quarter=False))

    def corners(self) -> tuple[tuple[float, float], ...]:
        """The four corners, clockwise on the page from the upper left."""
        right, bottom = self.x_mm + self.width_mm, self.y_mm + self.height_mm
        return ((self.x_mm, self.y_mm), (right, self.y_mm), (right, bottom), (self.x_mm, bottom))

    def grown(self, by_mm: float) -> Bed:
        """The bed with every edge moved outwards."""
        return Bed(
            x_mm=self.x_mm - by_mm,
            y_mm=self.y_mm - by_mm,
            width_mm=self.width_mm + 2 * by_mm,
            height_mm=self.height_mm + 2 * by_mm,
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Copy:
    """One copy of a piece that is to be laid.

    Attributes:
        id: Unique in the job, such as ``A-1``.
        demand: The piece.
        ring: Its exterior flattened, in the design's coordinates, (n, 2) mm.
        area_mm2: Area of the piece, holes taken off.
        turning: By which turns it may be laid.
        sides: Which values of mirrored are allowed, the usual one first.
        turn_deg: The turn, of those allowed, that gives it the least box on its usual side, see best_turn.
    """

    id: str
    demand: Demand
    ring: FloatArray
    area_mm2: float
    turning: Turning
    sides: tuple[bool, ...]
    turn_deg: float

    def turn_on(self, mirrored: bool) -> float:
        """The turn that gives it the least box on one of its sides."""
        return self.turn_deg if mirrored == self.sides[0] else -self.turn_deg % 90.0

    @property
    def quarter(self) -> bool:
        """Whether it may be turned by 90 degrees."""
        return self.turning in {"quarter", "free"}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spot:
    """Where a copy lies: mat point = turn(mirror(design point)) + (x, y)."""

    copy: Copy
    x_mm: float
    y_mm: float
    turned_deg: float
    mirrored: bool


def best_turn(ring: FloatArray, turning: Turning, bed: Bed) -> float:
    """The turn, of those allowed, that gives a ring (n, 2) the least box that fits the bed.

    Of equals it is the smallest. Where no box fits, the least box of all. Source: the least box of a convex
    polygon has a side along one of its edges (Freeman and Shapira, 1975); the other turns are for what fits
    only aslant.
    """
    if turning != "free":
        return 0.0
    hull = convex_hull(ring)
    edges = np.roll(hull, -1, axis=0) - hull
    along = np.round(-np.degrees(np.arctan2(edges[:, 1], edges[:, 0])) % 90.0, DIGITS) % 90.0
    turns = np.unique(np.concatenate([[0.0], along, np.arange(0.0, 90.0, ASLANT_DEG)]))
    sizes = np.array([np.ptp(transformed_points(hull, float(t), False, 0.0, 0.0), axis=0) for t in turns])
    areas = np.round(sizes.prod(axis=1), 3)
    room = np.sort([bed.width_mm, bed.height_mm])
    fits = (np.sort(sizes, axis=1) <= room + ROOM_MM).all(axis=1)
    return float(turns[np.lexsort((turns, areas, ~fits))[0]])


def box_of(copy: Copy, turned_deg: float, mirrored: bool) -> tuple[float, float, float, float]:
    """Smallest x and y, width and height of the copy's box after turning, before it is moved."""
    ring = transformed_points(copy.ring, turned_deg, mirrored, 0.0, 0.0)
    low, size = ring.min(axis=0), np.ptp(ring, axis=0)
    return (float(low[0]), float(low[1]), float(size[0]), float(size[1]))


def spot_at(copy: Copy, turned_deg: float, mirrored: bool, corner: tuple[float, float]) -> Spot:
    """The copy turned and moved so that its box has its upper left corner there."""
    turned_deg = round(turned_deg % 360.0, DIGITS)
    left, top, _, _ = box_of(copy, turned_deg, mirrored)
    return Spot(
        copy=copy,
        x_mm=round(corner[0] - left, DIGITS),
        y_mm=round(corner[1] - top, DIGITS),
        turned_deg=turned_deg,
        mirrored=mirrored,
    )


def ring_at(spot: Spot) -> FloatArray:
    """The copy's exterior where it lies, (n, 2) mm on the mat."""
    return transformed_points(spot.copy.ring, spot.turned_deg, spot.mirrored, spot.x_mm, spot.y_mm)


def laid(spot: Spot, patch: tuple[float, float, float, float] | None = None) -> LaidPiece:
    """The copy with its cut outline in mat coordinates."""
    demand = spot.copy.demand
    return LaidPiece(
        id=spot.copy.id,
        piece=demand.piece,
        design=demand.design,
        curve=transformed(demand.outline, spot.turned_deg, spot.mirrored, spot.x_mm, spot.y_mm),
        x_mm=spot.x_mm,
        y_mm=spot.y_mm,
        turned_deg=spot.turned_deg,
        mirrored=spot.mirrored,
        patch=patch,
        fabric=demand.fabric,
    )
