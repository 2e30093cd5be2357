"""What lies around a line: the rest of its block, and what wanders inside it.

Terms: a *companion* is whatever else is sewn in the same block; a line is *redrawn* if a later block
sews it again although it is open, as drawings in two colours do.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting import geometry as geo
from piecewright.cutting.geometry import neighbours
from piecewright.cutting.passes import LINES, SEWN_TRAVEL_MM, Stitch
from piecewright.cutting.pieces.boxes import Box, box_of
from piecewright.cutting.pieces.following import PARALLEL, samples_of
from piecewright.cutting.pieces.rings import SHORTEST_TRAIL_MM
from piecewright.cutting.pieces.rows import STRAIGHT, straight_share
from piecewright.cutting.pieces.thread_map import map_threads
from piecewright.cutting.pieces.words import hint_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.design import Design
    from piecewright.cutting.geometry import BoolArray, FloatArray, IntArray, Region
    from piecewright.cutting.passes import Run
    from piecewright.cutting.pieces.rings import Ring
    from piecewright.cutting.pieces.thread_map import ThreadMap
    from piecewright.cutting.pieces.words import Hint

SPREAD: Final = 0.55
"""A meander that holds a piece reaches over this much of its width and height."""

SPACING_MM: Final = 14.0
"""Area over length: the lines of such a meander lie closer than this."""

INSIDE: Final = 0.93
"""Share of its needle points inside the line; a few may lie on it."""

OFF_EDGE_MM: Final = 4.0
OFF_EDGE: Final = 0.4
"""Share of its needle points farther from the line than that; a line along the edge has none."""

DEPTHS: Final = 0.3
"""Of the greatest depth under the edge: a meander goes to and from the edge, a line inside keeps off it."""

STICKS_OUT_MM: Final = 1.0

MOST_OPEN: Final = 0.4
"""A line of which so much is a gap is open."""

HARDLY: Final = 0.25
"""Of its thread; a line of three laps has a third of it in its ring."""

BEAN_TIMES: Final = 3
"""A bean goes along its line three times or more."""

SAME_LINE_MM: Final = 1.0
"""Lines redrawn in another colour lie on the first."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Surroundings:
    """What the evidence of a ring is read from, besides its followers.

    Attributes:
        runs: Of the whole design.
        block: Block of each run, (r,).
        length: Thread of each run, (r,) mm.
        low: Smallest x and y of each run, (r, 2) mm.
        high: Largest x and y of each run, (r, 2) mm.
        free: Whether each run is a line that may wander, not closed, (r,).
        threads: Map of the thread.
        alone: For each block, share of its thread that draws closed lines.
        redrawn: For each block, share of its lines that are open and sewn again later.
        overlaid: Share of each open line of a block that draws closed ones along which anything is sewn
            later, (r,); 0 of all other runs.
        hints: For each block, what its thread says.
    """

    runs: Sequence[Run]
    block: IntArray
    length: FloatArray
    low: FloatArray
    high: FloatArray
    free: BoolArray
    threads: ThreadMap
    alone: dict[int, float]
    redrawn: dict[int, float]
    overlaid: FloatArray
    hints: dict[int, Hint | None]


def look_around(design: Design, runs: Sequence[Run], rings: Sequence[Ring]) -> Surroundings:
    """Measure what every ring is judged against."""
    block = np.array([run.block for run in runs], dtype=np.int64)
    length = np.array([run.stitch_length_mm * (len(run.points) - 1) for run in runs])
    closed = np.zeros(len(runs), dtype=np.bool_)
    closed[[index for ring in rings if _is_sewn(ring) for index in ring.runs]] = True
    open_lines = _open_lines(runs, block, length, closed)
    return Surroundings(
        runs=runs,
        block=block,
        length=length,
        low=np.array([run.points.min(axis=0) for run in runs]).reshape(-1, 2),
        high=np.array([run.points.max(axis=0) for run in runs]).reshape(-1, 2),
        free=_free(runs, closed),
        threads=map_threads(runs),
        alone=_alone(block, length, closed),
        redrawn=_redrawn(runs, block, length, closed, open_lines),
        overlaid=_overlaid(
            runs, block, _open_lines(runs, block, length, closed & ~_hardly_closed(rings, runs, length))
        ),
        hints={each.number: hint_of(each.thread) for each in design.blocks},
    )


def _hardly_closed(rings: Sequence[Ring], runs: Sequence[Run], length: FloatArray) -> BoolArray:
    """Runs whose closed lines are a small part of their thread: bars and travels that meet by chance."""
    drawn = np.zeros(len(runs))
    for ring in rings:
        drawn[list(ring.runs)] += ring.length_mm if len(ring.runs) == 1 else np.inf
    times = np.array([BEAN_TIMES if run.stitch is Stitch.BEAN else 1 for run in runs])
    return np.asarray(times * drawn < HARDLY * length)


def _is_sewn(ring: Ring) -> bool:
    """Whether most of a ring is sewn: a straight line and the way back to its start are no closed line."""
    return ring.gap_mm < MOST_OPEN * ring.length_mm


def _free(runs: Sequence[Run], closed: BoolArray) -> BoolArray:
    lines = np.array([run.stitch in LINES for run in runs], dtype=np.bool_)
    meander = np.array([run.stitch is Stitch.MEANDER for run in runs], dtype=np.bool_)
    return np.asarray(lines & (meander | ~closed))


def _alone(block: IntArray, length: FloatArray, closed: BoolArray) -> dict[int, float]:
    drawn = np.bincount(block, length * closed)
    whole = np.bincount(block, length)
    return {b: float(drawn[b] / whole[b]) for b in np.unique(block).tolist() if whole[b] > 0}


