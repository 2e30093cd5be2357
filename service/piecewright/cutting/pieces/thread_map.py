"""Where thread lies densely: a coarse map, to tell fabric from a sewn area.

Terms: a *cell* is a square of the map; it is *full* if so much thread lies in it that no ground shows.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting import geometry as geo

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from piecewright.cutting.geometry import BoolArray, FloatArray, IntArray, Region
    from piecewright.cutting.passes import Run

CELL_MM: Final = 2.0
FULL_MM_PER_MM2: Final = 1.2
"""Rows 0.4 mm apart lay 2.5 mm of thread on a square mm, light fills 1.5; a stipple 0.3."""

EDGE_MM: Final = 1.5
"""Nearer to the line lies the thread of whatever follows the line."""

AROUND_MM: Final = (2.0, 8.0)
"""A fill that goes on in this band outside the line is a background, not a filled shape."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ThreadMap:
    """Thread of each run in each cell.

    Attributes:
        cell: Index of the cell, (c, 2).
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
    unique, first, back = np.unique(_keys(cell, owner), return_index=True, return_inverse=True)
    return ThreadMap(
        cell=cell[first],
        run=owner[first],
        thread_mm=np.asarray(np.bincount(back, thread, minlength=len(unique)), np.float64),
    )


def _full(cell: IntArray, thread: FloatArray) -> BoolArray:
    """Whether each place lies in a cell that all thread together fills."""
    _, back = np.unique(_keys(cell, np.zeros(len(cell), dtype=np.int64)), return_inverse=True)
    return np.asarray(np.bincount(back, thread)[back] >= FULL_MM_PER_MM2 * CELL_MM**2)


def _keys(cell: IntArray, run: IntArray) -> IntArray:
    if not len(cell):
        return run
    low, high = cell.min(axis=0), cell.max(axis=0)
    size = high - low + 1
    x, y = (cell - low).T
    return np.asarray((run * size[0] + x) * size[1] + y)


def full_share(threads: ThreadMap, region: Region, chosen: BoolArray) -> tuple[float, float]:
    """Share of full cells inside a region and in a band around it.

    Args:
        threads: The map.
        region: What the line encloses.
        chosen: Which runs count, one flag for each run.
    """
    x0, y0, x1, y1 = geo.bounds(region)
    low = np.floor((np.array([x0, y0]) - AROUND_MM[1]) / CELL_MM)
    high = np.floor((np.array([x1, y1]) + AROUND_MM[1]) / CELL_MM)
    here = chosen[threads.run] & ((threads.cell >= low) & (threads.cell <= high)).all(axis=1)
    full = _full_cells(threads, here)
    if not len(full):
        return 0.0, 0.0
    outer = _grown(region, AROUND_MM[1])
    depth = geo.distances_to_edge(region, np.asarray((full + 0.5) * CELL_MM, dtype=np.float64))
    edge = min(EDGE_MM, 0.5 * geo.area(region) / geo.perimeter(region))
    around = (depth <= -AROUND_MM[0]) & (depth >= -AROUND_MM[1])
    return (
        _share_of(int((depth >= edge).sum()), geo.grow(region, -edge)),
        _share_of(int(around.sum()), geo.difference(outer, _grown(region, AROUND_MM[0]))),
    )


def _grown(region: Region, distance: float) -> Region:
    return geo.largest(geo.grow(region, distance)) or region


def _share_of(cells: int, regions: Iterable[Region]) -> float:
    """Share of some regions that so many cells take up."""
    whole = sum(geo.area(region) for region in regions)
    return min(cells * CELL_MM**2 / whole, 1.0) if whole else 0.0


def _full_cells(threads: ThreadMap, here: BoolArray) -> IntArray:
    cells, back = np.unique(threads.cell[here], axis=0, return_inverse=True)
    thread = np.bincount(back.ravel(), threads.thread_mm[here])
    return np.asarray(cells[thread >= FULL_MM_PER_MM2 * CELL_MM**2])
