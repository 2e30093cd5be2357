"""Cubic curves as pairs of arcs that share their tangents (biarcs).

Source: K. M. Bolton, Biarc curves, Computer-Aided Design 7 (1975), 89-92; of the family of biarcs the
one whose two arms are of equal length.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.geometry import straight

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.geometry import BoolArray, FloatArray

STRAYS_MM: Final = 0.005
"""How far an arc may lie from its curve: a quarter of what all files must agree within."""

_MOST_HALVINGS: Final = 10
_SAMPLES: Final = np.linspace(0, 1, 17)[1:-1]
_NOTHING: Final = 1e-12
"""Below this a length is zero but for rounding."""

_FLAT: Final = 1e-7
"""A smaller bulge is a straight line: its arc would rise less than 0.0001 mm over a whole mat."""


def polylines(curves: Sequence[FloatArray]) -> list[FloatArray]:
    """Curves as corners of closed polylines with arcs: x, y, bulge of the edge that follows, (n, 3) each.

    Args:
        curves: Each (m, 4, 2) mm, y up.
    """
    if not curves:
        return []
    places, corners = _followed(np.concatenate(curves))
    starts = np.cumsum([len(curve) for curve in curves])[:-1]
    return np.split(corners, np.searchsorted(places, starts))


def _followed(curve: FloatArray) -> tuple[FloatArray, FloatArray]:
    """For each corner the segment that it begins or divides, and where (n,); the corners (n, 3)."""
    lines = straight(curve)
    parts = [(np.flatnonzero(lines).astype(np.float64), np.zeros(int(lines.sum())), curve[lines, 0])]
    place, pending = np.flatnonzero(~lines).astype(np.float64), curve[~lines]
    for halving in range(_MOST_HALVINGS + 1):
        if not len(pending):
            break
        corners, bulges = _biarcs(pending)
        good = (_strays(pending, corners, bulges) <= STRAYS_MM) | (halving == _MOST_HALVINGS)
        share = 0.5 ** (halving + 1)
        parts += [(place[good] + half * share, bulges[good, half], corners[good, half]) for half in (0, 1)]
        place = np.concatenate([place[~good], place[~good] + share])
        pending = np.concatenate(_halves(pending[~good]))
    places, bulges, starts = (np.concatenate(column) for column in zip(*parts, strict=True))
    order = np.argsort(places, kind="stable")
    return places[order], np.column_stack([starts, bulges])[order]


def _halves(cubics: FloatArray) -> tuple[FloatArray, FloatArray]:
    """De Casteljau's construction at the middle."""
    once = (cubics[:, :-1] + cubics[:, 1:]) / 2
    twice = (once[:, :-1] + once[:, 1:]) / 2
    middle = (twice[:, :-1] + twice[:, 1:]) / 2
    first = np.stack([cubics[:, 0], once[:, 0], twice[:, 0], middle[:, 0]], axis=1)
    second = np.stack([middle[:, 0], twice[:, 1], once[:, 2], cubics[:, 3]], axis=1)
    return first, second


def _biarcs(cubics: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Start, joint and end (k, 3, 2) and the two bulges (k, 2) of the biarc through each cubic's ends."""
    begin, end = cubics[:, 0], cubics[:, 3]
    leaving, arriving = _tangent(cubics), -_tangent(cubics[:, ::-1])
    arm = _arm(end - begin, leaving, arriving)[:, None]
    joint = (begin + arm * leaving + end - arm * arriving) / 2
    bulges = np.stack([_bulge(leaving, joint - begin), -_bulge(-arriving, joint - end)], axis=1)
    return np.stack([begin, joint, end], axis=1), np.where(np.abs(bulges) < _FLAT, 0.0, bulges)


def _tangent(cubics: FloatArray) -> FloatArray:
    """Unit tangent at the start; where control points lie on each other, towards the next that does not."""
    reach = cubics[:, 1:] - cubics[:, :1]
    length = np.hypot(reach[..., 0], reach[..., 1])
    first = np.argmax(length > np.maximum(1e-9, 1e-6 * length.max(axis=1))[:, None], axis=1)
    rows = np.arange(len(cubics))
    tangent: FloatArray = reach[rows, first] / np.maximum(length[rows, first], _NOTHING)[:, None]
    return tangent


def _arm(chord: FloatArray, leaving: FloatArray, arriving: FloatArray) -> FloatArray:
    """Length of the two equal arms: the positive root of the biarc condition."""
    square = (chord**2).sum(axis=1)
    both = (chord * (leaving + arriving)).sum(axis=1)
    turn = 2 * (1 - (leaving * arriving).sum(axis=1))
    root = both + np.sqrt(both**2 + turn * square)  # dividing by it keeps its digits as the turn nears 0
    arm: FloatArray = square / np.where(root > _NOTHING, root, np.inf)
    return arm


def _bulge(tangent: FloatArray, chord: FloatArray) -> FloatArray:
    """Of the arc that leaves along the tangent and spans the chord."""
    cross = tangent[:, 0] * chord[:, 1] - tangent[:, 1] * chord[:, 0]
    bulge: FloatArray = np.tan(np.arctan2(cross, (tangent * chord).sum(axis=1)) / 2)
    return bulge


def _strays(cubics: FloatArray, corners: FloatArray, bulges: FloatArray) -> FloatArray:
    """How far each cubic strays from its biarc, (k,)."""
    points = _sampled(cubics)
    along = corners[:, 2] - corners[:, 0]
    past = ((points - corners[:, None, 1]) * along[:, None]).sum(axis=-1) > 0
    first, second = (_off_arc(points, corners[:, i], corners[:, i + 1], bulges[:, i]) for i in (0, 1))
    off: FloatArray = np.where(past, second, first).max(axis=1)
    return off


def _sampled(cubics: FloatArray) -> FloatArray:
    t = _SAMPLES[:, None]
    weights = np.hstack([(1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3])
    points: FloatArray = np.einsum("sc,kcd->ksd", weights, cubics)
    return points


def _off_arc(points: FloatArray, begin: FloatArray, end: FloatArray, bulge: FloatArray) -> FloatArray:
    """Distance of points (k, s, 2) from the circle or line of each arc, (k, s)."""
    chord = end - begin
    length = np.maximum(np.hypot(chord[:, 0], chord[:, 1]), _NOTHING)
    left = np.stack([-chord[:, 1], chord[:, 0]], axis=1) / length[:, None]
    flat: BoolArray = bulge == 0
    safe = np.where(flat, 1.0, bulge)
    centre = (begin + end) / 2 + left * (length * (1 - safe**2) / (4 * safe))[:, None]
    radius = length * (1 + safe**2) / (4 * np.abs(safe))
    from_centre = points - centre[:, None]
    off_circle = np.abs(np.hypot(from_centre[..., 0], from_centre[..., 1]) - radius[:, None])
    off_line = np.abs(((points - begin[:, None]) * left[:, None]).sum(axis=-1))
    off: FloatArray = np.where(flat[:, None], off_line, off_circle)
    return off
