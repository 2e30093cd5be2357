"""Joining open lines to rings.

Terms: a *chain* is one open line, or several that go on in each other; a *gap* is where it is closed
although nothing is sewn there.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.geometry import neighbours
from piecewright.cutting.pieces.closing import SPACING_MM, bridged, folds_back, trimmed
from piecewright.cutting.pieces.paths import arc_lengths

if TYPE_CHECKING:
    from piecewright.cutting.geometry import FloatArray

TOUCHING_MM: Final = 3.0
"""Ends this close are one stitch apart: they belong together whatever else there is."""

USUAL: Final = 1.5
"""A gap no wider than so many stitches is one stitch more."""

WIDEST_SHARE: Final = 0.3
"""A ring of which more is missing against what is sewn is no ring."""

WIDEST_ACROSS: Final = 0.5
"""A ring that misses a quarter is open over half of its diagonal; a wandering line is open over all."""

NEIGHBOURS: Final = 8
"""Ends looked at around each end; more do not meet in one place."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Gap:
    """A part of a ring that is not sewn.

    Attributes:
        start: Where the sewn line ends, (x, y) mm.
        end: Where it begins again, (x, y) mm.
        sewn_later: Whether a later pass goes over it and shows how to close it.
        usual: Whether it is no wider than the stitches of its line: a seam, and nothing is missing.
        hidden: Whether it lies under a later line that goes round it.
    """

    start: tuple[float, float]
    end: tuple[float, float]
    sewn_later: bool = False
    usual: bool = False
    hidden: bool = False

    @property
    def width_mm(self) -> float:
        """Distance between its ends."""
        return float(np.hypot(self.end[0] - self.start[0], self.end[1] - self.start[1]))

    @property
    def place(self) -> tuple[float, float]:
        """Its middle, (x, y) mm."""
        return ((self.start[0] + self.end[0]) / 2, (self.start[1] + self.end[1]) / 2)

    def straight(self) -> FloatArray:
        """Points that close it straight, about a stitch apart, its ends left out, (n, 2) mm."""
        count = max(round(self.width_mm / SPACING_MM), 1)
        share = np.linspace(0, 1, count + 1)[1:-1, None]
        return np.asarray(np.array(self.start) * (1 - share) + np.array(self.end) * share)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chain:
    """Open lines put together.

    Attributes:
        runs: Indices of their runs.
        path: Their points and what closes the gaps between them, (n, 2) mm.
        gaps: Those gaps.
        sewn_mm: Length of what is sewn.
    """

    runs: tuple[int, ...]
    path: FloatArray
    gaps: tuple[Gap, ...]
    sewn_mm: float


def chain_of(run: int, trail: FloatArray) -> Chain:
    """A single open line, (n, 2) mm."""
    return Chain(runs=(run,), path=trail, gaps=(), sewn_mm=float(arc_lengths(trail)[-1]))


def close_chains(chains: list[Chain], widest_mm: float) -> tuple[list[Chain], list[Chain]]:
    """Close every line that closes by itself, and join the others, nearest ends first.

    Args:
        chains: Open lines of one block.
        widest_mm: Widest gap over which two different lines are joined.

    Returns:
        What is closed, and what stays open.
    """
    done: list[Chain] = []
    for alone_mm, together_mm in ((TOUCHING_MM, TOUCHING_MM), (np.inf, widest_mm)):
        closing = [chain for chain in chains if _own_gap(chain) <= min(alone_mm, _limit(chain))]
        chains = _joined([chain for chain in chains if chain not in closing], together_mm)
        done += map(closed, closing)
    done += [closed(chain) for chain in chains if _own_gap(chain) <= _limit(chain)]
    return done, [chain for chain in chains if _own_gap(chain) > _limit(chain)]


def _own_gap(chain: Chain) -> float:
    return float(np.hypot(*(chain.path[0] - chain.path[-1])))


def _limit(chain: Chain) -> float:
    """How far the two ends of one line may be apart to close it."""
    size = float(np.hypot(*(chain.path.max(axis=0) - chain.path.min(axis=0))))
    return min(WIDEST_SHARE * chain.sewn_mm, WIDEST_ACROSS * size)


def closed(chain: Chain) -> Chain:
    """A line with its ends joined, however far they are apart."""
    path = trimmed(chain.path)
    gap = _gap(path, path)
    return replace(chain, path=np.vstack([path, bridged(path, path)]), gaps=chain.gaps + gap)


def _gap(before: FloatArray, after: FloatArray) -> tuple[Gap, ...]:
    """The gap from the end of one path to the start of another, if they do not touch."""
    width = float(np.hypot(*(after[0] - before[-1])))
    if width <= TOUCHING_MM:
        return ()
    usual = float(np.median(np.hypot(*np.diff(before, axis=0).T)))
    start, end = tuple(before[-1].tolist()), tuple(after[0].tolist())
    return (Gap(start=start, end=end, usual=width <= USUAL * usual),)


def _joined(chains: list[Chain], reach: float) -> list[Chain]:
    """Join the ends of different lines, nearest first, each once; line i has the ends 2 i and 2 i + 1."""
    held = dict(enumerate(chains))
    ends = {i: (2 * i, 2 * i + 1) for i in held}
    owner = {end: i for i, both in ends.items() for end in both}
    taken: set[int] = set()
    for one, other in _near_ends(chains, reach):
        a, b = owner[one], owner[other]
        if one in taken or other in taken:
            continue
        if a == b:
            taken.update({one, other} if _own_gap(held[a]) <= _limit(held[a]) else ())
            continue
        before, after = _ending(held[a], ends[a], one), _ending(held[b], ends[b], other)
        if folds_back(before.path, after.path):
            continue
        taken.update((one, other))
        held[a] = _join(before, after)
        ends[a] = (_far(ends[a], one), _far(ends[b], other))
        owner[ends[a][1]] = a
        del held[b]
    return list(held.values())


def _near_ends(chains: list[Chain], reach: float) -> list[tuple[int, int]]:
    """Pairs of ends within reach, nearest first."""
    if len(chains) < 2:  # noqa: PLR2004 - nothing to join
        return []
    ends = np.array([end for chain in chains for end in (chain.path[0], chain.path[-1])])
    count = min(NEIGHBOURS + 1, len(ends))
    near, others = neighbours(ends, ends, count, reach)
    one, other, away = np.repeat(np.arange(len(ends)), count), others.ravel(), near.ravel()
    kept = np.isfinite(away) & (one < other)
    order = np.argsort(away[kept], kind="stable")
    return list(zip(one[kept][order].tolist(), other[kept][order].tolist(), strict=True))


def _far(ends: tuple[int, int], end: int) -> int:
    return ends[1] if end == ends[0] else ends[0]


def _ending(chain: Chain, ends: tuple[int, int], end: int) -> Chain:
    """The same line, turned so that it ends at one of its ends."""
    return chain if end == ends[1] else replace(chain, path=chain.path[::-1])


def _join(before: Chain, after: Chain) -> Chain:
    """One line that goes on in another, both ending where they meet."""
    path = after.path[::-1]
    return Chain(
        runs=before.runs + after.runs,
        path=np.vstack([before.path, bridged(before.path, path), path]),
        gaps=before.gaps + after.gaps + _gap(before.path, path),
        sewn_mm=before.sewn_mm + after.sewn_mm,
    )
