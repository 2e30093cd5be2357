"""Finding closed lines in what one run sews: laps closed, ways to and from left out.

A machine does not draw rings. It ties in, comes perhaps from the middle, goes round once, a little
further or twice, and goes on to the next line without a cut.

Terms: a *lap* is where a path runs along its own beginning; a *loop* is what it went round before;
a *trail* is a part of a path between loops, that is not closed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.geometry import nearest, pairs_within
from piecewright.cutting.pieces.hanging import hung_loops
from piecewright.cutting.pieces.paths import (
    LAP_BREAK_MM,
    LAP_MM,
    LEAST_LOOP_MM2,
    MOST_SAMPLES,
    MOST_TURNS,
    SAMPLE_MM,
    SHORTEST_LOOP_MM,
    arc_lengths,
    without_repeats,
)
from piecewright.cutting.pieces.spurs import unretraced, without_ties

if TYPE_CHECKING:
    from piecewright.cutting.geometry import BoolArray, FloatArray, IntArray

TRAVEL_STITCHES: Final = 3.5
"""A stitch this many times longer than usual in its run, and longer than the next, is a travel."""

TRAVEL_MM: Final = 7.0
"""Stitches of lines are shorter than this (common practice, no source)."""

SAME_WAY: Final = 0.7
"""Cosine of 45 degrees: chords of 2 mm on a dot of 6 mm turn by 39; crossings are steeper."""

SETTLED_MM: Final = 0.2
"""Two units of the file: thread this near lies on the first."""

CROSSES_MM: Final = 5.0
"""Lines that cross at 12 degrees are within half a mm of each other for 5 mm."""

SETTLES_MM: Final = 10.0
"""A lap that comes in beside the line is on it after this."""

MOST_PAIRS: Final = 1_000_000
"""Scribbles that meet themselves more often are not looked at: no outline does."""

FEW_STITCHES: Final = 10
"""Of a round line of more stitches a chord past one needle point cuts off less than 3 % of the inside."""

SEAM_MM: Final = 1.0
"""First and last needle point of a ring nearer than this may be the same point sewn twice."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Traced:
    """What one path consists of.

    Attributes:
        loops: Closed parts, each (n, 2) mm without the first point repeated.
        trails: Open parts, each (n, 2) mm.
        lapped: Share of the length of the loops that is sewn twice or more.
    """

    loops: tuple[FloatArray, ...]
    trails: tuple[FloatArray, ...]
    lapped: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Samples:
    """Places along a path: (m, 2) mm, arc length (m,), direction (m, 2)."""

    places: FloatArray
    arc: FloatArray
    way: FloatArray


def traced(points: FloatArray) -> Traced:
    """Divide a path (n, 2) into loops and trails."""
    path = without_repeats(points)
    parts = [_traced(whole) for part in _between_travels(path) for whole in unretraced(without_ties(part))]
    length = sum(part.lapped for part in parts)
    around = sum(float(arc_lengths(loop)[-1]) for part in parts for loop in part.loops)
    return Traced(
        loops=tuple(loop for part in parts for loop in part.loops),
        trails=tuple(trail for part in parts for trail in part.trails),
        lapped=length / around if around else 0.0,
    )


def _between_travels(path: FloatArray) -> list[FloatArray]:
    """The path cut at stitches that are travels; some formats sew what was a jump."""
    steps = np.hypot(*np.diff(path, axis=0).T)
    if len(steps) < 3:  # noqa: PLR2004 - nothing is usual among two
        return [path]
    travel = steps > max(TRAVEL_STITCHES * float(np.median(steps)), TRAVEL_MM)
    return [part for part in np.split(path, np.flatnonzero(travel) + 1) if len(part) > 1]


