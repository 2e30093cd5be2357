"""Mats filled one after the other by true shape: what goes on the next one, and what still fits between.

Terms: the *load* is the area of the shapes over that of the bed; a *draw* is the copies picked for one mat;
its *make-up* is how many of which shape it has.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Final, TypeAlias

from piecewright.cutting.geometry import Region, difference, frozen, grow, union
from piecewright.cutting.mats.boxlaying import lay_boxes
from piecewright.cutting.mats.copies import ring_at
from piecewright.cutting.mats.engine import Effort, EngineError
from piecewright.cutting.mats.fitting import Room, fill
from piecewright.cutting.mats.nesting import nest

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from piecewright.cutting.mats.copies import Bed, Copy, Spot
    from piecewright.cutting.mats.engine import Engine
    from piecewright.cutting.mats.nesting import Shape

    MakeUp: TypeAlias = frozenset[tuple[tuple[int, bool], int]]

EFFORTS: Final = {
    1: Effort(steps=120, patience=4, after=2),
    2: Effort(steps=320, patience=10, after=4),
    3: Effort(steps=500, patience=16, after=8),
    4: Effort(steps=1000, patience=40, after=20),
    5: Effort(steps=4000, patience=120, after=60),
}
"""What the steps of effort in the rules mean in the engine's steps."""

FIRST_LOAD: Final = {1: 0.74, 2: 0.78, 3: 0.80, 4: 0.82, 5: 0.84}
"""Load of the first draw for a full mat; mixed shapes rarely reach more."""

LOWER_LOAD: Final = 0.02
"""By how much the load is lowered when a draw did not fit."""

HOPE: Final = 0.012
"""A smaller draw, packed anew, gets a little denser than the one that did not fit."""

BOXES_LOAD: Final = 1.6
"""Copies of so much load are offered to the boxes that a nested mat must beat."""

WHOLE_LOAD: Final = 0.9
"""With more than this nobody need try whether all that is left goes on one mat."""

ROUNDING_MM2: Final = 1e-3
"""Sums of areas differ by rounding."""

FULL_STRIPS: Final = 6
"""So many strips of a job get the full effort; the n-th gets so many n-ths of it: work stays bounded."""

WHOLE_SHARE: Final = 1.5
"""To get all that is left on one mat is worth this much more: it saves a mat."""

NEAR: Final = 1.04
"""All that is left, if it sticks out by no more than this, is tried again ..."""

NEAR_SHARE: Final = 3.0
"""... with so many times the effort."""

COPIES_A_STEP: Final = 4
"""The engine reports more often between two layouts the more copies it has to part."""

LEAST_EFFORT: Final = Effort(steps=60, patience=3, after=2)
"""Less finds nothing that the boxes do not."""

MOST_STRIPS: Final = 150
"""After so many strips the rest of a job is laid by boxes."""


