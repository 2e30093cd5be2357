"""Boxes round lines, to pass over most pairs of them in no time."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from piecewright.cutting.geometry import FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """Smallest and largest x and y of something, mm."""

    x0: float
    y0: float
    x1: float
    y1: float

    def meets(self, other: Box, slack_mm: float = 0.0) -> bool:
        """Whether two boxes touch once each is allowed some slack."""
        return (
            self.x0 <= other.x1 + slack_mm
            and other.x0 <= self.x1 + slack_mm
            and self.y0 <= other.y1 + slack_mm
            and other.y0 <= self.y1 + slack_mm
        )

    def holds(self, other: Box, slack_mm: float = 0.0) -> bool:
        """Whether the other sticks out by no more than the slack."""
        return (
            self.x0 <= other.x0 + slack_mm
            and self.y0 <= other.y0 + slack_mm
            and other.x1 <= self.x1 + slack_mm
            and other.y1 <= self.y1 + slack_mm
        )


def box_of(points: FloatArray) -> Box:
    """The box of some points, (n, 2) mm."""
    (x0, y0), (x1, y1) = points.min(axis=0).tolist(), points.max(axis=0).tolist()
    return Box(x0=x0, y0=y0, x1=x1, y1=y1)