def _traced(path: FloatArray) -> Traced:
    """Loops and trails of a path without travels; ``lapped`` is a length here, in mm."""
    arc = arc_lengths(path)
    if len(path) < 4 or arc[-1] < SHORTEST_LOOP_MM:  # noqa: PLR2004 - a triangle and its return
        return Traced(loops=(), trails=(path,), lapped=0.0)
    samples = _sampled(path, arc)
    returns = _returns(samples)
    loops: list[FloatArray] = []
    trails: list[FloatArray] = []
    start, lapped = 0.0, 0.0
    while (found := _first_loop(returns, start)) is not None:
        begin, end = found
        loops.append(_ring(path, arc, begin, end))
        trails.append(_between(path, arc, start, begin))
        start = _end_of_lap(samples, begin, end)
        lapped += start - end
    trails.append(_between(path, arc, start, float(arc[-1])))
    hung = [hung_loops(trail) for trail in trails if len(trail) > 1]
    return Traced(
        loops=(*loops, *(loop for found, _ in hung for loop in found)),
        trails=tuple(rest for _, left in hung for rest in left if len(rest) > 1),
        lapped=lapped,
    )


def _sampled(path: FloatArray, arc: FloatArray) -> _Samples:
    count = int(min(max(arc[-1] / SAMPLE_MM, 8), MOST_SAMPLES))
    at = (np.arange(count) + 0.5) * arc[-1] / count
    step = np.clip(np.searchsorted(arc, at, side="right") - 1, 0, len(path) - 2)
    vector = np.diff(path, axis=0)[step]
    size = np.maximum(np.hypot(vector[:, 0], vector[:, 1]), 1e-9)[:, None]
    return _Samples(places=path[step] + vector / size * (at - arc[step])[:, None], arc=at, way=vector / size)


def _returns(samples: _Samples) -> FloatArray:
    """Where a loop could begin and end, as the path runs on along itself, (r, 3).

    Each row: arc lengths of the beginning and of the end, and how far beside the first line the second
    lies there, signed; in the order of the ends, of several beginnings for one end the latest first.
    """
    spacing = float(samples.arc[1] - samples.arc[0])
    # Where a line ends on its own start the nearest samples are up to one and a half steps apart.
    reach = float(np.hypot(LAP_MM, 1.5 * spacing))
    begin, end = pairs_within(samples.places, reach, MOST_PAIRS).T
    apart = samples.arc[end] - samples.arc[begin] > SHORTEST_LOOP_MM
    along = np.einsum("ij,ij->i", samples.way[end], samples.way[begin]) >= SAME_WAY
    wide = np.abs(_areas(samples.places, begin, end)) >= LEAST_LOOP_MM2
    between, way = samples.places[end] - samples.places[begin], samples.way[begin]
    beside = between[:, 0] * way[:, 1] - between[:, 1] * way[:, 0]
    kept = np.flatnonzero(apart & along & wide & (np.abs(beside) <= LAP_MM))
    kept = kept[np.lexsort((-begin[kept], end[kept]))]
    return np.column_stack([samples.arc[begin], samples.arc[end], beside])[kept]


def _areas(places: FloatArray, begin: IntArray, end: IntArray) -> FloatArray:
    """Area that the path encloses from one sample to another, signed, (r,) mm2."""
    x, y = (places - places[0]).T
    swept = np.r_[0.0, np.cumsum(x[:-1] * y[1:] - x[1:] * y[:-1])]
    closing = x[end] * y[begin] - x[begin] * y[end]
    return np.asarray((swept[end] - swept[begin] + closing) / 2)


def _first_loop(returns: FloatArray, start: float) -> tuple[float, float] | None:
    """Where the first loop after a start begins and ends, if there is one."""
    later = returns[int(np.searchsorted(returns[:, 1], start)) :]
    later = later[later[:, 0] >= start]
    for _ in range(MOST_TURNS):
        if not len(later):
            return None
        ahead = later[:, 1] - later[0, 1]
        with_first = np.abs(later[:, 0] - later[0, 0] - ahead) <= LAP_BREAK_MM
        lap = later[with_first & (ahead <= SETTLES_MM)]
        if not _crosses(lap):
            return _settled(lap)
        later = later[(later[:, 1] > lap[-1, 1]) | ~with_first]
    return None


