"""Cubics: a dense ring written as few cubic Béziers that share tangents where they meet.

Terms: a *knot* is a point of the ring where one cubic may end and the next begin; a *handle* is the
distance of a control point from its end.

Each possible cubic between two knots is fitted by least squares with its end points and end
tangents fixed, points reassigned to the nearest parameter after each fit (P. J. Schneider, An
algorithm for automatically fitting digitized curves, Graphics Gems, 1990). Which of them make up
the ring is then chosen by dynamic programming, so that there are as few as possible and their
errors are balanced: splitting at the worst point, as Schneider does, takes about a third more.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from piecewright.cutting.geometry import BoolArray, FloatArray, IntArray, frozen, ring_length
from piecewright.cutting.outlines.polyline import edge_lengths, roll_to, turns_deg, without_short_edges

FIT_TOLERANCE_MM: Final = 0.03
"""Greatest distance between ring and cubics: a third of the step in which needle points are stored."""

CORNER_DEG: Final = 20.0
"""A vertex of a dense ring that turns more is a corner of it; arcs and smooth curves turn far less."""

SHORT_EDGE_MM: Final = 0.015
"""Edges of a ring shorter than this have no direction worth keeping."""

STRAIGHT_EDGE_MM: Final = 0.6
"""A longer edge of a dense ring is a straight line, and so is its tangent."""

KNOT_DEG: Final = 9.0
"""Knots stand where the ring has turned by this much since the last one ..."""

KNOT_MM: Final = 12.0
"""... or gone this far, or a little of both."""

REACH: Final = 16
"""A cubic spans at most so many knots: about 120 degrees, more than one cubic can draw within 0.03 mm."""

SAMPLES: Final = 16
"""Points of the ring that a cubic is fitted to."""

FEW_SAMPLES: Final = 7
"""The same at the first fit, which only sorts out the hopeless."""

ERROR_WEIGHT: Final = 0.25
"""How many cubics it is worth to bring the error of one from the tolerance to nothing."""

COST_OF_MISSING: Final = 10.0
"""Cubics that one costs that strays too far between neighbouring knots, where no other is left."""

LOOSER: Final = (1.0, 1.5, 2.0, 2.5)
"""Tolerances tried while more nodes are needed than a person would call few."""

BEND_COS: Final = 0.94
"""Cosine of the turn (20 degrees) over which two edges of a dense ring are no curve."""

SINGULAR: Final = 1e-12
"""Below this the two handles cannot be told apart: the ends face each other on one line."""

HOPELESS: Final = 12.0
"""Cubics that stray this many tolerances at the first fit are not fitted again."""

BATCH: Final = 4096
"""Cubics fitted at a time, which bounds the memory."""


@dataclass(frozen=True, slots=True)
class _Knots:
    """A ring opened at one of its knots, the first point repeated at the end.

    Attributes:
        points: (n + 1, 2) mm.
        along: Distance of each point from the start, (n + 1,).
        index: Which points are knots, (k,), the first and the last among them.
        leave: Unit direction in which a cubic leaves each knot, (k, 2).
        arrive: Unit direction in which a cubic comes to each knot, looking back, (k, 2).
        span: Number of the corner passed last at each knot, (k,); cubics do not pass corners.
    """

    points: FloatArray
    along: FloatArray
    index: IntArray
    leave: FloatArray
    arrive: FloatArray
    span: IntArray


@dataclass(frozen=True, slots=True)
class _Trials:
    """All cubics tried: from which knot to which, and how far each strays; sorted by the last knot."""

    first: IntArray
    last: IntArray
    error_mm: FloatArray


def fit_curve(ring: FloatArray, tolerance_mm: float = FIT_TOLERANCE_MM) -> FloatArray:
    """Write a dense ring as a closed chain of cubics.

    Args:
        ring: (n, 2) mm, sampled so densely that only its corners turn by more than 20 degrees.
        tolerance_mm: Greatest distance between ring and cubics; looser where more nodes than
            ``most_nodes`` would be needed otherwise.

    Returns:
        The curve, (m, 4, 2) mm, read-only.
    """
    clean = without_short_edges(ring, SHORT_EDGE_MM)
    turns = turns_deg(clean)
    corners = np.flatnonzero(np.abs(turns) > CORNER_DEG)
    start = int(corners[0]) if len(corners) else int(np.argmax(np.abs(turns)))
    knots = _knots(roll_to(clean, start), roll_to(turns, start))
    trials = _trials(knots, tolerance_mm)
    allowed = most_nodes(len(corners), ring_length(clean))
    for factor in LOOSER:
        chain = _fewest(trials, len(knots.index), factor * tolerance_mm)
        if len(chain) - 1 <= allowed:
            break
    return frozen(_fit(knots, chain[:-1], chain[1:], rounds=8)[0])


def most_nodes(corners: int, perimeter_mm: float) -> float:
    """How many nodes a person who opens the outline in a drawing program would still call few."""
    return 8 + 1.5 * corners + perimeter_mm / 9


def _knots(ring: FloatArray, turns: FloatArray) -> _Knots:
    """Place knots by turning and length, at corners, and at both ends of straight edges."""
    count = len(ring)
    is_corner = np.abs(turns) > CORNER_DEG
    lengths = edge_lengths(ring)
    along = np.append(0.0, np.cumsum(lengths))
    bend = np.append(np.where(is_corner, 0.0, np.abs(turns)), 0.0)
    measure = (np.cumsum(bend) - bend / 2) / KNOT_DEG + along / KNOT_MM
    wanted = np.linspace(0, measure[-1], max(int(np.ceil(measure[-1])), 2) + 1)[:-1]
    lines = np.flatnonzero(lengths > STRAIGHT_EDGE_MM)
    index = np.unique(
        [*np.searchsorted(measure, wanted), *lines, *(lines + 1), *np.flatnonzero(is_corner), count]
    )
    leave, arrive = _tangents(ring, lengths, is_corner)
    span = np.append(np.cumsum(is_corner), is_corner.sum())
    return _Knots(
        points=np.vstack([ring, ring[:1]]),
        along=along,
        index=index,
        leave=leave[index % count],
        arrive=-arrive[index % count],
        span=span[index],
    )


def _tangents(ring: FloatArray, lengths: FloatArray, is_corner: BoolArray) -> tuple[FloatArray, FloatArray]:
    """Unit directions in which each point is left and reached, alike except at corners, both (n, 2)."""
    after = (np.roll(ring, -1, axis=0) - ring) / lengths[:, None]
    before = np.roll(after, 1, axis=0)
    size_after, size_before = lengths[:, None], np.roll(lengths, 1)[:, None]
    straight_after, straight_before = size_after > STRAIGHT_EDGE_MM, size_before > STRAIGHT_EDGE_MM
    through = before * size_after + after * size_before
    through = np.where(straight_before & ~straight_after, before, through)
    through = np.where(straight_after & ~straight_before, after, through)
    leave = np.where(is_corner[:, None], _one_sided(after, size_after, -1), through)
    arrive = np.where(is_corner[:, None], _one_sided(before, size_before, 1), through)
    return _units(leave), _units(arrive)


def _one_sided(edges: FloatArray, sizes: FloatArray, inwards: int) -> FloatArray:
    """Direction of a curve at its end: the edge there, turned on by what it turns to the next one."""
    inner, inner_size = np.roll(edges, inwards, axis=0), np.roll(sizes, inwards, axis=0)
    bends = (
        (sizes < STRAIGHT_EDGE_MM)
        & (inner_size < STRAIGHT_EDGE_MM)
        & ((edges * inner).sum(axis=1)[:, None] > BEND_COS)
    )
    return np.where(bends, edges + (edges - inner) * sizes / (sizes + inner_size), edges)


def _units(steps: FloatArray) -> FloatArray:
    """Steps of length 1."""
    return np.asarray(steps / np.hypot(*steps.T)[:, None])


def _trials(knots: _Knots, tolerance_mm: float) -> _Trials:
    """Fit a cubic between each two knots of a span that are not too far apart."""
    count = len(knots.index)
    first = np.repeat(np.arange(count), REACH)
    last = first + np.tile(np.arange(1, REACH + 1), count)
    first, last = first[last < count], last[last < count]
    inside = knots.span[first] == knots.span[last - 1]
    order = np.lexsort((first[inside], last[inside]))
    first, last = first[inside][order], last[inside][order]
    error = np.concatenate(
        [
            _errors(knots, first[k : k + BATCH], last[k : k + BATCH], tolerance_mm)
            for k in range(0, len(first), BATCH)
        ]
    )
    return _Trials(first, last, error)


def _errors(knots: _Knots, first: IntArray, last: IntArray, tolerance_mm: float) -> FloatArray:
    """How far the best cubics stray; a first fit sorts out those that never will do."""
    error = _fit(knots, first, last, rounds=1, samples=FEW_SAMPLES)[1]
    hopeful = error < HOPELESS * tolerance_mm
    error[hopeful] = _fit(knots, first[hopeful], last[hopeful], rounds=3)[1]
    return error


def _fewest(trials: _Trials, count: int, tolerance_mm: float) -> IntArray:
    """Knots of the cheapest chain of cubics from the first knot to the last."""
    first, last, error = trials.first, trials.last, trials.error_mm / tolerance_mm
    too_far = np.where(last - first == 1, COST_OF_MISSING + error, np.inf)
    cost = np.where(error <= 1, 1 + ERROR_WEIGHT * error**2, too_far)
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


def _fit(
    knots: _Knots, first: IntArray, last: IntArray, rounds: int, samples: int = SAMPLES
) -> tuple[FloatArray, FloatArray]:
    """Fit one cubic to each stretch from a first to a last knot; cubics (n, 4, 2) and errors (n,)."""
    a, b = knots.index[first], knots.index[last]
    inner = np.linspace(0, 1, samples + 2)[1:-1]
    size = knots.along[b] - knots.along[a]
    where = knots.along[a, None] + size[:, None] * inner
    target = np.stack([np.interp(where, knots.along, knots.points[:, axis]) for axis in (0, 1)], axis=-1)
    cubic = np.zeros((len(a), 4, 2))
    cubic[:, 0], cubic[:, 3] = knots.points[a], knots.points[b]
    leave, arrive = knots.leave[first], knots.arrive[last]
    u = np.broadcast_to(inner, (len(a), samples))
    for _ in range(rounds):
        handles = _handles(cubic, leave, arrive, u, target, size)
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
