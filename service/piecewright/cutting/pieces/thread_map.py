"""Where thread lies densely: a coarse map, to tell fabric from a sewn area.

Terms: a *cell* is a square of the map; it is *full* if so much thread lies in it that no ground shows.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting import geometry as geo

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.geometry import BoolArray, FloatArray, IntArray, Region
    from piecewright.cutting.passes import Run

CELL_MM: Final = 2.0
FULL_MM_PER_MM2: Final = 1.2
"""Rows 0.4 mm apart lay 2.5 mm of thread on a square mm, light fills 1.5; a stipple 0.3."""

NOTEWORTHY: Final = 0.1
"""Less than this is a detail on a piece."""

EDGE_MM: Final = 1.5
"""Nearer to the line lies the thread of whatever follows the line."""

AROUND_MM: Final = (2.0, 8.0)
"""A fill that goes on in this band outside the line is a background, not a filled shape."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ThreadMap:
    """Thread of each run in each cell.

    Attributes:
        cell: Index of the cell, (c, 2), in the order of x.
        run: Index of the run, (c,).
        thread_mm: Thread of that run in that cell, (c,) mm.
    """

    cell: IntArray
    run: IntArray
    thread_mm: FloatArray


def map_threads(runs: Sequence[Run]) -> ThreadMap:
    """Lay the thread of all runs on the map; each stitch counts where its thirds lie."""
    steps = [np.diff(run.points, axis=0) for run in runs]
    whose = np.repeat(np.arange(len(runs)), [len(step) for step in steps])
    if not len(whose):
        none = np.zeros(0, dtype=np.int64)
        return ThreadMap(cell=np.zeros((0, 2), dtype=np.int64), run=none, thread_mm=np.zeros(0))
    step = np.concatenate(steps)
    start = np.concatenate([run.points[:-1] for run in runs])
    part = np.hypot(step[:, 0], step[:, 1]) / 3
    places = np.concatenate([start + step * share for share in (1 / 6, 1 / 2, 5 / 6)])
    cell = np.floor(places / CELL_MM).astype(np.int64)
    owner, thread = np.tile(whose, 3), np.tile(part, 3)
    # Only cells that are full with all runs together can ever be full; they are few in most designs.
    likely = _full(cell, thread)
    cell, owner, thread = cell[likely], owner[likely], thread[likely]
    first, back = _grouped(_keys(cell, owner))
    return ThreadMap(
        cell=cell[first],
        run=owner[first],
        thread_mm=np.asarray(np.bincount(back, thread, minlength=len(first)), np.float64),
    )


def _full(cell: IntArray, thread: FloatArray) -> BoolArray:
    """Whether each place lies in a cell that all thread together fills."""
    key = _keys(cell, np.zeros(len(cell), dtype=np.int64))
    # The field of a machine has few cells, so that they need not be sorted.
    return np.asarray((np.bincount(key, thread) >= FULL_MM_PER_MM2 * CELL_MM**2)[key])


def _keys(cell: IntArray, run: IntArray) -> IntArray:
    """One number for each cell and run, ordered by the cell's x first."""
    if not len(cell):
        return run
    x, y = (cell - cell.min(axis=0)).T
    return np.asarray((x * (int(y.max()) + 1) + y) * (int(run.max()) + 1) + run)


def _grouped(keys: IntArray) -> tuple[IntArray, IntArray]:
    """For each different key, rising, where one of it stands, and for each key which of these it is."""
    order = np.argsort(keys)
    begins = np.diff(keys[order], prepend=-1) != 0
    back = np.empty(len(keys), dtype=np.int64)
    back[order] = np.cumsum(begins) - 1
    return order[begins], back


def filled_share(threads: ThreadMap, region: Region, chosen: BoolArray) -> float:
    """How much of a region is filled by runs that do not go on outside it, 0 to 1.

    A fill that goes on outside is a ground on which the piece lies.

    Args:
        threads: The map.
        region: What the line encloses.
        chosen: Which runs count, (r,).
    """
    edge = min(EDGE_MM, 0.5 * geo.area(region) / geo.perimeter(region))
    inside = _share(threads, region, chosen, (edge, np.inf))
    if inside < NOTEWORTHY:
        return 0.0
    return inside * (1 - _share(threads, region, chosen, (-AROUND_MM[1], -AROUND_MM[0])))


def _share(threads: ThreadMap, region: Region, chosen: BoolArray, depth_mm: tuple[float, float]) -> float:
    """Share of full cells in the band of a region between two depths under its edge, negative outside."""
    x0, y0, x1, y1 = geo.bounds(region)
    out = max(-depth_mm[0], 0.0)
    full = _full_cells(threads, (x0 - out, y0 - out, x1 + out, y1 + out), chosen)
    if not len(full):
        return 0.0
    depth = geo.distances_to_edge(region, np.asarray((full + 0.5) * CELL_MM, dtype=np.float64))
    band = (depth >= depth_mm[0]) & (depth <= depth_mm[1])
    inner = _area(region, depth_mm[1]) if np.isfinite(depth_mm[1]) else 0.0
    whole = _area(region, depth_mm[0]) - inner
    return min(float(band.sum()) * CELL_MM**2 / whole, 1.0) if whole > 0 else 0.0


def _area(region: Region, depth_mm: float) -> float:
    """Area of what lies deeper than a depth under the edge, mm2."""
    return sum(geo.area(part) for part in geo.grow(region, -depth_mm))


def _full_cells(threads: ThreadMap, box: tuple[float, float, float, float], chosen: BoolArray) -> IntArray:
    """Cells with their middle in a box that the chosen runs fill, (n, 2)."""
    x0, y0, x1, y1 = (value / CELL_MM - 0.5 for value in box)
    first, last = np.searchsorted(threads.cell[:, 0], [np.ceil(x0), np.floor(x1) + 1])
    cell, run, thread = threads.cell[first:last], threads.run[first:last], threads.thread_mm[first:last]
    here = chosen[run] & (cell[:, 1] >= y0) & (cell[:, 1] <= y1)
    cells, back = np.unique(cell[here], axis=0, return_inverse=True)
    full = np.bincount(back.ravel(), thread[here], minlength=len(cells))
    return np.asarray(cells[full >= FULL_MM_PER_MM2 * CELL_MM**2])
