"""Straight rows inside a line: a fill however far apart they are, where a meander would hold fabric.

Terms: *rows* run straight to and fro; a hatching is two of them across each other.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting import geometry as geo
from piecewright.cutting.passes import Stitch

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.geometry import BoolArray, FloatArray, Region
    from piecewright.cutting.passes import Run

BENDS_DEG: Final = 10.0
STRAIGHT: Final = 0.6
"""Share of the thread that goes straight on: of rows four fifths and more, of a stipple a tenth."""

FEWEST: Final = 12
"""Needle points of a few rows."""

FARTHEST_MM: Final = 4.0
"""Area over thread: rows farther apart are single lines."""

INSIDE: Final = 0.9
MOST_RUNS: Final = 40


def in_rows(run: Run) -> bool:
    """Whether a run is sewn in straight rows."""
    if run.stitch is Stitch.FILL:
        return True
    return run.width_mm == 0 and len(run.points) >= FEWEST and straight_share(run.points) >= STRAIGHT


def straight_share(points: FloatArray) -> float:
    """Share of a path (n, 2) that goes on in the direction of the stitch before."""
    steps = np.diff(points, axis=0)
    size = np.hypot(steps[:, 0], steps[:, 1])
    cos = np.einsum("ij,ij->i", steps[1:], steps[:-1]) / np.maximum(size[1:] * size[:-1], 1e-9)
    whole = float(size[1:].sum())
    return float(size[1:][cos >= np.cos(np.radians(BENDS_DEG))].sum()) / whole if whole else 0.0


def share_in_rows(runs: Sequence[Run], chosen: BoolArray, region: Region) -> float:
    """Share of a region over which chosen runs lie in rows, 0 to 1.

    Args:
        runs: Of the whole design.
        chosen: Which of them count, one flag for each.
        region: What a line encloses.
    """
    x0, y0, x1, y1 = geo.bounds(region)
    found = []
    for index in np.flatnonzero(chosen).tolist():
        low, high = runs[index].points.min(axis=0), runs[index].points.max(axis=0)
        meets = low[0] < x1 and low[1] < y1 and high[0] > x0 and high[1] > y0
        if meets and in_rows(runs[index]) and _lies_in(runs[index].points, region):
            found.append(runs[index])
    hulls = [geo.Region(exterior=geo.convex_hull(run.points)) for run in found[:MOST_RUNS]]
    thread = sum(run.stitch_length_mm * len(run.points) for run in found)
    covered = sum(geo.area(part) for part in geo.common(geo.union(hulls), region)) if hulls else 0.0
    return covered / geo.area(region) if thread * FARTHEST_MM >= covered > 0 else 0.0


def _lies_in(points: FloatArray, region: Region) -> bool:
    return float((geo.distances_to_edge(region, points) > -1.0).mean()) >= INSIDE
