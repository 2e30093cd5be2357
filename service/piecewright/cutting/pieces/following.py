"""Which later passes follow which line: the repetition that makes appliqué.

Terms: a run *follows* a ring if it runs along it, near and parallel, in a later block, so that the
machine has halted between; *coverage* is the share of the ring along which that is so; a run is *at
home* on a ring by the share of its own length that lies along it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.geometry import count_pairs, count_within, pairs_between
from piecewright.cutting.passes import AREAS

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy.typing as npt

    from piecewright.cutting.geometry import BoolArray, FloatArray, IntArray
    from piecewright.cutting.passes import Run
    from piecewright.cutting.pieces.rings import Ring

NEAR_MM: Final = 3.5
"""Tack-down and the middle of a cover lie within this of the line (common practice, no source)."""

SAMPLE_MM: Final = 1.0
MOST_RING_SAMPLES: Final = 320
"""Large rings are sampled every 3 mm at most; the reach is larger."""

PARALLEL: Final = 0.7
"""Cosine of 45 degrees, so that rounded corners still count as along."""

SMOOTHED_OVER: Final = 2
"""Directions are taken over this many samples to either side."""

MOST_PAIRS: Final = 1_000_000
"""Pairs of samples looked at together, in some 100 MB; more rings are taken in turns."""

BY_TURNS: Final = 0.1
"""Share of the way that counts; a cover's ends may run astray for less."""


