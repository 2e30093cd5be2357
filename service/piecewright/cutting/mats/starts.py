"""Where the blade may go into a ring: where the cut runs smooth, away from corners.

A blade that goes in at a corner leaves a nick or a thread there, where fabric frays first.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.geometry import frozen

if TYPE_CHECKING:
    from piecewright.cutting.geometry import BoolArray, FloatArray

CORNER_DEG: Final = 15.0
"""A node at which a ring turns by more is a corner."""

CLEAR_MM: Final = 5.0
"""So far from a corner is far enough."""

CHOICES: Final = 16
"""Starts looked at per ring at most, evenly round it."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Starts:
    """A ring and where it may be started.

    Attributes:
        ring: (m, 4, 2) mm.
        points: (k, 2) mm.
        segments: (k,) which cubic each lies on.
        halfway: Whether they lie halfway along their cubic, else at its beginning.
    """

    ring: FloatArray
    points: FloatArray
    segments: tuple[int, ...]
    halfway: bool


def starts_of(ring: FloatArray) -> Starts:
    """The starts of a ring (n, 4, 2): its smooth nodes clear of corners, else the middles of its cubics.

    Nodes come first because starting there adds none. Where nothing is clear, the clearest are taken.
    """
    corners = _turns_deg(ring) > CORNER_DEG
    lengths = np.hypot(*np.moveaxis(np.diff(ring, axis=1), -1, 0)).sum(axis=1)
    at_node = _clearance(corners, lengths, halfway=False)
    if at_node.max() >= CLEAR_MM:
        return _starts(ring, at_node, halfway=False)
    return _starts(ring, _clearance(corners, lengths, halfway=True), halfway=True)


def restarted(starts: Starts, choice: int) -> FloatArray:
    """The ring (n, 4, 2) from one of its starts on; the curve itself stays the same."""
    ring, segment = starts.ring, starts.segments[choice]
    if not starts.halfway:
        return frozen(np.roll(ring, -segment, axis=0))
    head, tail = _halves(ring[segment])
    return frozen(np.concatenate([[tail], ring[segment + 1 :], ring[:segment], [head]]))


def _starts(ring: FloatArray, clearance: FloatArray, *, halfway: bool) -> Starts:
    good = np.flatnonzero(clearance >= min(CLEAR_MM, float(clearance.max()) - 1e-9))
    picked = good[np.unique(np.linspace(0, len(good) - 1, CHOICES).round().astype(int))]
    points = np.array([_halves(ring[i])[1][0] if halfway else ring[i, 0] for i in picked])
    return Starts(ring=ring, points=points, segments=tuple(int(i) for i in picked), halfway=halfway)


def _turns_deg(ring: FloatArray) -> FloatArray:
    """By how much the ring turns at the beginning of each cubic, (m,) degrees."""
    leaving = np.array([_direction(cubic) for cubic in ring])
    arriving = -np.roll(np.array([_direction(cubic[::-1]) for cubic in ring]), 1, axis=0)
    cross = arriving[:, 0] * leaving[:, 1] - arriving[:, 1] * leaving[:, 0]
    return np.asarray(np.degrees(np.abs(np.arctan2(cross, (arriving * leaving).sum(axis=1)))))


def _direction(cubic: FloatArray) -> FloatArray:
    """The direction in which a cubic leaves its start: towards the first point that is elsewhere."""
    for point in cubic[1:]:
        if np.hypot(*(point - cubic[0])) > 1e-9:  # noqa: PLR2004 - the same point, but for rounding
            return np.asarray(point - cubic[0])
    return np.zeros(2)


def _clearance(corners: BoolArray, lengths: FloatArray, *, halfway: bool) -> FloatArray:
    """Way along the ring from each possible start to the nearest corner, (m,) mm, by control polygons."""
    if not corners.any():
        return np.full(len(lengths), np.inf)
    total = float(lengths.sum())
    nodes = np.concatenate([[0.0], np.cumsum(lengths)[:-1]])
    places = nodes + lengths / 2 if halfway else nodes
    apart = np.abs(places[:, None] - nodes[corners][None])
    return np.asarray(np.minimum(apart, total - apart).min(axis=1))


def _halves(cubic: FloatArray) -> tuple[FloatArray, FloatArray]:
    """A cubic in two, by de Casteljau's construction."""
    a, b, c, d = cubic
    ab, bc, cd = (a + b) / 2, (b + c) / 2, (c + d) / 2
    abc, bcd = (ab + bc) / 2, (bc + cd) / 2
    middle = (abc + bcd) / 2
    return np.array([a, ab, abc, middle]), np.array([middle, bcd, cd, d])
