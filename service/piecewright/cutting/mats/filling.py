"""Mats filled one after the other by true shape: what goes on the next one, and what still fits between.

Terms: the *load* is the area of the shapes over that of the bed; a *draw* is the copies picked for one mat.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from piecewright.cutting.geometry import Region, difference, frozen, grow, union
from piecewright.cutting.mats.boxlaying import lay_boxes
from piecewright.cutting.mats.copies import ring_at
from piecewright.cutting.mats.draws import (
    area_of,
    dealt_anew,
    enough_of,
    first_up_to,
    largest_up_to,
    make_up,
    only,
    without,
)
from piecewright.cutting.mats.efforts import CLIMB_SHARE, FIRST_LOAD, NEAR_SHARE, effort_for
from piecewright.cutting.mats.enginefaults import EngineError
from piecewright.cutting.mats.fitting import Room, fill
from piecewright.cutting.mats.nesting import nest

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.mats.copies import Bed, Spot
    from piecewright.cutting.mats.draws import MakeUp
    from piecewright.cutting.mats.engine import Engine
    from piecewright.cutting.mats.nesting import Shape

LOWER_LOAD: Final = 0.02
"""By how much the load is lowered when a draw did not fit."""

HOPE: Final = 0.012
"""A smaller draw, packed anew, gets a little denser than the one that did not fit."""

BOXES_LOAD: Final = 1.6
"""Copies of so much load are offered to the boxes that a nested mat must beat."""

WHOLE_LOAD: Final = 0.06
"""With so much more than the first load nobody need try whether all that is left goes on one mat."""

NEAR: Final = 1.04
"""All that is left, if it sticks out by no more than this, is tried again with more effort."""

CLIMB: Final = 0.015
"""A draw that fits is tried again with so much more load: the next may just be packed more luckily ..."""

LEAST_CLIMB: Final = 0.005
"""... if it gains this at least ..."""

CLIMBS: Final = 3
"""... and so often."""


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
            rest = without(rest, spots)
            more = self._add(spots, rest)
            rest = without(rest, more)
            mats.append(spots + more)
        return tuple(mats)

    def _one_mat(self, rest: Sequence[Shape]) -> tuple[Spot, ...]:
        """All that is left if it goes on one mat, else the fullest draw that does."""
        area = self.bed.grown(self.gap_mm / 2).area_mm2
        load = area_of(rest) / area
        by_boxes = self._by_boxes(first_up_to(rest, BOXES_LOAD * area))[0]
        least = area_of(only(rest, by_boxes)) / area
        first = FIRST_LOAD[self.effort]
        aim = load if load <= first + WHOLE_LOAD else first
        failed: list[float] = []
        while aim > least or aim == load:
            draw = largest_up_to(rest, aim * area)
            whole = len(draw) == len(rest)
            length, spots = self._nest(draw, enough=not whole)
            if whole and self.bed.height_mm < length <= NEAR * self.bed.height_mm:
                length, spots = self._nest(draw, enough=False, more=NEAR_SHARE)
            drawn = area_of(draw) / area
            if length <= self.bed.height_mm:
                most = failed[0] - LOWER_LOAD if failed else first + WHOLE_LOAD
                return self._fuller(rest, spots, drawn, most)
            failed.append(drawn)
            aim = min(drawn - LOWER_LOAD, drawn * self.bed.height_mm / length + HOPE)
        return by_boxes

    def _fuller(
        self, rest: Sequence[Shape], spots: tuple[Spot, ...], load: float, most: float
    ) -> tuple[Spot, ...]:
        """The fullest of some draws from one that fits, of this load, up to the most that is hoped for."""
        area = self.bed.grown(self.gap_mm / 2).area_mm2
        for _ in range(CLIMBS):
            draw = largest_up_to(rest, min(load + CLIMB, most) * area)
            if area_of(draw) <= (load + LEAST_CLIMB) * area:
                break
            length, tried = self._nest(draw, enough=True, more=CLIMB_SHARE)
            if length > self.bed.height_mm:
                break
            spots, load = tried, area_of(draw) / area
        return spots

    def _by_boxes(self, shapes: Sequence[Shape]) -> tuple[tuple[Spot, ...], ...]:
        return lay_boxes([shape.copy for shape in shapes], self.bed, self.gap_mm)

    def _nest(
        self, draw: Sequence[Shape], *, enough: bool, more: float = 1.0
    ) -> tuple[float, tuple[Spot, ...]]:
        """One strip, unless the same make-up has been nested before with as much effort."""
        key = (make_up((shape.copy, shape.mirrored) for shape in draw), enough, more)
        if key not in self._nested:
            effort = effort_for(
                self.effort, strips=self.engine.strips, copies=len(draw), more=more, whole=not enough
            )
            self._nested[key] = nest(self.engine, draw, self.bed, self.gap_mm, effort, enough=enough)
        length, spots = self._nested[key]
        return length, dealt_anew(spots, draw)

    def _add(self, spots: Sequence[Spot], rest: Sequence[Shape]) -> tuple[Spot, ...]:
        """Copies that still go between those already laid."""
        if not rest:
            return ()
        kinds = tuple(dict.fromkeys(id(shape.copy.demand) for shape in rest))
        key = (make_up((spot.copy, spot.mirrored) for spot in spots), kinds)
        if key in self._added and enough_of(self._added[key], rest):
            return dealt_anew(self._added[key], rest)
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
