"""Paths as bare arrays, and the sizes that all looks at them share.

Terms: see loops.py.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

if TYPE_CHECKING:
    from piecewright.cutting.geometry import FloatArray

SAMPLE_MM: Final = 0.5

MOST_SAMPLES: Final = 20_000

LAP_MM: Final = 0.5
"""A lap lies this close to the first: chords of 3 mm stitches on a radius of 3 mm are 0.4 mm apart."""

LAP_BREAK_MM: Final = 3.0
"""Where a lap strays and comes back within this, it is still a lap."""

SHORTEST_LOOP_MM: Final = 6.0
"""Circumference of a dot of 2 mm."""

LEAST_LOOP_MM2: Final = 7.0
"""A dot of 3 mm; smaller loops are ties, eyelets and flourishes."""

MOST_TURNS: Final = 100
"""A line that turns back more often is a scribble; the rest of it is taken as it is."""


def arc_lengths(path: FloatArray) -> FloatArray:
    """Length along the path up to each point, (n,) mm."""
    return np.asarray(np.r_[0.0, np.cumsum(np.hypot(*np.diff(path, axis=0).T))])


def without_repeats(path: FloatArray, least_mm: float = 0.05) -> FloatArray:
    """The path (n, 2) without points at which the needle went down in the same place again."""
    return np.asarray(path[np.r_[True, np.hypot(*np.diff(path, axis=0).T) > least_mm]])


def finely(path: FloatArray) -> FloatArray:
    """Places evenly along a path, half a sample apart, its ends among them, (n, 2) mm."""
    arc = arc_lengths(path)
    at = np.linspace(0, arc[-1], min(max(int(arc[-1] / (SAMPLE_MM / 2)), 1), MOST_SAMPLES) + 1)
    return np.column_stack([np.interp(at, arc, path[:, axis]) for axis in (0, 1)])
