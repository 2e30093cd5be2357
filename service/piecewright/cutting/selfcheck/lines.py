"""Comparing single lines: place, shape and area."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.errors import SelfCheckFailed
from piecewright.cutting.geometry import (
    Region,
    away_from_edge,
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

_FLAT_WITHIN_MM: Final = 0.001
"""How finely curves are flattened for the comparison, here and by the readers."""

_NEAR_MM: Final = AGREE_MM * 1.005 + 2 * _FLAT_WITHIN_MM
"""What flattening may add on both sides, and what the corridor may lack at its corners."""

_NEIGHBOURS: Final = np.arange(-2, 3)
"""Edges looked at around the one expected: steps of a plotter make a line a little longer than it is."""

_NOTHING_MM: Final = 1e-9
_A_LINE: Final = 3
"""Corners that a ring has at least."""


def lines_of(region: CurvedRegion) -> list[FloatArray]:
    """The lines that a file must have for a piece, each (n, 2) mm: holes before the outline."""
    return [flatten(curve, _FLAT_WITHIN_MM) for curve in (*region.holes, region.exterior)]


def compare(found: Sequence[FloatArray], wanted: Sequence[FloatArray]) -> None:
    """Compare lines, each (n, 2) mm, one by one, in their order.

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
    if not all(follows(*pair) or stays_near(*pair, _NEAR_MM) for pair in ((line, wanted), (wanted, line))):
        off = max(_strays(line, wanted), _strays(wanted, line))
        message = f"Its line {number} lies up to {off:.3f} mm off."
        raise SelfCheckFailed(message)
    differs = abs(abs(ring_area(line)) - abs(ring_area(wanted)))
    SelfCheckFailed.unless(
        differs <= _NEAR_MM * ring_length(wanted), f"The area in its line {number} is {differs:.2f} mm2 off."
    )


def follows(line: FloatArray, other: FloatArray) -> bool:
    """Whether each corner of a line (n, 2) lies near the other where as much of that has been run through.

    A quick look that says yes to nearly every true file; its no means nothing.
    """
    begin, chord = other, np.roll(other, -1, axis=0) - other
    run, run_other = _run(line), _run(other)
    place = np.searchsorted(run_other[1:], run[:-1] * (run_other[-1] / max(run[-1], _NOTHING_MM)))
    edges = (place[:, None] + _NEIGHBOURS) % len(other)
    aside = line[:, None] - begin[edges]
    square = np.maximum((chord**2).sum(axis=1), _NOTHING_MM**2)
    share = np.clip((aside * chord[edges]).sum(axis=-1) / square[edges], 0.0, 1.0)
    off = aside - share[..., None] * chord[edges]
    return bool(np.hypot(off[..., 0], off[..., 1]).min(axis=1).max() <= _NEAR_MM)


def _run(line: FloatArray) -> FloatArray:
    """Length run through before each corner, and at the end, (n + 1,)."""
    steps = np.roll(line, -1, axis=0) - line
    return np.concatenate([[0.0], np.cumsum(np.hypot(steps[:, 0], steps[:, 1]))])


def _strays(line: FloatArray, other: FloatArray) -> float:
    return float(away_from_edge(Region(exterior=other), line).max())
