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
from typing import Final, TypeAlias

import numpy as np
import numpy.typing as npt

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

KNOT_DEG: Final = 12.0
"""Knots stand where the ring has turned by this much since the last one ..."""

KNOT_MM: Final = 16.0
"""... or gone this far, or a little of both."""

REACH: Final = 12.0
"""A cubic spans at most so many knots' worth: none draws more than 144 degrees of an arc within 0.03 mm,
unless the arc is smaller than any piece."""

HALVINGS: Final = 7
"""How often the distance of knots is halved; a line that runs into an arc is then known to 0.15 mm."""

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

LEAST_HANDLE: Final = 1e-3
MOST_HANDLE: Final = 2.0
"""Handles shorter or longer than these shares of the stretch make cusps and loops."""

BATCH: Final = 4096
"""Cubics fitted at a time, which bounds the memory."""


ComplexArray: TypeAlias = npt.NDArray[np.complex128]

_PLANE: Final = np.array([1, 1j])
"""Turns points (n, 2) into complex numbers."""


@dataclass(frozen=True, slots=True)
class _Rail:
    """A ring opened at one of its points, which is repeated at the end: what cubics are fitted to.

    Attributes:
        points: (n, 2) mm.
        along: Distance of each point from the start, (n,) mm.
        leave: Unit direction in which a cubic leaves each point, (n, 2).
        arrive: Unit direction in which a cubic comes to each point, looking back, (n, 2).
        measure: How many knots' worth of turning and length lies before each point, (n,).
        span: How many corners have been passed at each point, (n,); cubics do not pass corners.
    """

    points: FloatArray
    along: FloatArray
    leave: FloatArray
    arrive: FloatArray
    measure: FloatArray
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
    rail = _rail(roll_to(clean, start), roll_to(turns, start))
    knots = _knots(rail, tolerance_mm)
    trials = _trials(rail, knots, tolerance_mm)
    allowed = most_nodes(len(corners), ring_length(clean))
    for factor in LOOSER:
        chain = knots[_fewest(trials, len(knots), factor * tolerance_mm)]
        if len(chain) - 1 <= allowed:
            break
    return frozen(_fit(rail, chain[:-1], chain[1:], rounds=8)[0])


def most_nodes(corners: int, perimeter_mm: float) -> float:
    """How many nodes a person who opens the outline in a drawing program would still call few."""
    return 8 + 1.5 * corners + perimeter_mm / 9


def _rail(ring: FloatArray, turns: FloatArray) -> _Rail:
    """Open a ring at its first point."""
    is_corner = np.abs(turns) > CORNER_DEG
    lengths = edge_lengths(ring)
    along = np.append(0.0, np.cumsum(lengths))
    bend = np.append(np.where(is_corner, 0.0, np.abs(turns)), 0.0)
    leave, arrive = _tangents(ring, lengths, is_corner)
    return _Rail(
        points=np.vstack([ring, ring[:1]]),
        along=along,
        leave=np.vstack([leave, leave[:1]]),
        arrive=-np.vstack([arrive, arrive[:1]]),
        measure=(np.cumsum(bend) - bend / 2) / KNOT_DEG + along / KNOT_MM,
        span=np.append(np.cumsum(is_corner), is_corner.sum()),
    )


def _knots(rail: _Rail, tolerance_mm: float) -> IntArray:
    """Points to be knots: evenly by measure, at corners, at the ends of lines, and closer where needed.

    Where curvature jumps (a line runs into an arc), no cubic from one knot to the next may do; there
    knots are halved until one does.
    """
    end = len(rail.points) - 1
    wanted = np.linspace(0, rail.measure[-1], max(int(np.ceil(rail.measure[-1])), 2) + 1)[:-1]
    lines = np.flatnonzero(np.diff(rail.along) > STRAIGHT_EDGE_MM)
    corners = np.flatnonzero(np.diff(rail.span, prepend=0) > 0)
    knots = np.unique([*np.searchsorted(rail.measure, wanted), *lines, *(lines + 1), *corners, end])
    for _ in range(HALVINGS):
        first, last = knots[:-1], knots[1:]
        open_pairs = np.flatnonzero(last - first > 1)
        first, last = first[open_pairs], last[open_pairs]
        bad = _fit(rail, first, last, rounds=3)[1] > tolerance_mm
        if not bad.any():
            break
        middle = (rail.along[first[bad]] + rail.along[last[bad]]) / 2
        knots = np.unique(
            [*knots, *np.clip(np.searchsorted(rail.along, middle), first[bad] + 1, last[bad] - 1)]
        )
    return knots


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


