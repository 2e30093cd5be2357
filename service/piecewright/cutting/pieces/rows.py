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
    from piecewright.cutting.pieces.surroundings import Surroundings

BENDS_DEG: Final = 10.0
STRAIGHT: Final = 0.6
"""Share of the thread that goes straight on, or in one direction and its opposite: of rows seven tenths and
more, of a stipple four tenths."""

SECTORS: Final = 36
NEXT: Final = 2
"""Directions are counted in sectors of 5 degrees; rows keep to five of them."""

FEWEST: Final = 12
"""Needle points of a few rows."""

TO_AND_FRO: Final = 4.0
"""Thread over the diagonal of the box: once round a square it is 2.8."""

MANY: Final = 8
"""So many rows fill a narrow shape, though they are short."""

DEEP_MM: Final = 4.0
"""Deepest figure of a motif along a line (common practice, no source)."""

COLUMNS: Final = frozenset({Stitch.SATIN, Stitch.ZIGZAG})

FARTHEST_MM: Final = 4.0
"""Area over thread: rows farther apart are single lines."""

INSIDE: Final = 0.9
OVER_EDGE_MM: Final = 1.0
"""Rows lie in a line if this share of their needle points sticks out by less."""


def straight_share(points: FloatArray) -> float:
    """Share of a path (n, 2) that goes on in the direction of the stitch before."""
    steps = np.diff(points, axis=0)
    size = np.hypot(steps[:, 0], steps[:, 1])
    cos = np.einsum("ij,ij->i", steps[1:], steps[:-1]) / np.maximum(size[1:] * size[:-1], 1e-9)
    whole = float(size[1:].sum())
    return float(size[1:][cos >= np.cos(np.radians(BENDS_DEG))].sum()) / whole if whole else 0.0


def rows_of(points: FloatArray) -> tuple[float, int]:
    """The share of a path (n, 2) that goes to and fro in one direction, and how often it turns in that."""
    steps = np.diff(points, axis=0)
    size = np.hypot(steps[:, 0], steps[:, 1])
    half_turns = np.arctan2(steps[:, 1], steps[:, 0]) / np.pi % 1
    sector = (half_turns * SECTORS).astype(np.int64) % SECTORS
    thread = np.bincount(sector, size, minlength=SECTORS)
    window = np.sum([np.roll(thread, shift) for shift in range(-NEXT, NEXT + 1)], axis=0)
    middle = int(np.argmax(window))
    turn = np.pi * (middle + 0.5) / SECTORS
    along = steps @ np.array([np.cos(turn), np.sin(turn)])
    way = np.sign(along[(np.abs(sector - middle) <= NEXT) | (np.abs(sector - middle) > SECTORS - NEXT - 1)])
    whole = float(size.sum())
    return (float(window[middle]) / whole if whole else 0.0), int(np.count_nonzero(np.diff(way)))


def is_rows(points: FloatArray) -> bool:
    """Whether a path (n, 2) is nothing but rows, longer than the figures of a motif are deep."""
    share, turns = rows_of(points)
    thread = float(np.hypot(*np.diff(points, axis=0).T).sum())
    return share >= STRAIGHT and turns >= MANY and share * thread >= DEEP_MM * (turns + 1)


def share_in_rows(around: Surroundings, chosen: BoolArray, region: Region) -> float:
    """Share of a region over which chosen runs lie in rows, 0 to 1; the most that one block does.

    Args:
        around: The runs of the whole design, and their boxes.
        chosen: Which of them count, (r,).
        region: What a line encloses.
    """
    x0, y0, x1, y1 = geo.bounds(region)
    meets = (around.low < (x1, y1)).all(axis=1) & (around.high > (x0, y0)).all(axis=1)
    by_block: dict[int, list[Run]] = {}
    for index in np.flatnonzero(chosen & meets).tolist():
        run = around.runs[index]
        if _may_be_rows(run) and _lies_in(run.points, region):
            by_block.setdefault(run.block, []).append(run)
    return max((_share(some, region) for some in by_block.values()), default=0.0)


def _may_be_rows(run: Run) -> bool:
    """Whether a run is no line sewn to and fro; open rows over a narrow shape may pass for a wide satin."""
    if run.width_mm > 0:
        return run.stitch is Stitch.FILL or (run.stitch in COLUMNS and run.width_mm >= DEEP_MM)
    return run.stitch not in {Stitch.BEAN, Stitch.DOUBLE_RUN}


def _share(runs: Sequence[Run], region: Region) -> float:
    every = np.vstack([run.points for run in runs])
    paths = _sewn_on(runs)
    thread = np.array([float(np.hypot(*np.diff(path, axis=0).T).sum()) for path, _ in paths])
    rows = [rows_of(path) for path, _ in paths]
    straight = [
        1.0 if fill else max(share, straight_share(path))
        for (path, fill), (share, _) in zip(paths, rows, strict=True)
    ]
    size = float(np.hypot(*np.ptp(every, axis=0)))
    many = thread.sum() >= TO_AND_FRO * size or sum(turns for _, turns in rows) >= MANY
    if len(every) < FEWEST or not many or thread @ straight < STRAIGHT * thread.sum():
        return 0.0
    hull = geo.Region(exterior=geo.convex_hull(every))
    covered = sum(geo.area(part) for part in geo.common(hull, region))
    return covered / geo.area(region) if thread.sum() * FARTHEST_MM >= covered else 0.0


def _sewn_on(runs: Sequence[Run]) -> list[tuple[FloatArray, bool]]:
    """Runs of one block put together where the thread goes on from one to the next; whether all are fills.

    Where rows are as regular as a figure, each may have been taken for a run of its own.
    """
    paths: list[list[Run]] = []
    for run in runs:
        goes_on = bool(paths) and 0 <= run.first - paths[-1][-1].last <= 1
        if goes_on:
            paths[-1].append(run)
        else:
            paths.append([run])
    return [
        (np.vstack([run.points for run in some]), all(run.stitch is Stitch.FILL for run in some))
        for some in paths
    ]


def _lies_in(points: FloatArray, region: Region) -> bool:
    x0, y0, x1, y1 = geo.bounds(region)
    out = OVER_EDGE_MM
    in_box = (points >= (x0 - out, y0 - out)).all(axis=1) & (points <= (x1 + out, y1 + out)).all(axis=1)
    # Most runs reach far beyond the box, and their points need not be held against the edge.
    if float(in_box.mean()) < INSIDE:
        return False
    return float((geo.distances_to_edge(region, points) > -OVER_EDGE_MM).mean()) >= INSIDE
