"""Closed lines of each block, whole or put together from what lies between cuts and gaps.

Terms: a *gap* is where a ring is closed although nothing is sewn there; *natural* closing goes on as
the line goes on: round a bend, or to the corner that both ends point at.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.geometry import frozen, ring_area, ring_length
from piecewright.cutting.passes import LINES, Stitch
from piecewright.cutting.pieces.boxes import Box, box_of
from piecewright.cutting.pieces.chains import chain_of, close_chains, closed
from piecewright.cutting.pieces.loops import seamed, traced
from piecewright.cutting.pieces.paths import LEAST_LOOP_MM2, SHORTEST_LOOP_MM
from piecewright.cutting.pieces.spurs import once, without_ties
from piecewright.cutting.pieces.tucking import tucked_under, with_hidden_gaps

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from piecewright.cutting.geometry import FloatArray
    from piecewright.cutting.passes import Run
    from piecewright.cutting.pieces.chains import Chain, Gap

LONGEST: Final = 40.0
"""Length over the root of the area: a vine of 4 x 300 mm has 18; what has more wanders."""

NARROWEST_MM: Final = 1.2
"""Twice the area over the length: half of a dot's width, all of a strip's; rows of a fill are thinner."""

SHORTEST_TRAIL_MM: Final = 4.0
"""Shorter open lines are ways from one thing to the next."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ring:
    """A closed line of one block.

    Attributes:
        block: Number of the block.
        runs: Indices of the runs that draw it, in sewing order.
        points: Needle points around it, and points that close its gaps, (n, 2) mm, read-only.
        gaps: Where it is closed though not sewn, wider than a stitch.
        seams: The same no wider than its stitches.
        cell: Whether it goes round a cell, whose neighbours share its line.
        lapped: Share of it that is sewn twice or more in its block.
        stitch: How it is stitched.
        box: Around its points.
        length_mm: Length around it.
    """

    block: int
    runs: tuple[int, ...]
    points: FloatArray
    gaps: tuple[Gap, ...]
    lapped: float
    stitch: Stitch
    seams: tuple[Gap, ...] = ()
    cell: bool = False
    box: Box = field(init=False)
    length_mm: float = field(init=False)

    def __post_init__(self) -> None:
        """Measure it once; it is asked for often."""
        object.__setattr__(self, "box", box_of(self.points))
        object.__setattr__(self, "length_mm", ring_length(self.points))

    @property
    def bare_gaps(self) -> tuple[Gap, ...]:
        """Gaps that no later line goes round."""
        return tuple(gap for gap in self.gaps if not gap.hidden)

    @property
    def gap_mm(self) -> float:
        """Length of all bare gaps."""
        return sum(gap.width_mm for gap in self.bare_gaps)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lines:
    """The lines of a design.

    Attributes:
        rings: Those that are closed, in sewing order.
        trails: For each block what was open before anything was joined.
        left_open: What stays open, and in which block.
    """

    rings: tuple[Ring, ...]
    trails: dict[int, list[Chain]]
    left_open: tuple[tuple[int, Chain], ...]


def find_lines(runs: Sequence[Run], widest_mm: float) -> Lines:
    """Find the closed lines of every block, and what is open.

    Args:
        runs: Of the whole design.
        widest_mm: Widest gap over which two different lines are joined.
    """
    rings: list[Ring] = []
    blocks: dict[int, list[Chain]] = {}
    for index, run in enumerate(runs):
        if run.stitch in LINES and len(run.points) > 2:  # noqa: PLR2004 - a line with a way to go
            found = traced(once(without_ties(run.points)) if run.stitch is Stitch.BEAN else run.points)
            rings += [_whole(index, run, loop, found.lapped) for loop in found.loops]
            chains = [chain_of(index, trail) for trail in found.trails]
            blocks.setdefault(run.block, []).extend(c for c in chains if c.sewn_mm >= SHORTEST_TRAIL_MM)
    left: list[tuple[int, Chain]] = []
    for block, chains in blocks.items():
        done, still_open = close_chains(chains, widest_mm)
        rings += [_ring(block, chain, runs) for chain in done]
        left += [(block, chain) for chain in still_open]
    rings = list(filter(sound, rings))
    for block, chain in reversed(left):  # the front of a tail may be a body that is tucked under a head
        if (tucked := tucked_under(chain, block, rings)) is not None:
            rings += filter(sound, [_ring(block, tucked, runs)])
    rings = [with_hidden_gaps(ring, rings) for ring in rings]
    rings.sort(key=lambda ring: (ring.runs[0], _when(ring, runs)))
    return Lines(rings=tuple(rings), trails=blocks, left_open=tuple(left))


def rings_by_hand(runs: Sequence[Run], blocks: Collection[int]) -> tuple[Ring, ...]:
    """Closed lines of blocks that are known to place pieces, though none was found in them.

    There a stitch with a width draws a line along its middle, and an open line is closed straight.

    Args:
        runs: Of the whole design.
        blocks: Numbers of such blocks.
    """
    rings: list[Ring] = []
    for index, run in enumerate(runs):
        if run.block in blocks and len(run.points) > 2:  # noqa: PLR2004 - a line with a way to go
            found = traced(_middle(run) if run.width_mm > 0 else without_ties(run.points))
            rings += [_whole(index, run, loop, found.lapped) for loop in found.loops]
            chains = [chain_of(index, trail) for trail in found.trails]
            rings += [
                _ring(run.block, closed(chain), runs) for chain in chains if chain.sewn_mm > SHORTEST_LOOP_MM
            ]
    return tuple(filter(sound, rings))


def _middle(run: Run) -> FloatArray:
    """The middle of a stitch with a width; of a zigzag so that it keeps the corners of the line."""
    points = run.points
    if run.stitch is not Stitch.ZIGZAG or len(points) < 4:  # noqa: PLR2004 - no bite to either side
        return run.spine
    return np.asarray((points[:-2] + 2 * points[1:-1] + points[2:]) / 4)


def _when(ring: Ring, runs: Sequence[Run]) -> int:
    """Index of the needle point of its first run that is nearest to a point of the ring."""
    first = runs[ring.runs[0]].points
    return int(np.argmin(np.hypot(*(first - ring.points[len(ring.points) // 2]).T)))


def sound(ring: Ring) -> bool:
    """Whether a ring is large, wide and plain enough to go round fabric."""
    area = abs(ring_area(ring.points)) if len(ring.points) > 2 else 0.0  # noqa: PLR2004 - a triangle
    wide = 2 * area >= NARROWEST_MM * ring.length_mm
    return area >= LEAST_LOOP_MM2 and wide and ring.length_mm <= LONGEST * area**0.5


def _whole(index: int, run: Run, loop: FloatArray, lapped: float) -> Ring:
    return Ring(
        block=run.block, runs=(index,), points=_clockwise(loop), gaps=(), lapped=lapped, stitch=run.stitch
    )


def _ring(block: int, chain: Chain, runs: Sequence[Run]) -> Ring:
    longest = max(chain.runs, key=lambda index: len(runs[index].points))
    return Ring(
        block=block,
        runs=tuple(sorted(set(chain.runs))),
        points=_clockwise(seamed(chain.path)),
        gaps=tuple(gap for gap in chain.gaps if not gap.usual),
        seams=tuple(gap for gap in chain.gaps if gap.usual),
        lapped=0.0,
        stitch=runs[longest].stitch,
    )


def _clockwise(ring: FloatArray) -> FloatArray:
    """The ring clockwise on the page, so that outside is always on its left."""
    return frozen(ring if ring_area(ring) > 0 else ring[::-1])