def _trials(rail: _Rail, knots: IntArray, tolerance_mm: float) -> _Trials:
    """Fit a cubic between each two knots of a span that are not too far apart."""
    measure, span = rail.measure[knots], rail.span[knots]
    count = len(knots)
    ends = np.maximum(np.searchsorted(measure, measure + REACH, side="right"), np.arange(count) + 2)
    ends = np.minimum(ends, count)
    sizes = np.maximum(ends - np.arange(count) - 1, 0)
    first = np.repeat(np.arange(count), sizes)
    last = first + 1 + np.arange(len(first)) - np.repeat(np.cumsum(sizes) - sizes, sizes)
    inside = span[first] == span[last - 1]
    order = np.lexsort((first[inside], last[inside]))
    first, last = first[inside][order], last[inside][order]
    batches = [slice(k, k + BATCH) for k in range(0, len(first), BATCH)]
    error = [_errors(rail, knots[first[some]], knots[last[some]], tolerance_mm) for some in batches]
    return _Trials(first, last, np.concatenate(error))


def _errors(rail: _Rail, first: IntArray, last: IntArray, tolerance_mm: float) -> FloatArray:
    """How far the best cubics stray; a first fit sorts out those that never will do."""
    error = _fit(rail, first, last, rounds=1, samples=FEW_SAMPLES)[1]
    hopeful = error < HOPELESS * tolerance_mm
    error[hopeful] = _fit(rail, first[hopeful], last[hopeful], rounds=3)[1]
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
    rail: _Rail, first: IntArray, last: IntArray, rounds: int, samples: int = SAMPLES
) -> tuple[FloatArray, FloatArray]:
    """Fit one cubic to each stretch from a first to a last point; cubics (k, 4, 2) and errors (k,).

    Points are complex numbers here, x + iy: then each step is one product over all samples.
    """
    inner = np.linspace(0, 1, samples + 2)[1:-1]
    size = rail.along[last] - rail.along[first]
    where = rail.along[first, None] + size[:, None] * inner
    points = rail.points @ _PLANE
    target = np.interp(where, rail.along, points)
    leave, arrive = (rail.leave[first] @ _PLANE)[:, None], (rail.arrive[last] @ _PLANE)[:, None]
    cubic = np.empty((4, len(first), 1), dtype=np.complex128)
    cubic[0, :, 0], cubic[3, :, 0] = points[first], points[last]
    u = np.broadcast_to(inner, (len(first), samples))
    for _ in range(rounds):
        out, back = _handles(cubic, leave, arrive, u, target, size)
        cubic[1, :, 0] = cubic[0, :, 0] + out * leave[:, 0]
        cubic[2, :, 0] = cubic[3, :, 0] + back * arrive[:, 0]
        u = _nearer(cubic, u, target)
    off = np.abs(_at(cubic, u) - target)
    return np.stack([cubic.real, cubic.imag], axis=-1)[:, :, 0].swapaxes(0, 1), off.max(axis=1)


def _at(cubic: ComplexArray, u: FloatArray) -> ComplexArray:
    """Points of cubics (4, k, 1) at parameters (k, samples), by the Bernstein polynomials."""
    v = 1 - u
    return np.asarray(v * v * (v * cubic[0] + 3 * u * cubic[1]) + u * u * (3 * v * cubic[2] + u * cubic[3]))


def _handles(
    cubic: ComplexArray,
    leave: ComplexArray,
    arrive: ComplexArray,
    u: FloatArray,
    target: ComplexArray,
    size: FloatArray,
) -> tuple[FloatArray, FloatArray]:
    """Least-squares handles, (k,) each; a third of the length where the equations give no sensible ones."""
    v = 1 - u
    w1, w2 = 3 * v * v * u, 3 * v * u * u
    rest = target - (v * v * v + w1) * cubic[0] - (w2 + u * u * u) * cubic[3]
    aa, bb = (w1 * w1).sum(axis=1), (w2 * w2).sum(axis=1)
    ab = (w1 * w2).sum(axis=1) * _dot(leave, arrive)[:, 0]
    ra, rb = (w1 * _dot(rest, leave)).sum(axis=1), (w2 * _dot(rest, arrive)).sum(axis=1)
    det = aa * bb - ab * ab
    safe = np.where(det > SINGULAR, det, 1.0)
    out, back = (ra * bb - rb * ab) / safe, (rb * aa - ra * ab) / safe
    least, most = np.minimum(out, back), np.maximum(out, back)
    sensible = (det > SINGULAR) & (least > LEAST_HANDLE * size) & (most < MOST_HANDLE * size)
    return np.where(sensible, out, size / 3), np.where(sensible, back, size / 3)


def _nearer(cubic: ComplexArray, u: FloatArray, target: ComplexArray) -> FloatArray:
    """Parameters after one Newton step towards the foot of the perpendicular."""
    v = 1 - u
    off = _at(cubic, u) - target
    first, second = 3 * np.diff(cubic, axis=0), 6 * np.diff(cubic, n=2, axis=0)
    speed = v * v * first[0] + 2 * v * u * first[1] + u * u * first[2]
    change = v * second[0] + u * second[1]
    slope = _dot(speed, speed) + _dot(off, change)
    step = _dot(off, speed) / np.where(slope > SINGULAR, slope, np.inf)
    return np.asarray(np.clip(u - step, 0, 1))


def _dot(one: ComplexArray, other: ComplexArray) -> FloatArray:
    """Scalar product of vectors in the plane."""
    return np.asarray(one.real * other.real + one.imag * other.imag)
