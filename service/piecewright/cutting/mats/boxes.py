"""Rectangles packed on mats without an engine: for patches, and where nesting fails or is not wanted.

Source: the maximal rectangles algorithm with the rule "lowest, then leftmost" (J. Jylänki, A Thousand
Ways to Pack the Bin, 2010), rectangles tried in several orders.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

SLACK_MM: Final = 1e-6
"""Two lengths that should be equal differ by rounding; a tenth of what a position is kept to."""


OPEN_MATS: Final = 12
"""So many mats are looked through for room; earlier ones have had every larger rectangle offered already."""

MANY: Final = 400
"""With more rectangles than this one order is enough."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A rectangle to be packed.

    Attributes:
        width: mm.
        height: mm.
        quarter: Whether it may be turned by 90 degrees.
    """

    width: float
    height: float
    quarter: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxSpot:
    """Where a rectangle lies.

    Attributes:
        index: Which of the rectangles.
        x: Of its upper left corner, mm.
        y: See ``x``.
        quarter: Whether it is turned by 90 degrees.
    """

    index: int
    x: float
    y: float
    quarter: bool


def pack_boxes(boxes: Sequence[Box], width: float, height: float) -> tuple[tuple[BoxSpot, ...], ...]:
    """Pack rectangles on as few mats as this finds, and as short as it finds on the last.

    Args:
        boxes: Rectangles, each of which fits an empty mat.
        width: Of the mat, mm.
        height: Of the mat, mm.

    Returns:
        The rectangles of each mat, in the order in which they were put there.

    Raises:
        ValueError: If a rectangle does not fit an empty mat.
    """
    if not all(_fits(box, width, height) for box in boxes):
        message = "a rectangle is larger than the mat"
        raise ValueError(message)
    if not boxes:
        return ()
    tries = [_pack_in_order(boxes, order, width, height) for order in _orders(boxes)]
    best = min(tries, key=lambda mats: (len(mats), round(mats[-1].length(boxes), 6)))
    return tuple(tuple(mat.spots) for mat in best)


def _fits(box: Box, width: float, height: float) -> bool:
    return any(w <= width + SLACK_MM and h <= height + SLACK_MM for w, h, _ in _sides(box))


def _orders(boxes: Sequence[Box]) -> list[list[int]]:
    """Orders in which the rectangles are tried; ties keep the order given."""
    keys: tuple[Callable[[Box], tuple[float, float]], ...] = (
        lambda box: (max(box.width, box.height), min(box.width, box.height)),
        lambda box: (box.width * box.height, max(box.width, box.height)),
        lambda box: (box.height, box.width),
        lambda box: (box.width, box.height),
        lambda box: (box.width + box.height, box.width),
    )
    orders = [sorted(range(len(boxes)), key=lambda i: key(boxes[i]), reverse=True) for key in keys]
    different = [order for n, order in enumerate(orders) if order not in orders[:n]]
    return different if len(boxes) <= MANY else different[:1]


def _pack_in_order(boxes: Sequence[Box], order: Sequence[int], width: float, height: float) -> list[_Mat]:
    """Put each rectangle on the first mat that has room for it."""
    mats: list[_Mat] = []
    for index in order:
        for mat in mats[-OPEN_MATS:]:
            if mat.put(index, boxes[index]):
                break
        else:
            mats.append(_Mat(free=[(0.0, 0.0, width, height)]))
            mats[-1].put(index, boxes[index])
    return mats


def _sides(box: Box) -> tuple[tuple[float, float, bool], ...]:
    """Width, height and whether turned, of each way a rectangle may lie."""
    upright = (box.width, box.height, False)
    return (upright, (box.height, box.width, True)) if box.quarter else (upright,)


@dataclass(slots=True, kw_only=True)
class _Mat:
    """One mat while it is being filled.

    Attributes:
        free: The maximal free rectangles: left, top, right, bottom.
        spots: What lies on it.
    """

    free: list[tuple[float, float, float, float]]
    spots: list[BoxSpot] = field(default_factory=list)

    def put(self, index: int, box: Box) -> bool:
        """Put a rectangle as high up as it goes, then as far left; False if there is no room."""
        places = [
            (top + h, left, top, w, h, quarter)
            for w, h, quarter in _sides(box)
            for left, top, right, bottom in self.free
            if left + w <= right + SLACK_MM and top + h <= bottom + SLACK_MM
        ]
        if not places:
            return False
        _, left, top, w, h, quarter = min(places)
        self.spots.append(BoxSpot(index=index, x=left, y=top, quarter=quarter))
        self._take((left, top, left + w, top + h))
        return True

    def length(self, boxes: Sequence[Box]) -> float:
        """How far down the mat is used."""
        return max(
            spot.y + (boxes[spot.index].width if spot.quarter else boxes[spot.index].height)
            for spot in self.spots
        )

    def _take(self, used: tuple[float, float, float, float]) -> None:
        """Split every free rectangle that the new one cuts into; keep only those inside no other."""
        kept = [free for free in self.free if not _overlap(free, used)]
        parts = {part for free in self.free if _overlap(free, used) for part in _around(free, used)}
        every = [*kept, *sorted(parts - set(kept))]
        self.free = [
            free for free in every if not any(_inside(free, other) for other in every if other != free)
        ]


def _overlap(free: tuple[float, float, float, float], used: tuple[float, float, float, float]) -> bool:
    return (
        free[0] < used[2] - SLACK_MM
        and used[0] < free[2] - SLACK_MM
        and free[1] < used[3] - SLACK_MM
        and used[1] < free[3] - SLACK_MM
    )


def _around(
    free: tuple[float, float, float, float], used: tuple[float, float, float, float]
) -> list[tuple[float, float, float, float]]:
    """What is left of a free rectangle on each side of a used one."""
    left, top, right, bottom = free
    parts = [
        (left, top, used[0], bottom),
        (used[2], top, right, bottom),
        (left, top, right, used[1]),
        (left, used[3], right, bottom),
    ]
    return [part for part in parts if part[2] - part[0] > SLACK_MM and part[3] - part[1] > SLACK_MM]


def _inside(inner: tuple[float, float, float, float], outer: tuple[float, float, float, float]) -> bool:
    return outer[0] <= inner[0] and outer[1] <= inner[1] and inner[2] <= outer[2] and inner[3] <= outer[3]
