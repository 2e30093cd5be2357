"""What the other lines of a design say about one closed line.

Terms: an *echo* keeps the same distance from several lines of a block, or goes on to the next line at the
same distance, as quilting round a shape does; a real second pass lies on one of them. Pieces are made *in
turn* if one is placed and held before the next is placed, which no drawing does.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.passes import COVERING, PLACING, Stitch
from piecewright.cutting.pieces.belonging import (
    AT_HOME,
    COVERS_HALF,
    belonging,
    held_alike,
    keeps_distance,
    round_a_hole,
)
from piecewright.cutting.pieces.claims import SAME_LINE, SAME_PLACE_MM, lies_along
from piecewright.cutting.pieces.crowding import goes_round
from piecewright.cutting.pieces.surroundings import BEAN_TIMES

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.geometry import BoolArray, FloatArray, IntArray
    from piecewright.cutting.pieces.following import Follower
    from piecewright.cutting.pieces.rings import Ring
    from piecewright.cutting.pieces.surroundings import Surroundings

ECHO_MM: Final = 1.2
"""Tack-downs and covers lie nearer to their line than echoes lie to the next."""

ECHO_SHARE: Final = 0.5

ALL_ALONG: Final = 0.8
"""What lies on a line lies on so much of it."""

BESIDE_MM: Final = 0.4
"""What runs this far outside a cell, and is more at home elsewhere, runs in the next cell."""

EVENLY_MM: Final = (0.4, 3.5)
"""A tack-down inside its placement line lies this far from it; nearer, which is which does not matter."""

MOSTLY: Final = 0.4
"""Share of its thread; a line of two laps has half of it in its ring."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Company:
    """All closed lines of a design and what runs along them.

    Attributes:
        rings: Closed lines in sewing order.
        along: For each, every run that follows it.
        own: For each, the runs of later blocks that belong to it.
        drawn_by: For each run, the rings that it draws.
        in_block: For each block, its rings.
        passes: For each block, the runs that belong to any of its rings.
        around: The rest of the design.
        blocks: The block of each ring, (r,).
        boxes: Smallest and largest x and y of each ring, (r, 4) mm: x0, y0, x1, y1.
        held: The first block in which something at home on each ring follows it, (r,); else infinite.
        sewn_over: The first block in which something lies on each ring, all along, (r,); else infinite.
        outlines_fill: For rings of which it has been asked, whether they only go round a fill.
        detailed: For rings of which it has been asked, whether details lie inside (unlaid.py).
        afloat: For blocks of which it has been asked, whether open lines float in its rings (ornaments.py).
        tangles: For blocks of which it has been asked, the share that winds (ornaments.py).
        meant: Whether each run belongs to a closed line, or draws one that something follows, (r,).
        drawing: For blocks of which it has been asked, the runs of ``passes`` that draw closed lines.
    """

    rings: Sequence[Ring]
    along: Sequence[Sequence[Follower]]
    own: Sequence[Sequence[Follower]]
    drawn_by: dict[int, list[int]]
    in_block: dict[int, list[int]]
    passes: dict[int, set[int]]
    around: Surroundings
    blocks: IntArray = field(init=False)
    boxes: FloatArray = field(init=False)
    held: FloatArray = field(init=False)
    sewn_over: FloatArray = field(init=False)
    meant: BoolArray = field(init=False)
    outlines_fill: dict[int, bool] = field(default_factory=dict)
    detailed: dict[int, bool] = field(default_factory=dict)
    afloat: dict[int, bool] = field(default_factory=dict)
    tangles: dict[int, float] = field(default_factory=dict)
    drawing: dict[int, list[int]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Gather what is asked of every ring for every other one."""
        boxes = [(ring.box.x0, ring.box.y0, ring.box.x1, ring.box.y1) for ring in self.rings]
        object.__setattr__(self, "blocks", np.array([ring.block for ring in self.rings], dtype=np.int64))
        object.__setattr__(self, "boxes", np.array(boxes, dtype=np.float64).reshape(-1, 4))
        object.__setattr__(self, "held", np.array([self._held_in(own) for own in self.own]))
        object.__setattr__(self, "sewn_over", np.array([self._sewn_over_in(own) for own in self.own]))
        object.__setattr__(self, "meant", self._meant())

    def _sewn_over_in(self, followers: Sequence[Follower]) -> float:
        on = [f for f in followers if f.away_mm < ECHO_MM and f.coverage >= ALL_ALONG]
        return float(min((self.around.runs[f.run].block for f in on), default=np.inf))

    def _meant(self) -> BoolArray:
        meant = np.zeros(len(self.around.runs), dtype=np.bool_)
        for ring, own in zip(self.rings, self.own, strict=True):
            meant[[f.run for f in own if f.at_home >= AT_HOME]] = True
            if own:
                meant[list(ring.runs)] = True
        return meant

    def siblings(self, index: int) -> list[Ring]:
        """The other closed lines of a ring's block."""
        return [self.rings[i] for i in self.in_block[self.rings[index].block] if i != index]

    def together(self, index: int) -> list[Ring]:
        """The closed lines of other blocks that are sewn before anything lies on them or on a ring itself."""
        on = self.sewn_over
        together = (self.blocks < on[index]) & (on > self.blocks[index]) & np.isfinite(on)
        together &= self.blocks != self.blocks[index]
        return [self.rings[i] for i in np.flatnonzero(together).tolist()] if np.isfinite(on[index]) else []

    def about(self, index: int) -> list[int]:
        """The other closed lines of a ring's block whose boxes hold its own: only these can go round it."""
        low, high = self.boxes[:, :2], self.boxes[:, 2:]
        holds = (low <= low[index]).all(axis=1) & (high >= high[index]).all(axis=1)
        holds &= self.blocks == self.blocks[index]
        return [i for i in np.flatnonzero(holds).tolist() if i != index]

    def echoed(self, index: int) -> bool:
        """Whether what runs beside a ring has a line beside itself in turn, farther off on the same side."""
        beside = [f for f in self.own[index] if f.away_mm >= ECHO_MM]
        before = [
            f.offset_mm
            for f in self.along[index]
            if self.around.runs[f.run].block < self.rings[index].block
            and f.at_home > ECHO_SHARE
            and f.away_mm >= ECHO_MM
        ]
        return any(
            self._goes_on(index, f) or any(f.offset_mm * other < 0 for other in before) for f in beside
        )

    def _goes_on(self, index: int, beside: Follower) -> bool:
        return any(
            beyond.offset_mm * beside.offset_mm > 0
            and beyond.away_mm >= ECHO_MM
            and beyond.run not in self.rings[index].runs
            for number in self.drawn_by.get(beside.run, ())
            for beyond in self.own[number]
        )

    def in_turn(self, index: int) -> bool:
        """Whether another line, elsewhere, is placed after a ring is held, or held before it is placed."""
        held = self.held
        if not np.isfinite(held[index]):
            return False
        x0, y0, x1, y1 = self.boxes.T
        here_x0, here_y0, here_x1, here_y1 = self.boxes[index]
        elsewhere = (x0 > here_x1) | (x1 < here_x0) | (y0 > here_y1) | (y1 < here_y0)
        block = self.rings[index].block
        placed_after, held_before = held[index] < self.blocks, held < block
        return bool((np.isfinite(held) & elsewhere & (placed_after | held_before)).any())

    def carries(self, index: int) -> bool:
        """Whether lines inside a ring are placed after it is held, and something covers them."""
        x0, y0, x1, y1 = self.boxes.T
        here_x0, here_y0, here_x1, here_y1 = self.boxes[index]
        inside = (x0 > here_x0) & (y0 > here_y0) & (x1 < here_x1) & (y1 < here_y1)
        return any(
            self.around.runs[f.run].stitch in COVERING and f.coverage > COVERS_HALF
            for number in np.flatnonzero(inside & (self.blocks > self.held[index])).tolist()
            for f in self.own[number]
        )

    def _held_in(self, followers: Sequence[Follower]) -> float:
        """The first block in which something at home on a ring follows it."""
        home = [self.around.runs[f.run].block for f in followers if f.at_home >= AT_HOME]
        return float(min(home, default=np.inf))

    def inside_earlier(self, index: int, explained: set[int]) -> float:
        """Share of a ring that lies evenly inside lines of earlier blocks, as their tack-down does.

        The fabric lies outside a hole, and so does what holds it.

        Args:
            index: The ring.
            explained: Runs that draw lines which something else has held before.
        """
        runs = self.around.runs
        outside = [
            f.on
            for f in self.along[index]
            if runs[f.run].block < self.rings[index].block
            and f.run not in explained
            and runs[f.run].stitch in PLACING
            and EVENLY_MM[0] <= abs(f.offset_mm) <= EVENLY_MM[1]
            and (f.offset_mm > 0 or self._may_draw_hole(f.run))
            and keeps_distance(f, runs[f.run])
        ]
        return float(np.any(outside, axis=0).mean()) if outside else 0.0

    def lines_over(self, block: int) -> list[int]:
        """The runs of any ring of a block that have a width or mostly draw closed lines; found once."""
        if block not in self.drawing:
            self.drawing[block] = [
                run
                for run in self.passes[block]
                if self.around.runs[run].stitch in COVERING or self._goes_round(run)
            ]
        return self.drawing[block]

    def _goes_round(self, run: int) -> bool:
        """Whether a run mostly draws closed lines."""
        drawn = sum(self.rings[number].length_mm for number in self.drawn_by.get(run, ()))
        times = BEAN_TIMES if self.around.runs[run].stitch is Stitch.BEAN else 1
        return times * drawn >= MOSTLY * float(self.around.length[run])

    def _may_draw_hole(self, run: int) -> bool:
        """Whether a run draws a line that another of its block goes round."""
        return any(
            goes_round(self.rings[other], self.rings[number])
            for number in self.drawn_by.get(run, ())
            for other in self.about(number)
        )


def meet(rings: Sequence[Ring], along: Sequence[Sequence[Follower]], around: Surroundings) -> Company:
    """Put the lines of a design beside each other.

    Args:
        rings: Closed lines in sewing order.
        along: For each, every run that follows it.
        around: The rest of the design.
    """
    in_block: dict[int, list[int]] = {}
    drawn_by: dict[int, list[int]] = {}
    for index, ring in enumerate(rings):
        in_block.setdefault(ring.block, []).append(index)
        for run in ring.runs:
            drawn_by.setdefault(run, []).append(index)
    echoes = _echoes(rings, along, in_block, around)
    own = [
        belonging(followers, ring, around, echoes[ring.block])
        for ring, followers in zip(rings, along, strict=True)
    ]
    _hold_holes(rings, along, own, in_block, around)
    for index, alike in held_alike(rings, along, own, around).items():
        own[index] = alike
    _part_neighbours(rings, own, in_block)
    passes: dict[int, set[int]] = {block: set() for block in in_block}
    for ring, followers in zip(rings, own, strict=True):
        passes[ring.block].update(f.run for f in followers if f.at_home >= AT_HOME)
    return Company(
        rings=rings,
        along=along,
        own=own,
        drawn_by=drawn_by,
        in_block=in_block,
        passes=passes,
        around=around,
    )


def _hold_holes(
    rings: Sequence[Ring],
    along: Sequence[Sequence[Follower]],
    own: list[list[Follower]],
    in_block: dict[int, list[int]],
    around: Surroundings,
) -> None:
    """Give lines that another of their block goes round what lies all round outside them, if nothing else."""
    for index, ring in enumerate(rings):
        if own[index]:
            continue
        outside = round_a_hole(along[index], ring, around)
        if outside and any(goes_round(rings[i], ring) for i in in_block[ring.block] if i != index):
            own[index] = outside


def _part_neighbours(
    rings: Sequence[Ring], own: list[list[Follower]], in_block: dict[int, list[int]]
) -> None:
    """Take from each cell what runs beside their common border in the cell next to it."""
    for indices in in_block.values():
        cells = [index for index in indices if rings[index].cell]
        best: dict[int, float] = {}
        for follower in (f for index in cells for f in own[index]):
            best[follower.run] = max(best.get(follower.run, 0.0), follower.at_home)
        for index in cells:
            own[index] = [
                f for f in own[index] if f.at_home > best[f.run] - AT_HOME / 2 or f.offset_mm < BESIDE_MM
            ]


def _echoes(
    rings: Sequence[Ring],
    along: Sequence[Sequence[Follower]],
    in_block: dict[int, list[int]],
    around: Surroundings,
) -> dict[int, set[int]]:
    """For each block the runs that keep their distance from several of its lines: no second passes."""
    beside: Counter[tuple[int, int]] = Counter()
    on: set[tuple[int, int]] = set()
    for block, indices in in_block.items():
        # What holds a cell lies beside its neighbour too; which is whose is known already.
        for index in _different([i for i in indices if not rings[i].cell], rings):
            for follower in along[index]:
                if follower.at_home > ECHO_SHARE and around.block[follower.run] > block:
                    beside[block, follower.run] += 1
                    on |= {(block, follower.run)} if follower.away_mm < ECHO_MM else set()
    echoes: dict[int, set[int]] = {block: set() for block in in_block}
    for block, run in {key for key, lines in beside.items() if lines > 1} - on:
        echoes[block].add(run)
    return echoes


def _different(indices: Sequence[int], rings: Sequence[Ring]) -> list[int]:
    """Rings of one block without those that draw the line of another again, as a double run does."""
    kept: list[int] = []
    for index in indices:
        ring = rings[index]
        if not any(
            rings[other].box.holds(ring.box, SAME_PLACE_MM)
            and ring.box.holds(rings[other].box, SAME_PLACE_MM)
            and lies_along(ring, rings[other], SAME_PLACE_MM) >= SAME_LINE
            for other in kept
        ):
            kept.append(index)
    return kept
