"""Clean: what is left of ties, laps and repeats in a ring of needle points.

Terms: a *tie* is a few tiny stitches back and forth that hold the thread at its start or end; a
*lap* is the stretch that is sewn twice where the line closes.

The finder of pieces has taken off what it saw; a line named by block number in the rules may still
carry them, and a single tie stitch left in makes a spike of half a millimetre.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from piecewright.cutting.geometry import FloatArray, ring_length
from piecewright.cutting.outlines.polyline import edge_lengths, turns_deg, without_short_edges

REPEAT_MM: Final = 0.25
"""Needle points nearer to each other are one: no machine sews shorter stitches on purpose in a line."""

FOLD_DEG: Final = 140.0
"""A turn back on itself that no piece of fabric has."""

TIE_STEP_MM: Final = 1.0
"""Tie stitches are shorter than this; stitches of a placement line are mostly 1.5 mm and more."""

TIE_STEP_SHARE: Final = 0.7
"""Where a line is sewn in short stitches throughout, tie stitches are shorter than this share of them: two
ordinary ones may meet at a sharp tip."""

TIE_REACH: Final = 9
"""Ties stand within so many points of an end of the line; a short step elsewhere may be a corner."""

LAP_SHARE: Final = 0.8
"""A lap is looked for only after the path has gone round this share of half its box's edges."""

LAP_MM: Final = 0.75
"""Where the path passes its start this closely, it has come round."""


def clean_ring(points: FloatArray) -> FloatArray:
    """Needle points of a closed line without repeats, ties and lap.

    Args:
        points: In sewing order, (n, 2) mm.

    Returns:
        (k, 2) mm, at least three points if three lie apart.
    """
    ring = _without_ties(without_short_edges(points, REPEAT_MM))
    return without_short_edges(_without_lap(ring), REPEAT_MM)


def _without_ties(ring: FloatArray) -> FloatArray:
    """Drop the points of fold-backs beside tiny steps near the ends of the line."""
    while len(ring) > 2 * TIE_REACH:
        ties = _ties(ring)
        if len(ties) == 0:
            break
        ring = without_short_edges(np.delete(ring, ties[0], axis=0), REPEAT_MM)
    return ring


def _ties(ring: FloatArray) -> FloatArray:
    """Indices of points where the line folds back between two tiny steps, within reach of an end.

    Between a tiny step and a stitch a sharp tip folds back as well, where the line begins right beside it.
    """
    steps = edge_lengths(ring)
    short = min(TIE_STEP_MM, TIE_STEP_SHARE * float(np.median(steps)))
    tiny = np.maximum(steps, np.roll(steps, 1)) < short
    index = np.arange(len(ring))
    near_end = (index < TIE_REACH) | (index >= len(ring) - TIE_REACH)
    return np.asarray(np.flatnonzero(tiny & near_end & (np.abs(turns_deg(ring)) > FOLD_DEG)))


def _without_lap(ring: FloatArray) -> FloatArray:
    """Cut the path where it first passes its start again, going the same way.

    At a sharp tip it passes a start beside the tip as well, but on its way to the tip.
    """
    if len(ring) < 2 * TIE_REACH:
        return ring
    (x0, y0), (x1, y1) = ring.min(axis=0), ring.max(axis=0)
    gone = np.cumsum(edge_lengths(ring))[:-1]
    far = LAP_SHARE * 2 * (x1 - x0 + y1 - y0) / 2
    passing = _distances_to_edges(ring[0], ring[1:-1], ring[2:]) < LAP_MM
    same_way = (ring[2:] - ring[1:-1]) @ (ring[1] - ring[0]) > 0
    again = np.flatnonzero(passing & same_way & (gone[:-1] > far))
    if len(again) == 0:
        return ring
    shorter = ring[: int(again[0]) + 2]
    lap = ring_length(ring) - ring_length(shorter)
    return shorter if lap > LAP_MM else ring


def _distances_to_edges(point: FloatArray, starts: FloatArray, ends: FloatArray) -> FloatArray:
    """Distance of one point to each of some edges."""
    edge = ends - starts
    share = ((point - starts) * edge).sum(axis=1) / np.maximum((edge * edge).sum(axis=1), 1e-12)
    foot = starts + np.clip(share, 0, 1)[:, None] * edge
    return np.asarray(np.hypot(*(foot - point).T))
