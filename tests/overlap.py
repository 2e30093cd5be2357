"""How well two regions agree."""

from __future__ import annotations

from typing import TYPE_CHECKING

from piecewright.cutting.geometry import area, common

if TYPE_CHECKING:
    from piecewright.cutting.geometry import Area


def iou(one: Area, other: Area) -> float:
    """Shared area over joint area, 0 to 1."""
    shared = area(common(one, other))
    return shared / (area(one) + area(other) - shared)
