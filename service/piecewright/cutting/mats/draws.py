"""Draws: which copies are picked for one mat.

Terms: a *draw* is the copies picked for one mat; its *make-up* is how many of which piece it has, by the side
on which they lie. Draws of the same make-up are laid alike.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import replace
from typing import TYPE_CHECKING, Final, TypeAlias

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from piecewright.cutting.mats.copies import Copy, Spot
    from piecewright.cutting.mats.nesting import Shape

    MakeUp: TypeAlias = frozenset[tuple[tuple[int, bool], int]]

ROUNDING_MM2: Final = 1e-3
"""Sums of areas differ by rounding."""


def largest_up_to(rest: Sequence[Shape], area_mm2: float) -> list[Shape]:
    """Copies of so much area in all, large ones first."""
    drawn: list[Shape] = []
    left = area_mm2 + ROUNDING_MM2
    for shape in rest:
        if shape.area_mm2 <= left:
            drawn.append(shape)
            left -= shape.area_mm2
    return drawn


def first_up_to(shapes: Sequence[Shape], area_mm2: float) -> list[Shape]:
    """The first shapes up to an area, one at least."""
    kept: list[Shape] = []
    for shape in shapes:
        if kept and area_mm2 < 0:
            break
        kept.append(shape)
        area_mm2 -= shape.area_mm2
    return kept


def area_of(shapes: Iterable[Shape]) -> float:
    """Area of shapes together, mm2."""
    return sum(shape.area_mm2 for shape in shapes)


def only(shapes: Sequence[Shape], spots: Sequence[Spot]) -> list[Shape]:
    """Those of the shapes whose copies lie on the spots."""
    laid = {spot.copy.id for spot in spots}
    return [shape for shape in shapes if shape.copy.id in laid]


def without(shapes: Sequence[Shape], spots: Sequence[Spot]) -> list[Shape]:
    """Those of the shapes whose copies lie on none of the spots."""
    laid = {spot.copy.id for spot in spots}
    return [shape for shape in shapes if shape.copy.id not in laid]


def make_up(copies: Iterable[tuple[Copy, bool]]) -> MakeUp:
    """How many copies of each demand there are, by the side on which they lie."""
    return frozenset(Counter((id(copy.demand), mirrored) for copy, mirrored in copies).items())


def dealt_anew(spots: Sequence[Spot], shapes: Sequence[Shape]) -> tuple[Spot, ...]:
    """The same places, taken by the first copies of the same demands among the shapes."""
    waiting: dict[int, list[Copy]] = defaultdict(list)
    for shape in reversed(shapes):
        waiting[id(shape.copy.demand)].append(shape.copy)
    return tuple(replace(spot, copy=waiting[id(spot.copy.demand)].pop()) for spot in spots)


def enough_of(spots: Sequence[Spot], shapes: Sequence[Shape]) -> bool:
    """Whether there are as many copies of each demand among the shapes as the places take."""
    return Counter(id(spot.copy.demand) for spot in spots) <= Counter(id(s.copy.demand) for s in shapes)
