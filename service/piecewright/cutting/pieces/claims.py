"""Which closed lines only sew a chosen line again.

Terms: a ring is *claimed* by an earlier placement line if it is a later pass over it, or if its own block
draws the same line twice.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.geometry import nearest
from piecewright.cutting.pieces.following import NEAR_MM, samples_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.geometry import FloatArray, Region
    from piecewright.cutting.passes import Run
    from piecewright.cutting.pieces.evidence import Evidence
    from piecewright.cutting.pieces.following import Follower
    from piecewright.cutting.pieces.rings import Ring

CLAIMING: Final = 0.5
"""A line this likely owns the later passes over it."""

SAME_LINE: Final = 0.8
"""Share of a ring along another for it to be the same line."""

HOLDS_SHARE: Final = 0.6
"""Share of a ring inside a line that it alone holds for it to be that line's tack-down, cut short."""

HELD_SHARE: Final = 0.5
"""A pass along more of a line is its tack-down in that block; another line beside it is not."""

SAME_PLACE_MM: Final = 1.0
"""Laps of one block lie this close; pieces of one block farther apart."""

LAYER_MM: Final = 1.8
"""A line this far from an earlier one, with passes of its own nearer to it, is another layer."""

NEARER_MM: Final = 0.8
"""A pass that lies nearer to one line than to another by this belongs to that one only."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Placement:
    """A ring taken for a placement line.

    Attributes:
        ring: The line.
        region: What it encloses.
        followers: Runs of later blocks that belong to it, in sewing order.
        evidence: For and against.
        confidence: 0 to 1.
    """

    ring: Ring
    region: Region
    followers: tuple[Follower, ...]
    evidence: Evidence
    confidence: float


@dataclass(slots=True, kw_only=True, eq=False)
class Chosen:
    """The placement lines chosen so far, in sewing order.

    Attributes:
        lines: All of them.
        by_block: Their places in ``lines``, by block.
        by_run: The same by the runs that follow them.
        tacked_in: For a block, the blocks of lines that are first followed in it.
    """

    lines: list[Placement] = field(default_factory=list)
    by_block: dict[int, list[int]] = field(default_factory=dict)
    by_run: dict[int, list[int]] = field(default_factory=dict)
    tacked_in: dict[int, set[int]] = field(default_factory=dict)
    _explained: dict[int, set[int]] = field(default_factory=dict)

    def add(self, placement: Placement) -> None:
        """Choose one more."""
        index = len(self.lines)
        self.lines.append(placement)
        self.by_block.setdefault(placement.ring.block, []).append(index)
        for follower in placement.followers:
            self.by_run.setdefault(follower.run, []).append(index)
        if placement.confidence >= CLAIMING and placement.evidence.blocks:
            self.tacked_in.setdefault(placement.evidence.blocks[0], set()).add(placement.ring.block)

    def merges(self, ring: Ring) -> bool:
        """Whether its block drew the same line before; if so the two become one."""
        for index in self.by_block.get(ring.block, ()):
            one = self.lines[index]
            if lies_along(ring, one.ring, SAME_PLACE_MM) >= SAME_LINE:
                runs = tuple(sorted({*one.ring.runs, *ring.runs}))
                self.lines[index] = replace(one, ring=replace(one.ring, runs=runs, lapped=1.0))
                return True
        return False

    def claims(self, ring: Ring, followers: Sequence[Follower], runs: Sequence[Run], tacks: float) -> bool:
        """Whether the ring is a later pass over a chosen line.

        Args:
            ring: A closed line.
            followers: What belongs to it.
            runs: Of the whole design.
            tacks: Share of it that lies evenly inside earlier lines that nothing else has held.
        """
        for index in sorted({index for run in ring.runs for index in self.by_run.get(run, ())}):
            other = self.lines[index]
            share = SAME_LINE if tacks < HOLDS_SHARE else HOLDS_SHARE
            if (
                other.confidence >= CLAIMING
                and lies_along(ring, other.ring, NEAR_MM) >= share
                and not _is_layer(ring, followers, other, runs)
            ):
                return True
        return self._holds_as_others_are_held(ring, runs)

    def _holds_as_others_are_held(self, ring: Ring, runs: Sequence[Run]) -> bool:
        """Whether the ring lies beside a line all the way, in the block that holds the others of that line's.

        So do tack-downs round small holes and in narrow leaves, which at tips lie too far off to follow.
        """
        for block in self.tacked_in.get(ring.block, ()):
            for line in (self.lines[index] for index in self.by_block[block]):
                if (
                    line.confidence >= CLAIMING
                    and line.ring.box.meets(ring.box)
                    and not _held_in(ring.block, line, runs)
                    and _beside(ring, line.ring)
                ):
                    return True
        return False

    def explained(self, block: int, runs: Sequence[Run]) -> set[int]:
        """Runs up to a block that need no tack-down: passes over chosen lines, and lines with such passes.

        Lines are chosen in sewing order, so that none that comes later changes what is known of a block.
        """
        if block not in self._explained:
            found = self._explained[block] = set()
            for line in self.lines:
                if line.confidence >= CLAIMING:
                    passes = {f.run for f in line.followers if runs[f.run].block < block}
                    found |= passes | (set(line.ring.runs) if passes else set())
        return self._explained[block]


def _held_in(block: int, line: Placement, runs: Sequence[Run]) -> bool:
    """Whether a pass of a block already goes along most of a line."""
    return any(runs[f.run].block == block and f.coverage > HELD_SHARE for f in line.followers)


def _beside(ring: Ring, other: Ring) -> bool:
    """Whether two lines lie beside each other all the way round."""
    return min(lies_along(ring, other, NEAR_MM), lies_along(other, ring, NEAR_MM)) >= SAME_LINE


def lies_along(ring: Ring, other: Ring, within_mm: float) -> float:
    """Share of a ring that lies within a distance of another, 0 to 1."""
    if not ring.box.meets(other.box, within_mm):
        return 0.0
    away, _ = nearest(_samples(ring), _samples(other))
    return float((away <= within_mm + 0.1).mean())


def _samples(ring: Ring) -> FloatArray:
    closed = np.vstack([ring.points, ring.points[:1]])
    return samples_of([closed], np.array([max(0.5, ring.length_mm / 1000)])).places


def _is_layer(ring: Ring, followers: Sequence[Follower], below: Placement, runs: Sequence[Run]) -> bool:
    """Whether a ring beside an earlier one that is held otherwise by then has nearer passes of its own."""
    distance = max((f.away_mm for f in below.followers if f.run in ring.runs), default=0.0)
    held = any(
        runs[f.run].block < ring.block
        or (runs[f.run].block == ring.block and f.run not in ring.runs and f.away_mm < distance / 2)
        for f in below.followers
    )
    near = any(f.away_mm < distance / 2 and f.coverage > SAME_LINE for f in followers)
    return distance >= LAYER_MM and held and near


def each_to_its_nearest(lines: Sequence[Placement]) -> list[Placement]:
    """Of lines close beside each other only the nearest keeps a pass that follows several."""
    along: dict[int, list[Follower]] = {}
    for placement in lines:
        for follower in placement.followers:
            along.setdefault(follower.run, []).append(follower)
    return [
        replace(one, followers=tuple(f for f in one.followers if not _nearer_elsewhere(f, along[f.run])))
        for one in lines
    ]


def _nearer_elsewhere(follower: Follower, along: Sequence[Follower]) -> bool:
    """Whether nearly all of a run lies along another line too, and much nearer."""
    return any(
        min(other.at_home, follower.at_home) > SAME_LINE and other.away_mm < follower.away_mm - NEARER_MM
        for other in along
    )
