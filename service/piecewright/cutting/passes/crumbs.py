"""Mending the labels of stretches: crumbs go to their neighbours, and one manner stays in one piece.

Terms: a *part* is a row of needle points of one run with one label; a *crumb* is a part too small to
stand alone; *level* parts go to and fro with about the same advance.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

if TYPE_CHECKING:
    from piecewright.cutting.geometry import BoolArray, FloatArray, IntArray
    from piecewright.cutting.passes.trace import Steps

FEWEST: Final = 8
"""Fewer points to and fro are a corner or a tie of what lies around them."""

TIE_MM: Final = 2.5
"""To and fro within this is a tie, no stretch of its own."""

SHORTEST_LINE_MM: Final = 3.0
"""A shorter line between two hatches is the way from one to the next."""

LEVEL: Final = 1.6
"""Advances that differ by less are one stitch; a satin over its zigzag differs by three and more."""

MOSTLY: Final = 0.55
"""Share of sharp turns from which on a part goes from side to side with every stitch."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Parts:
    """Parts of runs in sewing order: first and last step of each (included), run, label, all (p,)."""

    first: IntArray
    last: IntArray
    run: IntArray
    label: IntArray

    @property
    def size(self) -> IntArray:
        """Needle points of each, (p,)."""
        return self.last - self.first + 1


def parts_of(run: IntArray, label: IntArray) -> Parts:
    """Cut where the run or the label of a needle point changes; both (n,)."""
    first = np.flatnonzero(np.r_[True, (np.diff(run) != 0) | (np.diff(label) != 0)]) if len(run) else run
    last = np.r_[first[1:], len(run)] - 1 if len(run) else run
    return Parts(first=first, last=last, run=run[first], label=label[first])


def without_crumbs(steps: Steps, label: IntArray, line: int, fewest: int) -> IntArray:
    """Give parts too small to stand alone the label of their longer neighbour in the run.

    Args:
        steps: The needle points.
        label: Of each, (k,).
        line: The label of lines, which may be shorter.
        fewest: Parts of fewer points are crumbs.
    """
    parts = parts_of(steps.run, label)
    if not len(parts.first):
        return label
    is_line = parts.label == line
    between = _between_hatches(parts, is_line)
    crumb = (parts.size < np.where(is_line & ~between, min(fewest, 3), fewest)) | _small(
        steps, parts, is_line
    )
    chosen = np.where(crumb, _of_neighbour(parts, np.where(crumb, 0, parts.size)), parts.label)
    return np.repeat(chosen, parts.size)


def _between_hatches(parts: Parts, is_line: BoolArray) -> BoolArray:
    """Lines with stitches to and fro before and after them in their run: a corner of these, if short."""
    same = parts.run[1:] == parts.run[:-1]
    before = np.r_[False, same & ~is_line[:-1]]
    after = np.r_[same & ~is_line[1:], False]
    return np.asarray(before & after)


def _small(steps: Steps, parts: Parts, is_line: BoolArray) -> BoolArray:
    """Ties, and short ways between two hatches."""
    low = np.minimum.reduceat(steps.points, parts.first, axis=0)
    high = np.maximum.reduceat(steps.points, parts.first, axis=0)
    sewn = np.r_[0.0, np.cumsum(steps.length)]
    short = is_line & (sewn[parts.last] - sewn[parts.first] < SHORTEST_LINE_MM)
    return np.asarray((np.max(high - low, axis=1) < TIE_MM) | short)


def _of_neighbour(parts: Parts, size: IntArray) -> IntArray:
    """Label of the larger neighbour of the same run, or one's own if there is none."""
    same = parts.run[1:] == parts.run[:-1]
    before = np.r_[0, np.where(same, size[:-1], 0)]
    after = np.r_[np.where(same, size[1:], 0), 0]
    other = np.where(before >= after, np.roll(parts.label, 1), np.roll(parts.label, -1))
    return np.where((before == 0) & (after == 0), parts.label, other)


def levelled(steps: Steps, label: IntArray, line: int, sharp: BoolArray, advance: FloatArray) -> IntArray:
    """Give neighbouring parts that go to and fro with the same advance the label of most of them.

    Args:
        steps: The needle points.
        label: Of each, (k,).
        line: The label of lines, which are left alone.
        sharp: Whether the thread turns sharply at each point, (k,).
        advance: Distance between the points before and after each, (k,) mm.
    """
    parts = parts_of(steps.run, label)
    if not len(parts.first):
        return label
    turns = np.add.reduceat(sharp.astype(np.int64), parts.first)
    mean = np.add.reduceat(np.where(sharp, advance, 0.0), parts.first) / np.maximum(turns, 1)
    crossing = (parts.label != line) & (turns >= MOSTLY * parts.size) & (mean > 0)
    ratio = np.maximum(mean[1:], 1e-6) / np.maximum(mean[:-1], 1e-6)
    joins = (parts.run[1:] == parts.run[:-1]) & crossing[1:] & crossing[:-1]
    joins &= (ratio < LEVEL) & (ratio > 1 / LEVEL)
    group = np.cumsum(np.r_[0, ~joins])
    weight = np.zeros((int(group[-1]) + 1, int(parts.label.max()) + 1))
    np.add.at(weight, (group, parts.label), parts.size)
    return np.repeat(weight.argmax(axis=1)[group], parts.size)
