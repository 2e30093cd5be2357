"""Piece letters for a pen, in a file of their own, so that no blade can follow them.

Each stands where its piece has most room, never reaches its edge and is never mirrored: it is read
on the side that lies up on the mat. A piece too small for a letter that can be read gets none.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from piecewright.cutting.formats.svg.document import document, number, xml_id
from piecewright.cutting.formats.svg.strokes import shape_of, strokes
from piecewright.cutting.geometry import roomiest_point

if TYPE_CHECKING:
    from collections.abc import Iterator

    from piecewright.cutting.formats.svg.document import Line
    from piecewright.cutting.mats import LaidPiece, MatLayout

_TALLEST_MM: Final = 6.0
"""Read at arm's length; larger only marks more cloth."""

_LEAST_MM: Final = 2.0
"""Smaller letters run together under a pen half a millimetre wide."""

_ROOM_USED: Final = 0.85
"""Share of the roomiest disc that a letter may fill: pens are set into their holders by hand."""


def write_pen(layout: MatLayout, title: str) -> bytes:
    """The letters of one mat's pieces as an SVG file of the same size as its cut file.

    Args:
        layout: The mat.
        title: What the file is, for people; it is not drawn.
    """
    return document((layout.width_mm, layout.height_mm), title, ("labels", "#0000cc"), _labels(layout))


def _labels(layout: MatLayout) -> Iterator[Line]:
    for piece in layout.laid:
        data = _label(piece)
        if data:
            yield (xml_id("label", piece.id), piece.piece, data)


def _label(piece: LaidPiece) -> str:
    x, y, radius = roomiest_point(piece.curve)
    tall = min(_TALLEST_MM, _ROOM_USED * 2 * radius / math.hypot(*shape_of(piece.piece)))
    if tall < _LEAST_MM:
        return ""
    return " ".join(
        "M" + " L".join(f"{number(x + tall * u)},{number(y + tall * v)}" for u, v in stroke.tolist())
        for stroke in strokes(piece.piece)
    )
