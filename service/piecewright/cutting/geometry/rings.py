"""Closed polygons as bare arrays, where the engine is not needed."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from piecewright.cutting.geometry.values import FloatArray


def ring_area(ring: FloatArray) -> float:
    """Signed area of a ring (n, 2) in mm2, positive if it runs clockwise on the page (y down).

    Source: the surveyor's formula (Green's theorem on a polygon).
    """
    x, y = (ring - ring[0]).T
    return float(0.5 * (x @ np.roll(y, -1) - y @ np.roll(x, -1)))


def ring_length(ring: FloatArray) -> float:
    """Length of a ring (n, 2) in mm, the closing edge included."""
    steps = np.roll(ring, -1, axis=0) - ring
    return float(np.hypot(steps[:, 0], steps[:, 1]).sum())


def spaced(ring: FloatArray, step_mm: float) -> FloatArray:
    """Points evenly round a ring, at most so far apart, beginning at its first, (n, 2) mm."""
    closed = np.vstack([ring, ring[:1]])
    along = np.append(0.0, np.cumsum(np.hypot(*np.diff(closed, axis=0).T)))
    count = max(int(np.ceil(along[-1] / step_mm)), 3)
    where = np.arange(count) * along[-1] / count
    return np.stack([np.interp(where, along, closed[:, axis]) for axis in (0, 1)], axis=-1)