def _crosses(lap: FloatArray) -> bool:
    """Whether the path comes to the line from one side and leaves it to the other at once."""
    short = float(lap[-1, 1] - lap[0, 1]) < CROSSES_MM
    before, after = float(lap[0, 2]), float(lap[-1, 2])
    return short and before * after < 0 and min(abs(before), abs(after)) > LAP_MM / 2


def _settled(lap: FloatArray) -> tuple[float, float]:
    """Where a lap, which may come in beside the line, lies on it."""
    on = np.flatnonzero(np.abs(lap[:, 2]) <= SETTLED_MM)
    best = lap[on[0]] if len(on) else lap[int(np.argmin(np.abs(lap[:, 2])))]
    return float(best[0]), float(best[1])


def _end_of_lap(samples: _Samples, begin: float, end: float) -> float:
    """Arc length up to which the path stays on the loop after closing it."""
    on = (samples.arc >= begin) & (samples.arc <= end)
    rest = np.flatnonzero(samples.arc > end)
    if not len(rest):
        return end
    away, _ = nearest(samples.places[rest], samples.places[on])
    return _last_along(samples.arc[rest], away <= LAP_MM + SAMPLE_MM / 2, end)


def _last_along(arc: FloatArray, along: BoolArray, end: float) -> float:
    """The last arc length along the loop before the path leaves it for longer than a break."""
    on = np.r_[end, arc[along]]
    leaves = np.flatnonzero(np.diff(on) > LAP_BREAK_MM)
    return float(on[leaves[0]] if len(leaves) else on[-1])


def _between(path: FloatArray, arc: FloatArray, begin: float, end: float) -> FloatArray:
    """Needle points from one arc length to another."""
    slack = SAMPLE_MM
    return path[(arc >= begin - slack) & (arc <= end + slack)] if end - begin > slack else path[:0]


def _ring(path: FloatArray, arc: FloatArray, begin: float, end: float) -> FloatArray:
    """Needle points of a loop, the seam sewn once."""
    slack = SAMPLE_MM / 2 + 0.05
    inside = np.flatnonzero((arc >= begin - slack) & (arc <= end + slack))
    if not len(inside):
        return path[:0]
    first, last = int(inside[0]), int(inside[-1])
    few = last - first < FEW_STITCHES
    if few and 0 < first <= last < len(path) - 1 and _in_the_seam(path, arc, (first, last), end - begin):
        first -= 1
    return seamed(path[first : last + 1])


def _in_the_seam(path: FloatArray, arc: FloatArray, ends: tuple[int, int], length: float) -> bool:
    """Whether the needle point before a loop's first lies on the lap, after its last, and off their chord.

    The second lap passes between the holes of the first; on a dot of few stitches its chord cuts off more
    than the eye forgives.
    """
    first, last = ends
    before, after = path[first - 1], path[last + 1]
    between = arc[last] - length < arc[first - 1]
    on_lap = _height(path[last], before, after) <= LAP_MM
    return bool(between and on_lap and _height(path[last], before, path[first]) > SETTLED_MM)


def seamed(ring: FloatArray) -> FloatArray:
    """A ring (n, 2) whose last point is not its first again; of the two the one on the corner is kept."""
    while len(ring) > 4 and np.hypot(*(ring[0] - ring[-1])) < _seam_mm(ring):  # noqa: PLR2004
        first = _height(ring[-2], ring[0], ring[1])
        last = _height(ring[-2], ring[-1], ring[1])
        ring = ring[:-1] if first >= last else ring[1:]
    return ring


def _seam_mm(ring: FloatArray) -> float:
    """Closer than this two needle points are one: a third of a stitch, not over the limit."""
    return min(SEAM_MM, 0.35 * float(np.median(np.hypot(*np.diff(ring, axis=0).T))))


def _height(a: FloatArray, point: FloatArray, b: FloatArray) -> float:
    """Distance of a point from the line between two others, mm."""
    chord, to = b - a, point - a
    return float(abs(chord[0] * to[1] - chord[1] * to[0]) / max(np.hypot(*chord), 1e-9))