def _open_lines(runs: Sequence[Run], block: IntArray, length: FloatArray, closed: BoolArray) -> IntArray:
    """The runs that are open lines of blocks that draw closed lines too."""
    lines = np.array(
        [run.stitch in LINES and run.stitch_length_mm < SEWN_TRAVEL_MM for run in runs], dtype=np.bool_
    )
    drawing = np.isin(block, block[closed])
    return np.flatnonzero(lines & ~closed & drawing & (length >= SHORTEST_TRAIL_MM))


def _redrawn(
    runs: Sequence[Run], block: IntArray, length: FloatArray, closed: BoolArray, open_lines: IntArray
) -> dict[int, float]:
    """For each block that draws closed lines, the share of its lines that are open and redrawn later."""
    lines = [run.points if run.stitch in LINES else run.points[:0] for run in runs]
    again = _sewn_again(runs, block, open_lines, lines) * length[open_lines]
    redrawn = np.bincount(block[open_lines], again, minlength=int(block.max(initial=0)) + 1)
    drawn = np.bincount(block, length * closed, minlength=len(redrawn))
    return {b: float(redrawn[b] / (redrawn[b] + drawn[b])) for b in np.unique(block[closed]).tolist()}


def _overlaid(runs: Sequence[Run], block: IntArray, open_lines: IntArray) -> FloatArray:
    overlaid = np.zeros(len(runs))
    overlaid[open_lines] = _sewn_again(runs, block, open_lines, [run.spine for run in runs])
    return overlaid


def _sewn_again(
    runs: Sequence[Run], block: IntArray, chosen: IntArray, paths: Sequence[FloatArray]
) -> FloatArray:
    """Share of each chosen line along which the paths of runs of later blocks go, (c,)."""
    every = samples_of(paths, np.full(len(runs), SAME_LINE_MM))
    mine = samples_of([runs[i].points for i in chosen], np.full(len(chosen), 2 * SAME_LINE_MM))
    if not len(mine.owner):
        return np.zeros(len(chosen))
    away, near = neighbours(mine.places, every.places, 8, SAME_LINE_MM)
    later = block[every.owner[near]] > block[chosen[mine.owner]][:, None]
    along = np.abs(np.einsum("ij,ikj->ik", mine.way, every.way[near])) >= PARALLEL
    hit = (np.isfinite(away) & later & along).any(axis=1)
    return np.bincount(mine.owner, hit, minlength=len(chosen)) / np.bincount(
        mine.owner, minlength=len(chosen)
    )


def meanders(block: int, region: Region, around: Surroundings) -> tuple[int, ...]:
    """Indices of runs of blocks after one that wander all over the inside of a region and stay in it."""
    long = around.length * SPACING_MM > geo.area(region)
    likely = np.flatnonzero(may_meander(block, box_of(region.exterior), around) & long)
    return tuple(i for i in likely.tolist() if _wanders(around.runs[i].points, region))


def meanders_together(block: int, region: Region, around: Surroundings) -> tuple[int, ...]:
    """The same, also where cuts divide what wanders in one block into several runs."""
    box = box_of(region.exterior)
    inside = np.flatnonzero((around.block > block) & around.free & _lies_in(box, around))
    found: list[int] = []
    for number in np.unique(around.block[inside]).tolist():
        runs = inside[around.block[inside] == number]
        size = around.high[runs].max(axis=0) - around.low[runs].min(axis=0)
        wide = (size >= SPREAD * np.array([box.x1 - box.x0, box.y1 - box.y0])).all()
        if wide and float(around.length[runs].sum()) * SPACING_MM > geo.area(region):
            every = np.vstack([around.runs[i].points for i in runs.tolist()])
            found += runs.tolist() if _wanders(every, region) else []
    return tuple(found)


def with_neighbours(found: Sequence[int], region: Region, around: Surroundings) -> list[int]:
    """The runs that wander, with the lines sewn right before and after them in the region.

    Parts of a meander that go to and fro only once end where they began, and look closed.
    """
    lines = np.array([run.stitch in LINES for run in around.runs], dtype=np.bool_)
    inside = np.flatnonzero(lines & _lies_in(box_of(region.exterior), around)).tolist()
    wandering = set(found)
    for order, back in ((inside, -1), (inside[::-1], 1)):
        for index in order:
            if index + back in wandering and around.block[index + back] == around.block[index]:
                wandering.add(index)
    return sorted(wandering)


def _lies_in(box: Box, around: Surroundings) -> BoolArray:
    low = np.array([box.x0, box.y0]) - STICKS_OUT_MM
    high = np.array([box.x1, box.y1]) + STICKS_OUT_MM
    return np.asarray(((around.low >= low) & (around.high <= high)).all(axis=1))


def may_meander(block: int, box: Box, around: Surroundings) -> BoolArray:
    """Which runs of blocks after one lie in a box and reach all over it, (r,)."""
    size = np.array([box.x1 - box.x0, box.y1 - box.y0])
    wide = ((around.high - around.low) >= SPREAD * size).all(axis=1)
    return np.asarray((around.block > block) & around.free & _lies_in(box, around) & wide)


def _wanders(points: FloatArray, region: Region) -> bool:
    if straight_share(points) >= STRAIGHT:
        return False
    depth = geo.distances_to_edge(region, points)
    # Twice area over circumference is the radius of a circle, and a fair depth of any other shape.
    off_edge = depth > min(OFF_EDGE_MM, 0.6 * geo.area(region) / geo.perimeter(region))
    least, most = np.quantile(depth, (0.1, 0.9))
    to_and_from = most - least > DEPTHS * float(depth.max())
    return bool(to_and_from) and float((depth >= 0).mean()) > INSIDE and float(off_edge.mean()) > OFF_EDGE
