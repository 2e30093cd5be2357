"""All needle points of a design in one array, with the steps and turns between them.

One array for the whole design makes ten thousand short runs cost no more than ten long ones.

Terms: a *step* goes from one needle point to the next; a *turn* is the angle between two steps; a
point is *idle* if the needle hardly moved before it (a tie stitch, or the short step at the end of
a row), so that its direction says nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

if TYPE_CHECKING:
    from piecewright.cutting.design import Block, Design
    from piecewright.cutting.geometry import BoolArray, FloatArray, IntArray

STITCHES_JUMPED: Final = 3.0
"""A jump over fewer usual stitches than this is a jump inside a line, not its end."""

LEAST_TRAVEL_MM: Final = 4.0
"""Where stitches are tiny, a jump this short still belongs to the line."""

SEWN_TRAVEL_MM: Final = 7.0
"""Cheap converters turn travels into stitches, as long as the machine or the format allows; hardly a line
has single stitches of this length among short ones."""

SEWN_TRAVEL_STITCHES: Final = 1.5
"""So much longer than any stitch around it is a sewn travel."""

AROUND: Final = 8
"""Stitches before and after a sewn travel that are compared with it."""

STRAIGHT_ON_DEG: Final = 10.0
"""A travel goes straight; formats with a longest stitch divide it."""

IDLE_MM: Final = 0.2
"""Two units of the file: shorter steps have no direction after rounding."""

SHORT_MM: Final = 0.7
"""Steps from one row of a fill to the next, and ties, are shorter than this, and than others of the run."""

SHORT_SHARE: Final = 0.35


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Trace:
    """Every needle point of a design, in sewing order.

    Attributes:
        points: (n, 2) mm.
        block: Number of the block of each, (n,).
        place: Index of each in its block, (n,).
        run: Which run each belongs to, counted from 0, (n,).
    """

    points: FloatArray
    block: IntArray
    place: IntArray
    run: IntArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Steps:
    """The points of a trace that are not idle.

    Attributes:
        at: Index of each point in the trace, (k,).
        points: (k, 2) mm.
        run: (k,).
        first: Index, among these, of the first point of its run, (k,).
        last: The same of the last one.
        vector: Step to the next point, (k, 2) mm; zero at the end of a run.
        length: Its length, (k,) mm.
        turn: Signed angle between the steps before and after, (k,) degrees; 0 at the ends of a run.
        has_turn: False at the ends of a run.
    """

    at: IntArray
    points: FloatArray
    run: IntArray
    first: IntArray
    last: IntArray
    vector: FloatArray
    length: FloatArray
    turn: FloatArray
    has_turn: BoolArray


def trace_of(design: Design) -> Trace:
    """Lay all blocks end to end and number their runs."""
    blocks = [block for block in design.blocks if len(block.points)]
    if not blocks:
        none = np.zeros(0, dtype=np.int64)
        return Trace(points=np.zeros((0, 2)), block=none, place=none, run=none)
    sizes = [len(block.points) for block in blocks]
    starts = np.concatenate([_starts(block) for block in blocks])
    return Trace(
        points=np.concatenate([block.points for block in blocks]),
        block=np.repeat([block.number for block in blocks], sizes),
        place=np.concatenate([np.arange(size) for size in sizes]),
        run=np.cumsum(starts) - 1,
    )


def _starts(block: Block) -> BoolArray:
    """Where a run of the block starts: after a cut, or after a travel longer than some stitches."""
    steps = np.hypot(*np.diff(block.points, axis=0).T)
    sewn = steps[~(block.travel_before[1:] | block.cut_before[1:])]
    usual = float(np.median(sewn)) if len(sewn) else 0.0
    long = steps > max(STITCHES_JUMPED * usual, LEAST_TRAVEL_MM)
    starts = np.ones(len(block.points), dtype=np.bool_)
    starts[1:] = block.cut_before[1:] | (block.travel_before[1:] & long) | _sewn_travels(block.points)
    return starts


def _sewn_travels(points: FloatArray) -> BoolArray:
    """At which steps a travel sewn as stitches begins and ends: long ones, straight on, among short ones."""
    vector = np.diff(points, axis=0)
    steps = np.hypot(vector[:, 0], vector[:, 1])
    travels = np.zeros(len(steps), dtype=np.bool_)
    edges = np.flatnonzero(np.diff(np.r_[False, steps >= SEWN_TRAVEL_MM, False]))
    for begin, end in edges.reshape(-1, 2).tolist():
        around = np.r_[steps[max(begin - AROUND, 0) : begin], steps[end : end + AROUND]]
        bends = np.abs(turns(vector[begin : end - 1], vector[begin + 1 : end]))
        travels[[begin, end - 1]] = (
            len(around) >= AROUND
            and steps[begin:end].min() >= SEWN_TRAVEL_STITCHES * around.max()
            and bends.max(initial=0.0) < STRAIGHT_ON_DEG
        )
    return travels


def steps_of(trace: Trace) -> Steps:
    """Measure the steps and turns between all points that are not idle."""
    at = np.flatnonzero(_moving(trace.points, trace.run))
    at = at[_telling(trace.points[at], trace.run[at])]
    points, run = trace.points[at], trace.run[at]
    vector, length = _steps(points, run)
    first, last = _ends(run)
    here = np.arange(len(at))
    has_turn = (here > first) & (here < last)
    return Steps(
        at=at,
        points=points,
        run=run,
        first=first,
        last=last,
        vector=vector,
        length=length,
        turn=np.where(has_turn, turns(np.roll(vector, 1, axis=0), vector), 0.0),
        has_turn=has_turn,
    )


def turns(before: FloatArray, after: FloatArray) -> FloatArray:
    """Signed angle from one step to the next in degrees, (n,); positive is clockwise on the page."""
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    return np.asarray(np.degrees(np.arctan2(cross, np.einsum("ij,ij->i", before, after))))


def _moving(points: FloatArray, run: IntArray) -> BoolArray:
    """Points that the needle moved to reach; the first of a run always counts."""
    moving = np.ones(len(points), dtype=np.bool_)
    moving[1:] = (np.hypot(*np.diff(points, axis=0).T) > IDLE_MM) | (np.diff(run) != 0)
    return moving


def _telling(points: FloatArray, run: IntArray) -> BoolArray:
    """Points that were not reached by a step much shorter than is usual in the run."""
    _, length = _steps(points, run)
    usual = group_medians(length, run)
    step = np.roll(length, 1)
    return np.asarray((step == 0) | (step >= np.minimum(SHORT_MM, SHORT_SHARE * usual[run])))


def group_medians(values: FloatArray, group: IntArray) -> FloatArray:
    """Median of the values (n,) of each group (n,), by its number; 0 for a group without values."""
    order = np.lexsort((values, group))
    count = np.bincount(group)
    start = np.cumsum(count) - count
    middle = np.minimum(start + count // 2, len(values) - 1)
    return np.where(count > 0, values[order[middle]], 0.0) if len(values) else np.zeros(0)


def _steps(points: FloatArray, run: IntArray) -> tuple[FloatArray, FloatArray]:
    vector = np.zeros_like(points)
    if len(points) > 1:
        vector[:-1] = np.diff(points, axis=0)
        vector[:-1][np.diff(run) != 0] = 0.0
    return vector, np.hypot(vector[:, 0], vector[:, 1])


def _ends(run: IntArray) -> tuple[IntArray, IntArray]:
    """Index of the first and of the last point of the run that each point belongs to."""
    if not len(run):
        return run, run
    starts = np.flatnonzero(np.r_[True, np.diff(run) != 0])
    sizes = np.diff(np.r_[starts, len(run)])
    return np.repeat(starts, sizes), np.repeat(starts + sizes - 1, sizes)
