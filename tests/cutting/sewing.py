"""A small machine for tests: sews curves in the manners of the trade, in mm, y down.

Terms: a *curve* is a dense chain of points, (n, 2); every function here gives needle points, (n, 2).
"""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

import numpy as np

from piecewright.cutting.design import Block, Design, Thread

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.geometry import BoolArray, FloatArray

JUMP = np.full((1, 2), np.nan)
"""Stands between needle points where the hoop moves without sewing."""

CUT = np.full((1, 2), np.inf)
"""Stands between needle points where the thread is cut and the hoop moves."""


def circle(radius: float, centre: tuple[float, float] = (0.0, 0.0), start_deg: float = 0.0) -> FloatArray:
    """A closed circle."""
    angle = np.radians(start_deg) + np.linspace(0, 2 * np.pi, max(int(radius * 40), 60))
    points = np.column_stack([np.cos(angle), np.sin(angle)]) * radius + np.array(centre)
    return np.asarray(points, dtype=np.float64)


def polygon(*corners: tuple[float, float]) -> FloatArray:
    """A closed polygon, densely."""
    return dense(np.array([*corners, corners[0]], dtype=np.float64))


def rectangle(x: float, y: float, width: float, height: float) -> FloatArray:
    """A closed rectangle from its top left corner."""
    return polygon((x, y), (x + width, y), (x + width, y + height), (x, y + height))


def star(tips: int, outer: float, inner: float, centre: tuple[float, float] = (0.0, 0.0)) -> FloatArray:
    """A closed star."""
    angle = np.arange(2 * tips) * np.pi / tips
    radius = np.where(np.arange(2 * tips) % 2 == 0, outer, inner)
    corners = np.column_stack([np.cos(angle), np.sin(angle)]) * radius[:, None] + np.array(centre)
    return polygon(*map(tuple, corners.tolist()))


def dense(path: FloatArray, spacing: float = 0.1) -> FloatArray:
    """The same path with a point at least every tenth of a mm."""
    step = np.hypot(*np.diff(path, axis=0).T)
    parts = [
        np.linspace(a, b, max(int(np.ceil(size / spacing)), 1), endpoint=False)
        for a, b, size in zip(path[:-1], path[1:], step, strict=True)
    ]
    return np.vstack([*parts, path[-1:]])


def part(curve: FloatArray, start_mm: float, end_mm: float) -> FloatArray:
    """The curve from one arc length to another; past its end it goes round again."""
    closed = np.hypot(*(curve[0] - curve[-1])) < 1e-6
    around = np.vstack([curve, curve[1:], curve[1:]]) if closed else curve
    arc = np.r_[0.0, np.cumsum(np.hypot(*np.diff(around, axis=0).T))]
    at = np.linspace(start_mm, end_mm, max(int((end_mm - start_mm) / 0.1), 2))
    return np.column_stack([np.interp(at, arc, around[:, k]) for k in (0, 1)])


def length(curve: FloatArray) -> float:
    """Arc length."""
    return float(np.hypot(*np.diff(curve, axis=0).T).sum())


def run(curve: FloatArray, stitch: float = 2.5) -> FloatArray:
    """Running stitch, a needle point at each sharp corner."""
    corners = [0, *_corners(curve), len(curve) - 1]
    parts = [_even(curve[a : b + 1], stitch)[:-1] for a, b in itertools.pairwise(corners)]
    return np.vstack([*parts, curve[-1:]])


def _corners(curve: FloatArray) -> list[int]:
    way = np.diff(curve, axis=0)
    way = way / np.maximum(np.hypot(*way.T), 1e-12)[:, None]
    cos = np.einsum("ij,ij->i", way[1:], way[:-1])
    return (np.flatnonzero(cos < np.cos(np.radians(25))) + 1).tolist()


def _even(curve: FloatArray, spacing: float) -> FloatArray:
    arc = np.r_[0.0, np.cumsum(np.hypot(*np.diff(curve, axis=0).T))]
    at = np.linspace(0, arc[-1], max(round(arc[-1] / spacing), 1) + 1)
    return np.column_stack([np.interp(at, arc, curve[:, k]) for k in (0, 1)])


def _normals(points: FloatArray) -> FloatArray:
    way = np.gradient(points, axis=0)
    way = way / np.maximum(np.hypot(*way.T), 1e-12)[:, None]
    return np.column_stack([-way[:, 1], way[:, 0]])


def bean(curve: FloatArray, stitch: float = 2.5) -> FloatArray:
    """Each stitch forward, back and forward again."""
    points = run(curve, stitch)
    triple = [np.array([a, b, a]) for a, b in itertools.pairwise(points)]
    return np.vstack([*triple, points[-1:]])


def satin(curve: FloatArray, width: float = 3.0, density: float = 0.4, shift: float = 0.0) -> FloatArray:
    """Side to side across the curve; density is the advance on one side."""
    points = _even(curve, density / 2)
    side = np.where(np.arange(len(points)) % 2 == 0, 0.5, -0.5) * width + shift
    return np.asarray(points + _normals(points) * side[:, None])


def zigzag(curve: FloatArray, width: float = 2.0, spacing: float = 2.0) -> FloatArray:
    """An open zigzag; spacing is the advance on one side."""
    return satin(curve, width, spacing)