PLANE: Final = np.array([1, 1j])
"""Turns points (n, 2) into complex numbers."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Along:
    """Places on a path: (m, 2) mm, direction of the path (m, 2), whose path it is (m,)."""

    places: FloatArray
    way: FloatArray
    owner: IntArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Follower:
    """One run that follows a ring.

    Attributes:
        run: Index of the run.
        on: Which samples of the ring it follows, (k,).
        at_home: Share of the run that lies along the ring.
        offset_mm: Median distance from the ring, positive outside.
        away_mm: Median distance from the ring, regardless of side.
        innermost_mm: Where it lies farthest inside but for a tenth of its way, negative inside.
        outermost_mm: The same outside.
    """

    run: int
    on: BoolArray
    at_home: float
    offset_mm: float
    away_mm: float
    innermost_mm: float
    outermost_mm: float

    @property
    def swing_mm(self) -> float:
        """How far it lies on either side of the ring by turns; 0 if it keeps to one side."""
        return max(min(self.outermost_mm, -self.innermost_mm), 0.0)

    @property
    def spread_mm(self) -> float:
        """By how much its distance from the ring changes."""
        return self.outermost_mm - self.innermost_mm

    @property
    def coverage(self) -> float:
        """Share of the ring that it follows."""
        return float(self.on.mean())


def samples_of(paths: Sequence[FloatArray], spacing: FloatArray) -> Along:
    """Places along several paths (n, 2) at once, at most the spacing of each (p,) apart; mm."""
    whose = np.flatnonzero([len(path) > 0 for path in paths])
    if not len(whose):
        return Along(places=np.zeros((0, 2)), way=np.zeros((0, 2)), owner=np.zeros(0, dtype=np.int64))
    kept = [path for path in paths if len(path)]
    sizes = np.array([len(path) for path in kept])
    points = np.concatenate(kept)
    starts = np.cumsum(sizes) - sizes
    step = np.hypot(*np.diff(points, axis=0).T)
    step[starts[1:] - 1] = 0.0
    arc = np.r_[0.0, np.cumsum(step)]
    begin, end = arc[starts], arc[starts + sizes - 1]
    count = np.maximum(np.ceil((end - begin) / spacing[whose]), 1).astype(np.int64)
    index = np.repeat(np.arange(len(whose)), count)
    place = np.arange(len(index)) - np.repeat(np.cumsum(count) - count, count)
    at = begin[index] + (place + 0.5) * ((end - begin) / count)[index]
    owner = whose[index]
    places = np.column_stack([np.interp(at, arc, points[:, axis]) for axis in (0, 1)])
    return Along(places=places, way=_ways(places, owner), owner=owner)


def _ways(places: FloatArray, owner: IntArray) -> FloatArray:
    """Direction at each place over some neighbours of the same path, (m, 2)."""
    here = np.arange(len(owner))
    first = np.searchsorted(owner, owner, side="left")
    last = np.searchsorted(owner, owner, side="right") - 1
    low, high = np.maximum(here - SMOOTHED_OVER, first), np.minimum(here + SMOOTHED_OVER, last)
    way = places[high] - places[low]
    return np.asarray(way / np.maximum(np.hypot(way[:, 0], way[:, 1]), 1e-9)[:, None])


def find_followers(rings: Sequence[Ring], runs: Sequence[Run]) -> list[list[Follower]]:
    """For every ring the runs of all blocks that run along it, in sewing order; not those that draw it."""
    sewn = _spines(runs)
    lines = _outlines(rings)
    if not len(sewn.owner) or not len(lines.owner):
        return [[] for _ in rings]
    total = np.bincount(sewn.owner, minlength=len(runs))
    found: dict[int, list[Follower]] = {}
    for first, after in _turns(lines, sewn, len(rings)):
        chosen = (lines.owner >= first) & (lines.owner < after)
        part = Along(places=lines.places[chosen], way=lines.way[chosen], owner=lines.owner[chosen])
        found |= _followers(part, sewn, _pairs(part, sewn), rings, total)
    return [found.get(number, []) for number in range(len(rings))]


def _spines(runs: Sequence[Run]) -> Along:
    empty = np.zeros((0, 2))
    paths = [empty if run.stitch in AREAS or len(run.spine) < 3 else run.spine for run in runs]  # noqa: PLR2004
    return samples_of(paths, np.full(len(paths), SAMPLE_MM))


def _outlines(rings: Sequence[Ring]) -> Along:
    paths = [np.vstack([ring.points, ring.points[:1]]) for ring in rings]
    spacing = [max(SAMPLE_MM, ring.length_mm / MOST_RING_SAMPLES) for ring in rings]
    return samples_of(paths, np.array(spacing))


def _turns(lines: Along, sewn: Along, rings: int) -> list[tuple[int, int]]:
    """Ranges of rings that meet few enough samples together."""
    if count_pairs(lines.places, sewn.places, NEAR_MM) <= MOST_PAIRS:
        return [(0, rings)]
    met = count_within(lines.places, sewn.places, NEAR_MM)
    each = np.bincount(lines.owner, met, minlength=rings)
    turn = (np.cumsum(each) // MOST_PAIRS).astype(np.int64)
    starts = np.flatnonzero(np.r_[True, np.diff(turn) != 0]).tolist()
    return list(zip(starts, [*starts[1:], rings], strict=True))


def _pairs(lines: Along, sewn: Along) -> tuple[IntArray, IntArray]:
    """Indices of samples of rings and of runs that are near and parallel."""
    one, other = pairs_between(lines.places, sewn.places, NEAR_MM)
    # As complex numbers the vectors of many pairs are put together several times as fast.
    along = np.abs(((lines.way @ PLANE)[one].conj() * (sewn.way @ PLANE)[other]).real) >= PARALLEL
    return one[along], other[along]


def _followers(
    lines: Along, sewn: Along, pairs: tuple[IntArray, IntArray], rings: Sequence[Ring], total: IntArray
) -> dict[int, list[Follower]]:
    """Sort pairs of samples by ring and run.

    Args:
        lines: Samples of some rings.
        sewn: Samples of all runs.
        pairs: Indices of near and parallel samples of both.
        rings: All rings.
        total: How many samples each run has.
    """
    one, other = pairs
    between = (sewn.places @ PLANE)[other] - (lines.places @ PLANE)[one]
    outward = (between.conj() * (lines.way @ PLANE)[one]).imag
    ring, run = lines.owner[one], sewn.owner[other]
    order = np.lexsort((_short(run), _short(ring)))
    ends = np.flatnonzero((np.diff(ring[order]) != 0) | (np.diff(run[order]) != 0)) + 1
    first, after = (np.searchsorted(lines.owner, np.arange(len(rings)), side) for side in ("left", "right"))
    found: dict[int, list[Follower]] = {}
    for rows in np.split(order, ends) if len(order) else []:
        number, which = int(ring[rows[0]]), int(run[rows[0]])
        if which not in rings[number].runs:
            begin, size = first[number], int(after[number] - first[number])
            found.setdefault(number, []).append(
                _follower(which, one[rows] - begin, other[rows], outward[rows], size, total)
            )
    return found


def _short(numbers: IntArray) -> IntArray | npt.NDArray[np.uint16]:
    """The same numbers in two bytes if they fit, which are sorted ten times as fast."""
    return numbers.astype(np.uint16) if numbers.max(initial=0) <= np.iinfo(np.uint16).max else numbers


def _follower(
    run: int, on: IntArray, sewn: IntArray, outward: FloatArray, size: int, total: IntArray
) -> Follower:
    flags = np.zeros(size, dtype=np.bool_)
    flags[on] = True
    innermost, outermost = _range(on, outward)
    return Follower(
        run=run,
        on=flags,
        at_home=(1 + np.count_nonzero(np.diff(np.sort(sewn)))) / int(total[run]),
        offset_mm=_reached_by(np.sort(outward), 0.5),
        away_mm=_reached_by(np.sort(np.abs(outward)), 0.5),
        innermost_mm=innermost,
        outermost_mm=outermost,
    )


def _range(on: IntArray, outward: FloatArray) -> tuple[float, float]:
    """Between which distances a run lies but for a tenth of its way along a ring at either end.

    Laps on both sides of the ring at one place, such as the edge runs under a satin, are one line there.
    """
    count = np.bincount(on)
    there = np.flatnonzero(count)
    apart = np.sort(np.bincount(on, outward)[there] / count[there])
    return _reached_by(apart, BY_TURNS), _reached_by(apart, 1 - BY_TURNS)


def _reached_by(rising: FloatArray, share: float) -> float:
    """The quantile of rising numbers, straight between two of them; numpy's own takes ten times as long."""
    place = share * (len(rising) - 1)
    below = int(place)
    low, high = float(rising[below]), float(rising[min(below + 1, len(rising) - 1)])
    return low + (high - low) * (place - below)
