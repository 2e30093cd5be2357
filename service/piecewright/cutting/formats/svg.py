"""Mats as SVG: one path for each laid piece, nothing else that a blade could follow.

Terms: a *user unit* is the unit of the numbers in the file; the viewBox makes it one millimetre.
Width and height are given in mm, so that a program that reads units and one that counts 96 px to
the inch both show the mat at its true size.

Holes are subpaths of the piece's own path and come before its outline. As one path a piece stays
whole when somebody moves it in the cutter's program, and a cutter that follows the file cuts what
lies inside while the piece is still held by the cloth around it.
"""

from __future__ import annotations

import re
from itertools import chain
from typing import TYPE_CHECKING, Final

import numpy as np
import svgwrite

from piecewright.cutting.plaintext import plain

if TYPE_CHECKING:
    from collections.abc import Iterator

    from piecewright.cutting.geometry import CurvedRegion, FloatArray
    from piecewright.cutting.mats import LaidPiece, MatLayout

_DECIMALS: Final = 3
"""A thousandth of a mm: far finer than any cutter's step, and no file grows fat by it."""

_HAIRLINE_MM: Final = 0.1
"""Thin enough that its middle and its rims are one to the eye, thick enough for every screen."""


def write(layout: MatLayout, title: str) -> bytes:
    """One mat as an SVG file.

    Args:
        layout: The mat; pieces are written in its order, which is the order of cutting.
        title: What the file is, for people; it is not drawn.
    """
    width, height = _number(layout.width_mm), _number(layout.height_mm)
    drawing = svgwrite.Drawing(
        size=(f"{width}mm", f"{height}mm"), viewBox=f"0 0 {width} {height}", debug=False
    )
    drawing.set_desc(title=plain(title))
    cuts = drawing.g(id="cuts", fill="none", fill_rule="evenodd", stroke="#000000", stroke_width=_HAIRLINE_MM)
    for piece in layout.laid:
        cuts.add(_path(drawing, piece))
    drawing.add(cuts)
    document: str = drawing.tostring()
    return f'<?xml version="1.0" encoding="utf-8"?>\n{document}\n'.encode()


def _path(drawing: svgwrite.Drawing, piece: LaidPiece) -> object:
    path = drawing.path(d=_path_data(piece.curve), id=_xml_id(piece.id))
    path.set_desc(title=plain(" · ".join(filter(None, (piece.id, piece.fabric, piece.design)))))
    return path


def _path_data(region: CurvedRegion) -> str:
    return " ".join(chain.from_iterable(map(_subpath, (*region.holes, region.exterior))))


def _subpath(curve: FloatArray) -> Iterator[str]:
    numbers = np.round(curve, _DECIMALS) + 0.0  # adding 0.0 turns -0.0 into 0.0
    yield "M{:.10g},{:.10g}".format(*numbers[0, 0].tolist())
    for x1, y1, x2, y2, x, y in numbers[:, 1:].reshape(-1, 6).tolist():
        yield f"C{x1:.10g},{y1:.10g} {x2:.10g},{y2:.10g} {x:.10g},{y:.10g}"
    yield "Z"


def _xml_id(text: str) -> str:
    """An XML name (XML 1.0, production 5); ids of pieces may begin with a digit, names may not."""
    return "piece-" + re.sub(r"[^A-Za-z0-9._-]", "_", text)


def _number(value: float) -> str:
    return f"{round(value, _DECIMALS):.10g}"