def split_satin(curve: FloatArray, width: float = 9.0, density: float = 0.4, pieces: int = 3) -> FloatArray:
    """Wide satin whose long stitches are broken by penetrations."""
    bites = satin(curve, width, density)
    parts = [np.linspace(a, b, pieces, endpoint=False) for a, b in itertools.pairwise(bites)]
    return np.vstack([*parts, bites[-1:]])


def blanket(curve: FloatArray, width: float = 2.5, spacing: float = 2.5) -> FloatArray:
    """Along, in, and out again."""
    points = _even(curve, spacing)
    inside = points + _normals(points) * width
    return np.stack([points, inside, points], axis=1).reshape(-1, 2)


def fill(
    x: float, y: float, width: float, height: float, row: float = 0.4, stitch: float = 3.5
) -> FloatArray:
    """Rows of a rectangle to and fro."""
    rows = []
    for number, level in enumerate(np.arange(y, y + height, row)):
        inner = np.arange(x + stitch * ((number % 3) / 3 + 0.1), x + width, stitch)
        along = np.r_[x, inner, x + width]
        points = np.column_stack([along, np.full(len(along), level)])
        rows.append(points[::-1] if number % 2 else points)
    return np.vstack(rows)


def disc_fill(radius: float, centre: tuple[float, float] = (0.0, 0.0), row: float = 0.4) -> FloatArray:
    """Rows of a disc to and fro."""
    rows = []
    for number, level in enumerate(np.arange(-radius + 0.3, radius - 0.2, row)):
        half = float(np.sqrt(radius**2 - level**2))
        along = np.linspace(-half, half, max(int(2 * half / 3.5), 1) + 1)
        points = np.column_stack([along, np.full(len(along), level)])
        rows.append(points[::-1] if number % 2 else points)
    return np.asarray(np.vstack(rows) + np.array(centre), dtype=np.float64)


def meander(x: float, y: float, width: float, height: float, row: float = 6.0) -> FloatArray:
    """One wandering line of rounded loops over a rectangle that never meets itself."""
    rows = int(height / row)
    chains = []
    for number in range(rows):
        along = np.linspace(0, 1, 400)
        wave = np.column_stack(
            [x + along * width, y + (number + 0.5) * row + 0.35 * row * np.sin(along * width / row * 4)]
        )
        chains.append(wave[::-1] if number % 2 else wave)
    return run(dense(np.vstack(chains)), 2.0)


def cross_stitch(x: float, y: float, columns: int, rows: int, size: float = 2.0) -> FloatArray:
    """Crosses in rows, the way a machine sews them without cutting."""
    points = []
    for r in range(rows):
        for c in range(columns):
            left, top = x + c * size, y + r * size
            points += [
                (left, top),
                (left + size, top + size),
                (left, top + size),
                (left + size, top),
                (left + size, top),
            ]
    return np.array(points, dtype=np.float64)


def tied(points: FloatArray, size: float = 0.6) -> FloatArray:
    """The same stitches with a tie-in and a tie-off."""
    way_in = (points[1] - points[0]) / np.hypot(*(points[1] - points[0])) * size
    way_out = (points[-2] - points[-1]) / np.hypot(*(points[-2] - points[-1])) * size
    tie_in = points[0] + np.outer([0, 1, 0, 1, 0], way_in)
    tie_off = points[-1] + np.outer([0, 1, 0, 1, 0], way_out)
    return np.vstack([tie_in, points[1:-1], tie_off])


def design(*blocks: FloatArray | Sequence[FloatArray], threads: Sequence[Thread] = ()) -> Design:
    """A design of blocks, each a list of stitches with JUMP and CUT between; rounded as a file is."""
    named = [*threads, *[Thread()] * len(blocks)]
    return Design(
        name="sewn.dst",
        format="DST",
        blocks=tuple(
            _block(number, [block] if isinstance(block, np.ndarray) else block, named[number - 1])
            for number, block in enumerate(blocks, 1)
        ),
    )


def _block(number: int, parts: Sequence[FloatArray], thread: Thread) -> Block:
    points, cut, travel = [np.zeros((0, 2))], [np.zeros(0, np.bool_)], [np.zeros(0, np.bool_)]
    pending_cut = pending_travel = False
    for each in parts:
        if len(each) == 1 and not np.isfinite(each).any():
            pending_travel = True
            pending_cut |= bool(np.isinf(each).any())
            continue
        flags = np.zeros(len(each), dtype=np.bool_)
        flags[0] = True
        points.append(each)
        cut.append(flags & pending_cut)
        travel.append(flags & pending_travel)
        pending_cut = pending_travel = False
    return Block(
        number=number,
        thread=thread,
        points=_frozen(np.asarray(np.round(np.vstack(points), 1), dtype=np.float64)),
        cut_before=_frozen_flags(np.concatenate(cut)),
        travel_before=_frozen_flags(np.concatenate(travel)),
    )


def _frozen(values: FloatArray) -> FloatArray:
    values.setflags(write=False)
    return values


def _frozen_flags(values: BoolArray) -> BoolArray:
    values.setflags(write=False)
    return values
