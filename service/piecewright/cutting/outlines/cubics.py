"""Cubics: a dense ring written as few cubic Béziers that share tangents where they meet.

Terms: a *knot* is a point of the ring where one cubic may end and the next begin; a *span* is the
part of a ring between two corners, or the whole ring if it has none; a *handle* is the distance of
a control point from its end.

Each possible cubic between two knots is fitted by least squares with its end points and end
tangents fixed, points reassigned to the nearest parameter after each fit (P. J. Schneider, An
algorithm for automatically fitting digitized curves, Graphics Gems, 1990). Which of them make up
the span is then chosen by dynamic programming, so that there are as few as possible and their
errors are balanced: splitting at the worst point, as Schneider does, takes about a third more.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np

from piecewright.cutting.geometry import FloatArray, IntArray, frozen
from piecewright.cutting.outlines.polyline import roll_to, turns_deg, without_short_edges

FIT_TOLERANCE_MM: Final = 0.03
"""Greatest distance between ring and cubics: a third of the step in which needle points are stored."""

CORNER_DEG: Final = 20.0
"""A vertex of a dense ring that turns more is a corner of it; arcs and smooth curves turn far less."""

SHORT_EDGE_MM: Final = 0.015
"""Edges of a ring shorter than this have no direction worth keeping."""

STRAIGHT_EDGE_MM: Final = 0.6
"""A longer edge of a dense ring is a straight line, and so is its tangent."""

KNOT_DEG: Final = 7.0
"""Knots stand where the ring has turned by this much since the last one ..."""

KNOT_MM: Final = 25.0
"""... or gone this far, or a little of both."""

REACH: Final = 18
"""A cubic spans at most so many knots: about 120 degrees, more than one cubic can draw within 0.03 mm."""

SAMPLES: Final = 24
"""Points of the ring that a cubic is fitted to."""

ERROR_WEIGHT: Final = 0.25
"""How many cubics it is worth to bring the error of one from the tolerance to nothing."""

SINGULAR: Final = 1e-12
"""Below this the two handles cannot be told apart: the ends face each other on one line."""

BATCH: Final = 4096
"""Cubics fitted at a time, which bounds the memory."""


@dataclass(frozen=True, slots=True)
class _Span:
    """Points of one span, their distance from its start, the knots and the tangents at these."""

    points: FloatArray
    along: FloatArray
    knots: IntArray
    tangents: FloatArray


def fit_curve(ring: FloatArray, tolerance_mm: float = FIT_TOLERANCE_MM) -> FloatArray:
    """Write a dense ring as a closed chain of cubics.

    Args:
        ring: (n, 2) mm, sampled so densely that only its corners turn by more than 20 degrees.
        tolerance_mm: Greatest distance between ring and cubics.

    Returns:
        The curve, (m, 4, 2) mm, read-only.
    """
    clean = without_short_edges(ring, SHORT_EDGE_MM)
    turns = turns_deg(clean)
    corners = np.flatnonzero(np.abs(turns) > CORNER_DEG)
    start = int(corners[0]) if len(corners) else int(np.argmax(np.abs(turns)))
    closed = np.vstack([roll_to(clean, start), clean[start]])
    bends = np.append(roll_to(turns, start), turns[start])
    cuts = np.unique([0, *(corners - start), len(clean)])
    loop = len(corners) == 0
    parts = [
        _fit_span(_span(closed[a : b + 1], bends[a : b + 1], loop), tolerance_mm) for a, b in pairwise(cuts)
    ]
    return frozen(np.concatenate(parts))


def _span(points: FloatArray, bends: FloatArray, loop: bool) -> _Span:
    """Place knots by turning and length, and find the tangents there."""
    lengths = np.hypot(*np.diff(points, axis=0).T)
    along = np.append(0.0, np.cumsum(lengths))
    bend = np.abs(bends)
    bend[[0, -1]] = 0
    measure = (np.cumsum(bend) - bend / 2) / KNOT_DEG + along / KNOT_MM
    steps = max(int(np.ceil(measure[-1])), 1)
    wanted = np.linspace(0, measure[-1], steps + 1)
    knots = np.unique(np.searchsorted(measure, wanted[:-1], side="left"))
    knots = np.unique(np.append(knots[knots < len(points) - 1], len(points) - 1))
    tangents = _tangents(points, lengths, loop)[knots]
    return _Span(points, along, knots, tangents)


def _tangents(points: FloatArray, lengths: FloatArray, loop: bool) -> FloatArray:
    """Unit tangents of an open polyline, or of one whose ends are the same point of a loop."""
    edges = np.diff(points, axis=0) / lengths[:, None]
    before = np.vstack([edges[-1:] if loop else edges[:1], edges])
    after = np.vstack([edges, edges[:1] if loop else edges[-1:]])
    size_before = np.append(lengths[-1] if loop else lengths[0], lengths)
    size_after = np.append(lengths, lengths[0] if loop else lengths[-1])
    straight_before, straight_after = size_before > STRAIGHT_EDGE_MM, size_after > STRAIGHT_EDGE_MM
    parabola = before * size_after[:, None] + after * size_before[:, None]
    parabola = np.where((straight_before & ~straight_after)[:, None], before, parabola)
    parabola = np.where((straight_after & ~straight_before)[:, None], after, parabola)
    if not loop and len(edges) > 1:
        for end, edge, inner in ((0, 0, 1), (-1, -1, -2)):
            if lengths[edge] < STRAIGHT_EDGE_MM and lengths[inner] < STRAIGHT_EDGE_MM:
                share = lengths[edge] / (lengths[edge] + lengths[inner])
                parabola[end] = edges[edge] + (edges[edge] - edges[inner]) * share
    return np.asarray(parabola / np.hypot(*parabola.T)[:, None])


def _fit_span(span: _Span, tolerance_mm: float) -> FloatArray:
    """Choose the fewest cubics that follow a span."""
    count = len(span.knots)
    first, last = np.triu_indices(count, 1)
    near = last - first <= REACH
    first, last = first[near], last[near]
    error = np.concatenate(
        [
            _fit(span, first[k : k + BATCH], last[k : k + BATCH], rounds=3)[1]
            for k in range(0, len(first), BATCH)
        ]
    )
    chosen = _fewest(count, first, last, error / tolerance_mm)
    return _fit(span, chosen[:-1], chosen[1:], rounds=8)[0]


def _fewest(count: int, first: IntArray, last: IntArray, error: FloatArray) -> IntArray:
    """Knots of the cheapest chain from the first knot to the last; errors in tolerances."""
    cost = np.where(error <= 1, 1 + ERROR_WEIGHT * error**2, np.where(last - first == 1, 10 + error, np.inf))
    order = np.lexsort((first, last))
    first, last, cost = first[order], last[order], cost[order]
    begins = np.searchsorted(last, np.arange(count + 1))
    best = np.zeros(count)
    came_from = np.zeros(count, dtype=np.int64)
    for knot in range(1, count):
        some = slice(begins[knot], begins[knot + 1])
        total = best[first[some]] + cost[some]
        pick = int(np.argmin(total))
        best[knot], came_from[knot] = total[pick], first[some][pick]
    chain = [count - 1]
    while chain[-1] > 0:
        chain.append(int(came_from[chain[-1]]))
    return np.array(chain[::-1])


def _fit(span: _Span, first: IntArray, last: IntArray, rounds: int) -> tuple[FloatArray, FloatArray]:
    """Fit one cubic to each stretch from a first to a last knot; cubics (n, 4, 2) and errors (n,)."""
    a, b = span.knots[first], span.knots[last]
    inner = np.linspace(0, 1, SAMPLES + 2)[1:-1]
    u = np.broadcast_to(inner, (len(a), SAMPLES)).copy()
    where = span.along[a, None] + (span.along[b] - span.along[a])[:, None] * inner
    target = np.stack([np.interp(where, span.along, span.points[:, axis]) for axis in (0, 1)], axis=-1)
    cubic = np.zeros((len(a), 4, 2))
    cubic[:, 0], cubic[:, 3] = span.points[a], span.points[b]
    leave, arrive = span.tangents[first], -span.tangents[last]
    for turn in range(rounds):
        if turn:
            u = _nearer(cubic, u, target)
        handles = _handles(cubic, leave, arrive, u, target, (span.along[b] - span.along[a]))
        cubic[:, 1] = cubic[:, 0] + handles[:, :1] * leave
        cubic[:, 2] = cubic[:, 3] + handles[:, 1:] * arrive
    u = _nearer(cubic, u, target)
    off = _basis(u) @ cubic - target
    return cubic, np.hypot(off[..., 0], off[..., 1]).max(axis=1)


def _basis(u: FloatArray) -> FloatArray:
    """Bernstein polynomials of degree 3 at parameters (...,), (..., 4)."""
    v = 1 - u
    return np.stack([v**3, 3 * v * v * u, 3 * v * u * u, u**3], axis=-1)


def _handles(
    cubic: FloatArray,
    leave: FloatArray,
    arrive: FloatArray,
    u: FloatArray,
    target: FloatArray,
    size: FloatArray,
) -> FloatArray:
    """Least-squares handles (n, 2); a third of the length where the equations give no sensible ones."""
    weight = _basis(u)
    rest = (
        target
        - (weight[..., 0] + weight[..., 1])[..., None] * cubic[:, None, 0]
        - (weight[..., 2] + weight[..., 3])[..., None] * cubic[:, None, 3]
    )
    w1, w2 = weight[..., 1], weight[..., 2]
    aa, bb = (w1 * w1).sum(axis=1), (w2 * w2).sum(axis=1)
    ab = (w1 * w2).sum(axis=1) * (leave * arrive).sum(axis=1)
    ra = (w1 * (rest @ leave[:, :, None])[..., 0]).sum(axis=1)
    rb = (w2 * (rest @ arrive[:, :, None])[..., 0]).sum(axis=1)
    det = aa * bb - ab * ab
    handles = (
        np.stack([ra * bb - rb * ab, rb * aa - ra * ab], axis=-1) / np.where(det > SINGULAR, det, 1)[:, None]
    )
    sensible = (
        (det > SINGULAR)
        & (handles > 1e-3 * size[:, None]).all(axis=1)
        & (handles < 2 * size[:, None]).all(axis=1)
    )
    return np.where(sensible[:, None], handles, size[:, None] / 3)


def _nearer(cubic: FloatArray, u: FloatArray, target: FloatArray) -> FloatArray:
    """Parameters after one Newton step towards the foot of the perpendicular."""
    off = _basis(u) @ cubic - target
    first, second = 3 * np.diff(cubic, axis=1), 6 * np.diff(cubic, n=2, axis=1)
    v = 1 - u
    speed = np.stack([v * v, 2 * v * u, u * u], axis=-1) @ first
    change = np.stack([v, u], axis=-1) @ second
    slope = (speed * speed + off * change).sum(axis=-1)
    step = (off * speed).sum(axis=-1) / np.where(slope > SINGULAR, slope, np.inf)
    return np.asarray(np.clip(u - step, 0, 1))
