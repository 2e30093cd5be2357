"""A mat with little on it laid narrower, where that takes less fabric.

Mats are made as short as can be, because a bolt is cut across. Few pieces then lie in one long row, and the
rectangle of fabric under them is mostly waste. Side by side and below each other they often take half of it.

Terms: the *rectangle* is what covers all pieces from the mat's upper left corner on; the *use* is the area
of the pieces over that of their rectangle.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.mats.copies import box_of, ring_at

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from piecewright.cutting.mats.copies import Bed, Spot

    Spots = tuple[Spot, ...]

GOOD_USE: Final = 0.5
"""A rectangle used as well as this is left as it is: nesting gains little more there."""

SHARES: Final = (0.75, 0.6, 0.45)
"""Widths that are tried, of the width taken before."""

LONGER: Final = 1.25
"""So many times the length at most: what a bolt gives in length costs its whole width."""


def narrowed(spots: Spots, bed: Bed, laid_on: Callable[[Bed], tuple[Spots, ...]]) -> Spots:
    """The copies of a mat laid on the narrower bed that takes the least rectangle; as they are if none does.

    Args:
        spots: Where the copies lie now.
        bed: What may be cut on.
        laid_on: Lays the same copies on another bed, on as few mats as it can.
    """
    if len(spots) == 1 or _use(spots) >= GOOD_USE:
        return spots
    width, length = rectangle(spots)
    tries = [spots]
    for share in SHARES:
        narrow = replace(bed, width_mm=share * (width - bed.x_mm))
        if all(_goes_on(spot, narrow) for spot in spots):
            mats = laid_on(narrow)
            tries += [mats[0]] if len(mats) == 1 and rectangle(mats[0])[1] <= LONGER * length else []
    return min(tries, key=lambda one: round(float(np.prod(rectangle(one))), 3))


def rectangle(spots: Sequence[Spot]) -> tuple[float, float]:
    """Width and length of the rectangle under copies, mm."""
    right, bottom = np.max([ring_at(spot).max(axis=0) for spot in spots], axis=0)
    return float(right), float(bottom)


def _use(spots: Sequence[Spot]) -> float:
    return sum(spot.copy.area_mm2 for spot in spots) / float(np.prod(rectangle(spots)))


def _goes_on(spot: Spot, bed: Bed) -> bool:
    """Whether a copy goes on an empty bed as it is laid by its box."""
    _, _, width, height = box_of(spot.copy, spot.copy.turn_deg, spot.copy.sides[0])
    return bed.takes(width, height, quarter=spot.copy.quarter)
