"""Closing the gaps of a placement line as later passes go over them.

The designer's curve is known where tack-down or cover are sewn: where they pass over a gap it is
closed along them; where they leave the same gap, something else lies over the seam, and it is closed
straight.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.geometry import frozen, ring_area
from piecewright.cutting.pieces.closing import SPACING_MM
from piecewright.cutting.pieces.following import NEAR_MM
from piecewright.cutting.pieces.paths import arc_lengths

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.geometry import FloatArray
    from piecewright.cutting.passes import Run
    from piecewright.cutting.pieces.chains import Gap
    from piecewright.cutting.pieces.following import Follower
    from piecewright.cutting.pieces.rings import Ring

LONGEST_WAY: Final = 4.0
"""The way round a tip of 30 degrees is this many times as long as the gap across it."""

LEAST_ENCLOSED: Final = 0.5
"""Closed along a later pass a ring holds about as much as closed straight; along its own line, nothing."""

SAME_SPOT_MM: Final = 0.05
FINE_MM: Final = 0.25


def rebridged(ring: Ring, followers: Sequence[Follower], runs: Sequence[Run]) -> Ring:
    """The ring with its gaps closed along what is sewn over them later.

    Args:
        ring: A line with gaps closed as the line itself goes on.
        followers: Later passes that belong to it.
        runs: Of the whole design.
    """
    paths = [
        _path(runs[f.run]) for f in sorted(followers, key=lambda f: (runs[f.run].width_mm > 0, f.away_mm))
    ]
    points = ring.points
    gaps: list[Gap] = []
    for gap in ring.gaps:
        if (way := _way(points, gap, paths)) is not None:
            points, gaps = _replaced(points, gap, way), [*gaps, replace(gap, sewn_later=True)]
        else:
            points, gaps = (_replaced(points, gap, gap.straight()) if paths else points), [*gaps, gap]
    for seam in ring.seams:
        points = _replaced(points, seam, way) if (way := _way(points, seam, paths)) is not None else points
    if ring_area(points) <= 0:
        return ring
    return replace(ring, points=frozen(points), gaps=tuple(gaps))


def _way(points: FloatArray, gap: Gap, paths: Sequence[FloatArray]) -> FloatArray | None:
    """Points of the first path that goes over a gap."""
    ways = (_way_over(gap, path) for path in paths)
    return next((way for way in ways if way is not None and _encloses(points, gap, way)), None)


def _encloses(points: FloatArray, gap: Gap, way: FloatArray) -> bool:
    """Whether a way over a gap, and not the way back along the sewn line, closes the ring."""
    straight = ring_area(_replaced(points, gap, gap.straight()))
    return ring_area(_replaced(points, gap, way)) >= LEAST_ENCLOSED * straight


def _path(run: Run) -> FloatArray:
    return run.spine if run.width_mm > 0 else run.points


def _way_over(gap: Gap, path: FloatArray) -> FloatArray | None:
    """Points of a path from one end of a gap to the other, moved so that its ends meet the gap's."""
    arc = arc_lengths(path)
    if len(path) < 4 or arc[-1] <= 0:  # noqa: PLR2004 - no way
        return None
    at = np.linspace(0, arc[-1], max(int(arc[-1] / FINE_MM), 4))
    fine = np.column_stack([np.interp(at, arc, path[:, axis]) for axis in (0, 1)])
    start, end = np.array(gap.start), np.array(gap.end)
    ways = [
        way
        for way in (_between(fine, start, end), _between(np.roll(fine, len(fine) // 2, axis=0), start, end))
        if way is not None and arc_lengths(way)[-1] <= LONGEST_WAY * gap.width_mm
    ]
    return _moved(min(ways, key=lambda way: float(arc_lengths(way)[-1])), start, end) if ways else None


def _between(fine: FloatArray, start: FloatArray, end: FloatArray) -> FloatArray | None:
    """The part of a path between the places nearest to two points, if it comes near to both and goes on."""
    to_start, to_end = np.hypot(*(fine - start).T), np.hypot(*(fine - end).T)
    a, b = int(np.argmin(to_start)), int(np.argmin(to_end))
    if max(to_start[a], to_end[b]) > NEAR_MM or a == b:
        return None
    way = fine[a : b + 1] if a < b else fine[b : a + 1][::-1]
    steps = np.hypot(*np.diff(way, axis=0).T)
    return way if float(steps.max()) <= NEAR_MM else None


def _moved(way: FloatArray, start: FloatArray, end: FloatArray) -> FloatArray:
    """The way with its ends moved to two points and all between in proportion, thinned to stitches."""
    arc = arc_lengths(way)
    share = (arc / arc[-1])[:, None]
    moved = way + (start - way[0]) * (1 - share) + (end - way[-1]) * share
    count = max(round(float(arc[-1]) / SPACING_MM), 1)
    at = np.linspace(0, arc[-1], count + 1)[1:-1]
    return np.column_stack([np.interp(at, arc, moved[:, axis]) for axis in (0, 1)])


def _replaced(points: FloatArray, gap: Gap, way: FloatArray) -> FloatArray:
    """The ring with the points that close a gap replaced by others."""
    a, b = _index(points, gap.start), _index(points, gap.end)
    if a is None or b is None:
        return points
    forward = (b - a) % len(points) <= (a - b) % len(points)
    first, last = (a, b) if forward else (b, a)
    ring = np.roll(points, -last, axis=0)
    kept = ring[: (first - last) % len(points) + 1]
    return np.vstack([kept, way if forward else way[::-1]])


def _index(points: FloatArray, place: tuple[float, float]) -> int | None:
    away = np.hypot(*(points - np.array(place)).T)
    nearest = int(np.argmin(away))
    return nearest if away[nearest] <= SAME_SPOT_MM else None