@dataclass(slots=True, kw_only=True)
class Filler:
    """Fills mats, and remembers what it did: mats of the same make-up are laid alike.

    Attributes:
        engine: The nesting engine.
        bed: What may be cut on.
        gap_mm: Least distance between copies.
        effort: 1 to 5, as in the rules.
        fault: Why the engine gave no answer, once it did not.
    """

    engine: Engine
    bed: Bed
    gap_mm: float
    effort: int
    fault: EngineError | None = None
    _nested: dict[tuple[MakeUp, bool, float], tuple[float, tuple[Spot, ...]]] = field(default_factory=dict)
    _added: dict[tuple[MakeUp, tuple[int, ...]], tuple[Spot, ...]] = field(default_factory=dict)

    def fill(self, shapes: Sequence[Shape]) -> tuple[tuple[Spot, ...], ...]:
        """Fill mats, large copies first, small ones added where room is left.

        Where the engine gives no answer, or has worked enough on this job, the rest is laid by boxes.
        """
        rest = sorted(shapes, key=lambda shape: -shape.area_mm2)
        mats: list[tuple[Spot, ...]] = []
        while rest:
            try:
                spots = self._one_mat(rest)
            except EngineError as error:
                self.fault = error
                return (*mats, *self._by_boxes(rest))
            rest = _without(rest, spots)
            more = self._add(spots, rest)
            rest = _without(rest, more)
            mats.append(spots + more)
        return tuple(mats)

    def _one_mat(self, rest: Sequence[Shape]) -> tuple[Spot, ...]:
        """All that is left if it goes on one mat, else the fullest draw that does."""
        area = self.bed.grown(self.gap_mm / 2).area_mm2
        load = _area(rest) / area
        by_boxes = self._by_boxes(_first(rest, BOXES_LOAD * area))[0]
        least = _area(_only(rest, by_boxes)) / area
        aim = load if load <= WHOLE_LOAD else FIRST_LOAD[self.effort]
        while (aim > least or aim == load) and self.engine.strips < MOST_STRIPS:
            draw = _draw(rest, aim * area)
            whole = len(draw) == len(rest)
            length, spots = self._nest(draw, enough=not whole)
            if whole and self.bed.height_mm < length <= NEAR * self.bed.height_mm:
                length, spots = self._nest(draw, enough=False, more=NEAR_SHARE)
            if length <= self.bed.height_mm:
                return spots
            drawn = _area(draw) / area
            aim = min(drawn - LOWER_LOAD, drawn * self.bed.height_mm / length + HOPE)
        return by_boxes

    def _by_boxes(self, shapes: Sequence[Shape]) -> tuple[tuple[Spot, ...], ...]:
        return lay_boxes([shape.copy for shape in shapes], self.bed, self.gap_mm)

    def _nest(
        self, draw: Sequence[Shape], *, enough: bool, more: float = 1.0
    ) -> tuple[float, tuple[Spot, ...]]:
        """One strip, unless the same make-up has been nested before with as much effort."""
        key = (_make_up((shape.copy, shape.mirrored) for shape in draw), enough, more)
        if key not in self._nested:
            self._nested[key] = nest(
                self.engine,
                draw,
                self.bed,
                self.gap_mm,
                self._effort_now(len(draw), more if enough else more * WHOLE_SHARE),
                enough=enough,
            )
        length, spots = self._nested[key]
        return length, _dealt_anew(spots, draw)

    def _effort_now(self, copies: int, more: float) -> Effort:
        """The effort for the next strip."""
        full = EFFORTS[self.effort]
        share = min(1.0, FULL_STRIPS / (self.engine.strips + 1))
        patience = (full.patience + copies / COPIES_A_STEP) * more
        after = full.after + copies / COPIES_A_STEP / 2
        return Effort(
            steps=max(LEAST_EFFORT.steps, round(full.steps * max(1.0, more) * share)),
            patience=max(LEAST_EFFORT.patience, round(patience * share)),
            after=max(LEAST_EFFORT.after, round(after * share)),
        )

    def _add(self, spots: Sequence[Spot], rest: Sequence[Shape]) -> tuple[Spot, ...]:
        """Copies that still go between those already laid."""
        if not rest:
            return ()
        kinds = tuple(dict.fromkeys(id(shape.copy.demand) for shape in rest))
        key = (_make_up((spot.copy, spot.mirrored) for spot in spots), kinds)
        if key in self._added and _enough_of(self._added[key], rest):
            return _dealt_anew(self._added[key], rest)
        room = self._room_between(spots)
        added = fill(room, [shape.copy for shape in rest]) if room else ()
        self._added[key] = added
        return added

    def _room_between(self, spots: Sequence[Spot]) -> Room | None:
        """What is free on a mat."""
        taken = [part for spot in spots for part in grow(Region(exterior=ring_at(spot)), self.gap_mm / 2)]
        free = [Region(exterior=frozen(self.bed.grown(self.gap_mm / 2).corners()))]
        for other in union(taken):
            free = [part for region in free for part in difference(region, other)]
        return Room(free, self.gap_mm) if free else None


def _draw(rest: Sequence[Shape], area_mm2: float) -> list[Shape]:
    """Copies of so much area in all, large ones first."""
    drawn: list[Shape] = []
    left = area_mm2 + ROUNDING_MM2
    for shape in rest:
        if shape.area_mm2 <= left:
            drawn.append(shape)
            left -= shape.area_mm2
    return drawn


def _first(shapes: Sequence[Shape], area_mm2: float) -> list[Shape]:
    """The first shapes up to an area, one at least."""
    kept: list[Shape] = []
    for shape in shapes:
        if kept and area_mm2 < 0:
            break
        kept.append(shape)
        area_mm2 -= shape.area_mm2
    return kept


def _area(shapes: Iterable[Shape]) -> float:
    return sum(shape.area_mm2 for shape in shapes)


def _only(shapes: Sequence[Shape], spots: Sequence[Spot]) -> list[Shape]:
    laid = {spot.copy.id for spot in spots}
    return [shape for shape in shapes if shape.copy.id in laid]


def _without(shapes: Sequence[Shape], spots: Sequence[Spot]) -> list[Shape]:
    laid = {spot.copy.id for spot in spots}
    return [shape for shape in shapes if shape.copy.id not in laid]


def _make_up(copies: Iterable[tuple[Copy, bool]]) -> MakeUp:
    """How many copies of each demand there are, by the side on which they lie."""
    return frozenset(Counter((id(copy.demand), mirrored) for copy, mirrored in copies).items())


def _dealt_anew(spots: Sequence[Spot], shapes: Sequence[Shape]) -> tuple[Spot, ...]:
    """The same places, taken by the first copies of the same demands among the shapes."""
    waiting: dict[int, list[Copy]] = defaultdict(list)
    for shape in reversed(shapes):
        waiting[id(shape.copy.demand)].append(shape.copy)
    return tuple(replace(spot, copy=waiting[id(spot.copy.demand)].pop()) for spot in spots)


def _enough_of(spots: Sequence[Spot], shapes: Sequence[Shape]) -> bool:
    """Whether there are as many copies of each demand among the shapes as the places take."""
    return Counter(id(spot.copy.demand) for spot in spots) <= Counter(id(s.copy.demand) for s in shapes)
