"""Small facts about rings of points that several steps need: edges, turns, rolling."""

from __future__ import annotations

from typing import Final, TypeVar

import numpy as np

from piecewright.cutting.geometry import FloatArray, IntArray

NEEDLE_SIGMA_MM: Final = 0.03
"""Standard deviation of a coordinate stored in steps of 0.1 mm: 0.1 / sqrt(12)."""

Array = TypeVar("Array", FloatArray, IntArray)


def edge_lengths(ring: FloatArray) -> FloatArray:
    """Length of the edge from each point to the next one round the ring, (n,) mm."""
    steps = np.roll(ring, -1, axis=0) - ring
    return np.asarray(np.hypot(steps[:, 0], steps[:, 1]))


def turns_deg(ring: FloatArray) -> FloatArray:
    """Turn at each point of a ring, (n,), -180 to 180 degrees, positive clockwise on the page (y down)."""
    ahead = np.roll(ring, -1, axis=0) - ring
    behind = np.roll(ahead, 1, axis=0)
    cross = behind[:, 0] * ahead[:, 1] - behind[:, 1] * ahead[:, 0]
    return np.asarray(np.degrees(np.arctan2(cross, (behind * ahead).sum(axis=1))))


def roll_to(values: Array, start: int) -> Array:
    """The same values round the ring, beginning at another one."""
    return np.concatenate([values[start:], values[:start]])


def without_short_edges(ring: FloatArray, least_mm: float) -> FloatArray:
    """Drop points of a ring (n, 2) that lie nearer than this to the one before; three stay at least."""
    while len(ring) > 3:  # noqa: PLR2004 - a triangle
        short = np.flatnonzero(edge_lengths(ring) < least_mm)
        if len(short) == 0:
            break
        alone = short[np.diff(short, prepend=-2) > 1]
        drop = (alone + 1)[: len(ring) - 3]
        ring = np.delete(ring, np.where(drop == len(ring), len(ring) - 1, drop), axis=0)
    return ring
