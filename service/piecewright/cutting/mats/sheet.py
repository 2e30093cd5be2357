"""The way ``sheet``: all pieces of one fabric on as few mats as possible, the last used as little as can be.

Terms: the *load* is the area of the shapes over that of the bed; a *draw* is the copies picked for one mat.
"""

from __future__ import annotations

from itertools import chain
from typing import TYPE_CHECKING, Final, TypeAlias

from piecewright.cutting.geometry import Region, difference, frozen, grow, union
from piecewright.cutting.mats.boxes import Box, pack_boxes
from piecewright.cutting.mats.copies import box_of, ring_at, spot_at
from piecewright.cutting.mats.engine import Effort
from piecewright.cutting.mats.fitting import Room, fill
from piecewright.cutting.mats.holes import lodge, moved_in
from piecewright.cutting.mats.nesting import nest, shapes_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.mats.copies import Bed, Copy, Spot
    from piecewright.cutting.mats.engine import Engine
    from piecewright.cutting.mats.nesting import Shape
    from piecewright.cutting.rules import LayingRules

EFFORTS: Final = {
    1: Effort(steps=120, patience=4),
    2: Effort(steps=320, patience=8),
    3: Effort(steps=500, patience=16),
    4: Effort(steps=1000, patience=40),
    5: Effort(steps=4000, patience=120),
}
"""What the steps of effort in the rules mean in the engine's steps."""

FIRST_LOAD: Final = {1: 0.74, 2: 0.78, 3: 0.80, 4: 0.82, 5: 0.84}
"""Load of the first draw for a full mat; mixed shapes rarely reach more."""

LOWER_LOAD: Final = 0.02
"""By how much the load is lowered when a draw did not fit."""

LEAST_LOAD: Final = 0.3
"""Under it something else is wrong, and the boxes decide."""

WHOLE_LOAD: Final = 0.9
"""With more than this nobody need try whether all that is left goes on one mat."""

ROUNDING_MM2: Final = 1e-3
"""Sums of areas differ by rounding."""

Mats: TypeAlias = "tuple[tuple[Spot, ...], ...]"
"""For each mat, where its copies lie."""


def lay_sheets(engine: Engine | None, copies: Sequence[Copy], bed: Bed, laying: LayingRules) -> Mats:
    """Lay the copies of one fabric, each of which fits an empty bed.

    Whatever the engine finds, the layout by boxes is at hand, and is taken where it is as good.

    Args:
        engine: The nesting engine; None to do without.
        copies: At least one.
        bed: What may be cut on.
        laying: Gap, effort, whether holes are used.

    Returns:
        For each mat, where its copies lie.

    Raises:
        EngineError: If the engine gives no answer.
    """
    if not laying.in_holes:
        return _best(engine, copies, bed, laying)
    lodging = lodge(copies, laying.gap)
    mats = _best(engine, lodging.others, bed, laying)
    return tuple(tuple(chain(spots, *(moved_in(spot, lodging) for spot in spots))) for spots in mats)


def _best(engine: Engine | None, copies: Sequence[Copy], bed: Bed, laying: LayingRules) -> Mats:
    """The best of the layouts that the effort allows: fewest mats, then shortest on the last."""
    gap, effort = laying.gap, laying.effort
    tries = [lay_boxes(copies, bed, gap)]
    if engine is not None and effort > 0:
        tries.append(_nest_all(engine, shapes_of(copies, gap), bed, gap, effort))
        if any(len(copy.sides) > 1 for copy in copies):
            tries.append(_nest_all(engine, shapes_of(copies, gap, alternate=True), bed, gap, effort))
    return min(tries, key=lambda mats: (len(mats), round(_length(mats[-1]), 3)))


def lay_boxes(copies: Sequence[Copy], bed: Bed, gap_mm: float) -> Mats:
    """Lay copies by their boxes, each turned so that its box is small."""
    boxes = []
    for copy in copies:
        _, _, width, height = box_of(copy, copy.turn_deg, copy.sides[0])
        boxes.append(Box(width=width + gap_mm, height=height + gap_mm, quarter=copy.quarter))
    packed = pack_boxes(boxes, bed.width_mm + gap_mm, bed.height_mm + gap_mm)
    return tuple(
        tuple(
            spot_at(
                copies[spot.index],
                copies[spot.index].turn_deg + (90.0 if spot.quarter else 0.0),
                copies[spot.index].sides[0],
                (bed.x_mm + spot.x, bed.y_mm + spot.y),
            )
            for spot in mat
        )
        for mat in packed
    )


def _nest_all(engine: Engine, shapes: Sequence[Shape], bed: Bed, gap_mm: float, effort: int) -> Mats:
    """Fill one mat after the other, large copies first, small ones added where room is left."""
    rest = sorted(shapes, key=lambda shape: -shape.area_mm2)
    mats: list[tuple[Spot, ...]] = []
    while rest:
        spots = _one_mat(engine, rest, bed, gap_mm, effort)
        rest = _without(rest, spots)
        if rest:
            more = _added(spots, [shape.copy for shape in rest], bed, gap_mm)
            spots, rest = spots + more, _without(rest, more)
        mats.append(spots)
    return tuple(mats)


def _without(shapes: Sequence[Shape], spots: Sequence[Spot]) -> list[Shape]:
    laid = {spot.copy.id for spot in spots}
    return [shape for shape in shapes if shape.copy.id not in laid]


def _one_mat(engine: Engine, rest: Sequence[Shape], bed: Bed, gap_mm: float, effort: int) -> tuple[Spot, ...]:
    """All that is left if it goes on one mat, else the fullest draw that does."""
    area = bed.grown(gap_mm / 2).area_mm2
    load = sum(shape.area_mm2 for shape in rest) / area
    aim = load if load <= WHOLE_LOAD else FIRST_LOAD[effort]
    while aim > min(LEAST_LOAD, load / 2):
        draw = _draw(rest, aim * area)
        length, spots = nest(engine, draw, bed, gap_mm, EFFORTS[effort], enough=len(draw) < len(rest))
        if length <= bed.height_mm:
            return spots
        drawn = sum(shape.area_mm2 for shape in draw) / area
        aim = min(drawn - LOWER_LOAD, drawn * bed.height_mm / length)
    return lay_boxes([shape.copy for shape in rest], bed, gap_mm)[0]


def _draw(rest: Sequence[Shape], area_mm2: float) -> list[Shape]:
    """Copies of so much area in all, large ones first."""
    drawn: list[Shape] = []
    left = area_mm2 + ROUNDING_MM2
    for shape in rest:
        if shape.area_mm2 <= left:
            drawn.append(shape)
            left -= shape.area_mm2
    return drawn


def _added(spots: Sequence[Spot], copies: Sequence[Copy], bed: Bed, gap_mm: float) -> tuple[Spot, ...]:
    """Copies that still go between those already laid."""
    taken = [part for spot in spots for part in grow(Region(exterior=ring_at(spot)), gap_mm / 2)]
    room = bed.grown(gap_mm / 2)
    free = [Region(exterior=frozen(room.corners()))]
    for other in union(taken):
        free = [part for region in free for part in difference(region, other)]
    return fill(Room(free, gap_mm), copies) if free else ()


def _length(spots: Sequence[Spot]) -> float:
    """How far down the mat copies lie."""
    return max(float(ring_at(spot)[:, 1].max()) for spot in spots)
