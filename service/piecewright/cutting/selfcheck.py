"""Stage 7, the self-check: the files about to leave are read back and compared with the layout.

Terms: a *line* is one closed curve of a file, a piece's outline or a hole; a file *says* the layout if
its lines, in their order, lie where the layout has them, as large and as many.

The readers know nothing of the writers, so a fault of one does not hide in the other.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.errors import SelfCheckFailed
from piecewright.cutting.formats import dxf, plt, svg
from piecewright.cutting.geometry import (
    Region,
    contains_points,
    distances_to_edge,
    flatten,
    ring_area,
    ring_length,
    stays_near,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from piecewright.cutting.cutfiles import CutFile
    from piecewright.cutting.geometry import FloatArray
    from piecewright.cutting.mats import Layout, MatLayout

AGREE_MM: Final = 0.02
"""How far a line may lie from the layout's: a fifth of a stitch unit, under the step of any cutter
(0.025 mm), which alone costs up to 0.0177 mm in a format that counts in such steps."""

_FLAT_WITHIN_MM: Final = 0.0005
"""How finely curves are flattened for the comparison, here and by the readers."""

_NEAR_MM: Final = AGREE_MM * 1.005 + 2 * _FLAT_WITHIN_MM
"""What flattening may add on both sides, and what the corridor may lack at its corners."""


def check(files: Iterable[CutFile], layout: Layout) -> None:
    """Compare every cut file with the mat that it was made from.

    Args:
        files: What is about to leave.
        layout: What the files must say.

    Raises:
        SelfCheckFailed: At the first file that says something else.
    """
    mats = {mat.number: mat for mat in layout.mats}
    expected = {number: _lines(mat) for number, mat in mats.items()}
    for file in files:
        try:
            _check_one(file, mats[file.mat], expected[file.mat])
        except (SelfCheckFailed, ValueError, KeyError, IndexError) as error:
            what = error.message if isinstance(error, SelfCheckFailed) else f"It cannot be read ({error})."
            message = f"{file.name} does not say what was laid. {what}"
            raise SelfCheckFailed(message) from error


def _lines(mat: MatLayout) -> list[FloatArray]:
    """What each file of the mat must hold: holes before the outline, piece after piece."""
    return [
        flatten(curve, _FLAT_WITHIN_MM)
        for piece in mat.laid
        for curve in (*piece.curve.holes, piece.curve.exterior)
    ]


def _check_one(file: CutFile, mat: MatLayout, expected: Sequence[FloatArray]) -> None:
    if file.kind == "pen":
        _check_letters(svg.read_pen(file.data), mat)
        return
    found = _read(file, mat)
    SelfCheckFailed.unless(
        len(found) == len(expected), f"It holds {len(found)} lines instead of {len(expected)}."
    )
    for number, (line, wanted) in enumerate(zip(found, expected, strict=True), 1):
        _compare(line, wanted, number)


def _read(file: CutFile, mat: MatLayout) -> tuple[FloatArray, ...]:
    if file.kind == "svg":
        return svg.read_back(file.data)
    reader = {"dxf": dxf.read_back, "plt": plt.read_back}[file.kind]
    return reader(file.data, mat.height_mm)


def _compare(line: FloatArray, wanted: FloatArray, number: int) -> None:
    """Place and shape both ways round, then area, which also tells a line run through twice."""
    if not (stays_near(line, wanted, _NEAR_MM) and stays_near(wanted, line, _NEAR_MM)):
        off = max(_strays(line, wanted), _strays(wanted, line))
        message = f"Its line {number} lies up to {off:.3f} mm off."
        raise SelfCheckFailed(message)
    differs = abs(abs(ring_area(line)) - abs(ring_area(wanted)))
    SelfCheckFailed.unless(
        differs <= AGREE_MM * ring_length(wanted),
        f"The area in its line {number} differs by {differs:.2f} mm2.",
    )


def _strays(line: FloatArray, other: FloatArray) -> float:
    return float(np.abs(distances_to_edge(Region(exterior=other), line)).max())


def _check_letters(lines: Iterable[FloatArray], mat: MatLayout) -> None:
    """Pen lines may lie anywhere in a piece, and nowhere else."""
    for line in lines:
        inside = any(bool(contains_points(piece.curve, line).all()) for piece in mat.laid)
        SelfCheckFailed.unless(inside, "A letter lies outside the pieces.")
