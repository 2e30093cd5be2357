"""Comparing single lines: place, shape and area."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.errors import SelfCheckFailed
from piecewright.cutting.geometry import (
    Region,
    distances_to_edge,
    flatten,
    ring_area,
    ring_length,
    stays_near,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.geometry import CurvedRegion, FloatArray

AGREE_MM: Final = 0.02
"""How far a line may lie from the layout's: a fifth of a stitch unit, under the step of any cutter
(0.025 mm), which alone costs up to 0.0177 mm in a format that counts in such steps."""

_FLAT_WITHIN_MM: Final = 0.0005
"""How finely curves are flattened for the comparison, here and by the readers."""

_NEAR_MM: Final = AGREE_MM * 1.005 + 2 * _FLAT_WITHIN_MM
"""What flattening may add on both sides, and what the corridor may lack at its corners."""

_A_LINE: Final = 3
"""Corners that a ring has at least."""


def lines_of(region: CurvedRegion) -> list[FloatArray]:
    """The lines that a file must have for a piece: holes before the outline."""
    return [flatten(curve, _FLAT_WITHIN_MM) for curve in (*region.holes, region.exterior)]


def compare(found: Sequence[FloatArray], wanted: Sequence[FloatArray]) -> None:
    """Compare lines one by one, in their order.

    Raises:
        SelfCheckFailed: If there are more or fewer, or one lies elsewhere or has another area.
    """
    SelfCheckFailed.unless(
        len(found) == len(wanted), f"It holds {len(found)} lines instead of {len(wanted)}."
    )
    for number, (line, other) in enumerate(zip(found, wanted, strict=True), 1):
        _compare_line(line, other, number)


def same(found: Sequence[FloatArray], wanted: Sequence[FloatArray]) -> bool:
    """Whether ``compare`` finds nothing."""
    try:
        compare(found, wanted)
    except SelfCheckFailed:
        return False
    return True


def _compare_line(line: FloatArray, wanted: FloatArray, number: int) -> None:
    """Place and shape both ways round, then area, which also tells a line run through twice."""
    SelfCheckFailed.unless(len(line) >= _A_LINE, f"Its line {number} is no closed line.")
    if not (stays_near(line, wanted, _NEAR_MM) and stays_near(wanted, line, _NEAR_MM)):
        off = max(_strays(line, wanted), _strays(wanted, line))
        message = f"Its line {number} lies up to {off:.3f} mm off."
        raise SelfCheckFailed(message)
    differs = abs(abs(ring_area(line)) - abs(ring_area(wanted)))
    SelfCheckFailed.unless(
        differs <= _NEAR_MM * ring_length(wanted), f"The area in its line {number} is {differs:.2f} mm2 off."
    )


def _strays(line: FloatArray, other: FloatArray) -> float:
    return float(np.abs(distances_to_edge(Region(exterior=other), line)).max())
