"""Small outlines of few stitches, which the turns at their corners would split into zigzags and crumbs.

A star of 9 mm is sewn with one stitch a side, a triangle with two or three: nearly every needle point turns
sharply, as in a zigzag. What tells them apart is the whole: an outline comes back to its start, does not
cross itself, and encloses ground.

Terms: see stretches.py; a *figure* is what a run draws that goes round once and perhaps a little further.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.geometry import ring_area, ring_is_simple, ring_length
from piecewright.cutting.passes.bites import SAME_HOLE_MM
from piecewright.cutting.passes.trace import turns

if TYPE_CHECKING:
    from piecewright.cutting.geometry import BoolArray, FloatArray
    from piecewright.cutting.passes.trace import Steps

FEWEST: Final = 4
"""Three sides and the way back to the first hole, or four sides and a gap for the last."""

MOST: Final = 20
"""Needle points of a star of five teeth with two stitches a side; larger ones have straight sides."""

MOST_SEWN: Final = 3 * MOST
"""Needle points of such a figure sewn twice, and its locks."""

MOST_TEETH: Final = 13
"""Needle points of a star with six teeth and one stitch a side; a zigzag round a dot has more."""

ALL_TEETH: Final = 0.8
"""Share of turns to the other side than the one before, from which on it is teeth all round."""

SHARP_DEG: Final = 45.0
"""The teeth of a zigzag and of a star turn by more at either end."""

ON_IT_MM: Final = 0.5
"""What goes on over its beginning lies this close to it."""

ONE_STITCH: Final = 1.5
"""A gap of so many stitches is the last stitch, left out or swallowed by a lock."""

LOCK: Final = 8
"""Stitches of a lock at either end of a run, small ones to and fro or whole ones along the line."""

LEAST_MM2: Final = 7.0
"""A dot of 3 mm; smaller ones are ties and eyelets."""

NARROWEST_MM: Final = 1.2
"""Twice the area over the length: half of a dot's width, all of a strip's."""


def figures(steps: Steps) -> BoolArray:
    """Which points belong to runs that draw a small outline, (k,)."""
    found = np.zeros(len(steps.at), dtype=np.bool_)
    size = steps.last - steps.first + 1
    first = np.flatnonzero(
        (np.arange(len(size)) == steps.first) & (size >= FEWEST) & (size <= MOST_SEWN) & _returned(steps)
    )
    for begin in first.tolist():
        end = int(steps.last[begin]) + 1
        found[begin:end] = _goes_round(_unlocked(_unlocked(steps.points[begin:end])[::-1]))
    return found


def _returned(steps: Steps) -> BoolArray:
    """Whether the run of each point ends within its box, and not at the far end of a column, (k,)."""
    gap = np.hypot(*(steps.points[steps.last] - steps.points[steps.first]).T)
    sewn = np.r_[0.0, np.cumsum(steps.length)]
    return np.asarray(gap <= (sewn[steps.last] - sewn[steps.first]) / 3)


def _unlocked(path: FloatArray) -> FloatArray:
    """The path (n, 2) from where the needle has come back to its first hole without having gone round."""
    places = np.flatnonzero(np.hypot(*(path[: LOCK + 1] - path[0]).T) <= SAME_HOLE_MM)
    thin = [place for place in places.tolist() if _area(path[: place + 1]) < LEAST_MM2]
    return path[thin[-1] :]


def _goes_round(path: FloatArray) -> bool:
    if len(path) < FEWEST:
        return False
    longest = float(np.hypot(*np.diff(path, axis=0).T).max())
    ends = np.flatnonzero(np.hypot(*(path[: MOST + 1] - path[0]).T) <= ONE_STITCH * longest)
    return any(_is_outline(path[: end + 1], path[end + 1 :]) for end in ends[ends >= FEWEST - 2].tolist())


def _is_outline(ring: FloatArray, rest: FloatArray) -> bool:
    """Whether a ring is plain and wide, and the rest of its path goes over it once more."""
    if np.hypot(*(ring[-1] - ring[0])) <= ON_IT_MM:
        ring = ring[:-1]
    area = _area(ring)
    wide = area >= LEAST_MM2 and 2 * area >= NARROWEST_MM * ring_length(ring)
    return (
        wide and ring_is_simple(ring) and not _toothed(ring) and bool((_away(ring, rest) <= ON_IT_MM).all())
    )


def _toothed(ring: FloatArray) -> bool:
    """Whether a ring turns sharply to the one and the other side at so many points that it is a zigzag."""
    way = np.diff(ring, axis=0)
    turn = turns(way[:-1], way[1:])
    sharp = np.abs(turn) >= SHARP_DEG
    other_side = sharp[1:] & sharp[:-1] & (turn[1:] * turn[:-1] < 0)
    return len(ring) > MOST_TEETH and float(other_side.mean()) > ALL_TEETH


def _area(ring: FloatArray) -> float:
    return abs(ring_area(ring)) if len(ring) > 2 else 0.0  # noqa: PLR2004 - a triangle


def _away(ring: FloatArray, points: FloatArray) -> FloatArray:
    """Distance of each point from the closed ring, (n,) mm."""
    side = np.roll(ring, -1, axis=0) - ring
    to = points[:, None] - ring
    share = np.einsum("nij,ij->ni", to, side) / np.maximum(np.einsum("ij,ij->i", side, side), 1e-9)
    off = to - np.clip(share, 0, 1)[:, :, None] * side
    return np.asarray(np.hypot(off[..., 0], off[..., 1]).min(axis=1))
