"""What is cut: one path for each laid piece, nothing else that a blade could follow.

Holes are subpaths of the piece's own path and come before its outline. As one path a piece stays
whole when somebody moves it in the cutter's program, and a cutter that follows the file cuts what
lies inside while the piece is still held by the cloth around it.
"""

from __future__ import annotations

from itertools import chain
from typing import TYPE_CHECKING

import numpy as np

from piecewright.cutting.formats.svg.document import DECIMALS, document, xml_id
from piecewright.cutting.geometry import straight

if TYPE_CHECKING:
    from collections.abc import Iterator

    from piecewright.cutting.geometry import CurvedRegion, FloatArray
    from piecewright.cutting.mats import MatLayout


def write(layout: MatLayout, title: str) -> bytes:
    """One mat as an SVG file.

    Args:
        layout: The mat; pieces are written in its order, which is the order of cutting.
        title: What the file is, for people; it is not drawn.
    """
    lines = (
        (
            xml_id("piece", piece.id),
            " · ".join(filter(None, (piece.id, piece.fabric, piece.design))),
            _path_data(piece.curve),
        )
        for piece in layout.laid
    )
    return document((layout.width_mm, layout.height_mm), title, ("cuts", "#000000"), lines)


def _path_data(region: CurvedRegion) -> str:
    return " ".join(chain.from_iterable(map(_subpath, (*region.holes, region.exterior))))


def _subpath(curve: FloatArray) -> Iterator[str]:
    numbers = np.round(curve, DECIMALS) + 0.0  # adding 0.0 turns -0.0 into 0.0
    numbers[-1, 3] = numbers[0, 0]  # where the two differ by a hair, rounding must not tear them apart
    yield "M{:.10g},{:.10g}".format(*numbers[0, 0].tolist())
    for line, (x1, y1, x2, y2, x, y) in zip(
        straight(curve).tolist(), numbers[:, 1:].reshape(-1, 6).tolist(), strict=True
    ):
        if line:
            yield f"L{x:.10g},{y:.10g}"
        else:
            yield f"C{x1:.10g},{y1:.10g} {x2:.10g},{y2:.10g} {x:.10g},{y:.10g}"
    yield "Z"
