"""Copies nested by true shape in one rectangle: the link between copies on a mat and the strip engine.

Terms: a *shape* is a copy's outline grown by half the gap, simplified; the strip's length runs along the
mat's y, so that its fixed height is the mat's width: a short strip takes little of a bolt of fabric.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.geometry import Region, frozen, grow, ring_area, simplified, transformed_points
from piecewright.cutting.mats.copies import DIGITS, STEPS_DEG, Spot
from piecewright.cutting.mats.engine import StripItem

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.geometry import FloatArray
    from piecewright.cutting.mats.copies import Bed, Copy
    from piecewright.cutting.mats.engine import Effort, Engine

PAD_MM: Final = 0.05
"""Added to half the gap, so that flattening, simplifying and single precision cannot eat into it."""

SIMPLE_MM: Final = 0.035
"""How far a shape may be simplified: with what flattening takes, less than the padding."""

TIGHT: Final = 0.9
"""A copy whose box fills this share of the strip's height is turned by hand: sampled turns would miss it."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shape:
    """A copy as the engine sees it.

    Attributes:
        copy: The copy.
        mirrored: On which side it lies.
        ring: Its outline grown by half the gap, mirrored if it is, in the design's coordinates.
        area_mm2: Area inside the ring.
    """

    copy: Copy
    mirrored: bool
    ring: FloatArray
    area_mm2: float


def shapes_of(copies: Sequence[Copy], gap_mm: float, *, alternate: bool = False) -> tuple[Shape, ...]:
    """The shapes of copies; with ``alternate`` every second one is turned over, where it may be."""
    rings: dict[tuple[int, bool], FloatArray] = {}
    shapes = []
    for n, copy in enumerate(copies):
        mirrored = copy.sides[n % len(copy.sides) if alternate else 0]
        key = (id(copy.demand), mirrored)
        if key not in rings:
            rings[key] = _grown(copy, mirrored, gap_mm)
        shapes.append(
            Shape(copy=copy, mirrored=mirrored, ring=rings[key], area_mm2=abs(ring_area(rings[key])))
        )
    return tuple(shapes)


def nest(
    engine: Engine, shapes: Sequence[Shape], bed: Bed, gap_mm: float, effort: Effort, *, enough: bool
) -> tuple[float, tuple[Spot, ...]]:
    """Nest shapes on a bed, as short along y as the effort makes it.

    Args:
        engine: The nesting engine.
        shapes: What to nest.
        bed: Where they may lie.
        gap_mm: Least distance between copies; the shapes are grown by half of it.
        effort: When the engine stops.
        enough: Stop as soon as they fit on the bed.

    Returns:
        How much of the bed's height is taken (over it if they do not fit), and where the copies lie.

    Raises:
        EngineError: If the engine gives no answer.
    """
    room = bed.grown(gap_mm / 2)
    groups = _groups(shapes)
    items = [_item(group[0], len(group), room.width_mm) for group in groups]
    strip = engine.pack([item for item, _ in items], room.width_mm, room.height_mm, effort, enough=enough)
    spots = []
    waiting = [iter(group) for group in groups]
    for placed in strip.placed:
        shape, turned = next(waiting[placed.item]), items[placed.item][1]
        spots.append(
            Spot(
                copy=shape.copy,
                x_mm=round(room.x_mm + room.width_mm - placed.y, DIGITS),
                y_mm=round(room.y_mm + placed.x, DIGITS),
                turned_deg=round((turned + placed.turned_deg) % 360.0, DIGITS),
                mirrored=shape.mirrored,
            )
        )
    return strip.length - gap_mm, tuple(spots)


def _grown(copy: Copy, mirrored: bool, gap_mm: float) -> FloatArray:
    ring = transformed_points(copy.ring, 0.0, mirrored, 0.0, 0.0)
    grown = grow(Region(exterior=ring), gap_mm / 2 + PAD_MM)[0]
    return simplified(grown.exterior, SIMPLE_MM)


def _groups(shapes: Sequence[Shape]) -> list[list[Shape]]:
    """Shapes that are the same but for the number of their copy."""
    groups: dict[tuple[int, bool], list[Shape]] = defaultdict(list)
    for shape in shapes:
        groups[id(shape.ring), shape.mirrored].append(shape)
    return list(groups.values())


def _item(shape: Shape, copies: int, height: float) -> tuple[StripItem, float]:
    """A shape for the engine, and by how much it was turned beforehand.

    The strip's x is the mat's y and its y the mat's x backwards: the mat turned by a quarter, so turns
    are the same in both.
    """
    turning = shape.copy.turning
    turned, turns = 0.0, None if turning == "free" else STEPS_DEG[turning]
    if turning == "free":
        turned = shape.copy.turn_on(shape.mirrored)
        ring = transformed_points(shape.ring, turned, False, 0.0, 0.0)
        if np.ptp(ring, axis=0).min() > TIGHT * height or np.ptp(ring, axis=0).max() > height:
            turns = STEPS_DEG["quarter"]
    ring = transformed_points(shape.ring, turned, False, 0.0, 0.0)
    across = frozen(np.column_stack([ring[:, 1], -ring[:, 0]]))
    return StripItem(ring=across, copies=copies, turns=turns), turned
