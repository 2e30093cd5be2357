"""The line of a piece: its rings drawn smoothly, turned the same way round, corners known."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final
from weakref import WeakKeyDictionary

import numpy as np

from piecewright.cutting.geometry import CurvedRegion, FloatArray, Region, frozen, ring_area
from piecewright.cutting.outlines.cubics import fit_curve
from piecewright.cutting.outlines.polyline import turns_deg
from piecewright.cutting.outlines.spans import DenseRing, dense_ring

if TYPE_CHECKING:
    from piecewright.cutting.pieces import Piece

_CURVES: Final[WeakKeyDictionary[Region, CurvedRegion]] = WeakKeyDictionary()
"""The cubics of each region for as long as the region lives: twins ask for those of their leader."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Corners:
    """Corners of a line, so turned that fabric lies on the right hand of whoever follows the line.

    Attributes:
        tips: (k, 2) mm.
        turns_deg: Turn at each, positive where fabric juts out, (k,).
        before: Unit direction in which each is reached, (k, 2).
        after: Unit direction in which each is left, (k, 2).
    """

    tips: FloatArray
    turns_deg: FloatArray
    before: FloatArray
    after: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Line:
    """The smooth line of a piece.

    Attributes:
        piece: Whose it is.
        region: Its dense rings, the exterior clockwise on the page, holes the other way.
        corners: The corners of all rings.
    """

    piece: Piece
    region: Region
    corners: Corners


def line_of(piece: Piece) -> Line | None:
    """Draw the line of a piece through its needle points; None if it goes round nothing."""
    exterior = dense_ring(piece.line.exterior)
    if exterior is None:
        return None
    holes = [hole for ring in piece.line.holes if (hole := dense_ring(ring)) is not None]
    rings = [_turned(exterior, clockwise=True), *(_turned(hole, clockwise=False) for hole in holes)]
    region = Region(exterior=rings[0].ring, holes=tuple(ring.ring for ring in rings[1:]))
    return Line(piece=piece, region=region, corners=_corners(rings))


def curve_of(region: Region) -> CurvedRegion:
    """A densely sampled region as cubics."""
    if region not in _CURVES:
        _CURVES[region] = CurvedRegion(
            exterior=fit_curve(region.exterior), holes=tuple(map(fit_curve, region.holes))
        )
    return _CURVES[region]


def _turned(dense: DenseRing, *, clockwise: bool) -> DenseRing:
    """The same ring the other way round, if it does not yet run as asked."""
    if (ring_area(dense.ring) > 0) == clockwise:
        return dense
    return DenseRing(frozen(dense.ring[::-1]), np.sort(len(dense.ring) - 1 - dense.corners))


def _corners(rings: list[DenseRing]) -> Corners:
    """What happens at every corner of some rings."""
    before, after, turns = [], [], []
    for dense in rings:
        ring, index = dense.ring, dense.corners
        before.append(_units(ring[index] - ring[index - 1]))
        after.append(_units(ring[(index + 1) % len(ring)] - ring[index]))
        turns.append(turns_deg(ring)[index])
    return Corners(
        tips=frozen(np.concatenate([dense.tips for dense in rings])),
        turns_deg=frozen(np.concatenate(turns)),
        before=frozen(np.concatenate(before)),
        after=frozen(np.concatenate(after)),
    )


def _units(steps: FloatArray) -> FloatArray:
    """Steps of length 1."""
    return np.asarray(steps / np.maximum(np.hypot(*steps.T), 1e-12)[:, None])
