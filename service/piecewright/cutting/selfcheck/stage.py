"""Every file against what it was made from."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from piecewright.cutting.errors import SelfCheckFailed
from piecewright.cutting.formats import pdf, svg
from piecewright.cutting.geometry import contains_points, flattened
from piecewright.cutting.matformats import MAT_FORMATS
from piecewright.cutting.selfcheck.lines import compare, lines_of
from piecewright.cutting.selfcheck.paper import check_templates

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from piecewright.cutting.cutfiles import CutFile
    from piecewright.cutting.formats.pdf import Template
    from piecewright.cutting.geometry import FloatArray
    from piecewright.cutting.mats import Layout, MatLayout

_COARSE_MM: Final = 0.05
"""Letters keep far more than this from the edge."""


def check(files: Iterable[CutFile], layout: Layout, templates: Sequence[Template] = ()) -> None:
    """Compare every cut file with the mat that it was made from, and the paper template with the pieces.

    Args:
        files: What is about to leave.
        layout: What the files of mats must say.
        templates: What the paper template must show.

    Raises:
        SelfCheckFailed: At the first file that says something else.
    """
    mats = {mat.number: mat for mat in layout.mats}
    expected = {number: _lines(mat) for number, mat in mats.items()}
    for file in files:
        try:
            if file.mat is None:
                check_templates(pdf.read_back(file.data), templates)
            else:
                _check_mat(file, mats[file.mat], expected[file.mat])
        except (SelfCheckFailed, ValueError, LookupError, SyntaxError) as error:
            what = error.message if isinstance(error, SelfCheckFailed) else f"It cannot be read ({error})."
            message = f"{file.name} does not say what was laid. {what}"
            raise SelfCheckFailed(message) from error


def _lines(mat: MatLayout) -> list[FloatArray]:
    return [line for piece in mat.laid for line in lines_of(piece.curve)]


def _check_mat(file: CutFile, mat: MatLayout, expected: Sequence[FloatArray]) -> None:
    if file.kind == "pen":
        _check_letters(svg.read_pen(file.data), mat)
    else:
        compare(MAT_FORMATS[file.kind].read_back(file.data, mat), expected)


def _check_letters(lines: Iterable[FloatArray], mat: MatLayout) -> None:
    """Pen lines may lie anywhere in a piece, and nowhere else."""
    pieces = [flattened(piece.curve, _COARSE_MM) for piece in mat.laid]
    boxes = [(piece.exterior.min(axis=0), piece.exterior.max(axis=0)) for piece in pieces]
    for line in lines:
        inside = any(
            bool((line >= least).all() and (line <= most).all() and contains_points(piece, line).all())
            for piece, (least, most) in zip(pieces, boxes, strict=True)
        )
        SelfCheckFailed.unless(inside, "A letter lies outside the pieces.")
