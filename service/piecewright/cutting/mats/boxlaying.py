"""Copies laid by their boxes: always at hand, and what a nested mat must beat."""

from __future__ import annotations

from typing import TYPE_CHECKING

from piecewright.cutting.mats.boxes import Box, pack_boxes
from piecewright.cutting.mats.copies import box_of, spot_at

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.mats.copies import Bed, Copy, Spot


def lay_boxes(copies: Sequence[Copy], bed: Bed, gap_mm: float) -> tuple[tuple[Spot, ...], ...]:
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
