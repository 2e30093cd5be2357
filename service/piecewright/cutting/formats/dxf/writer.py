"""Writing: a drawing in mm, y up, with the mat's lower left corner at its origin."""

from __future__ import annotations

import re
from io import StringIO
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.formats.dxf.arcs import polylines
from piecewright.cutting.plaintext import plain

if TYPE_CHECKING:
    from collections.abc import Iterable

    from ezdxf.document import Drawing

    from piecewright.cutting.geometry import FloatArray
    from piecewright.cutting.mats import MatLayout

_MILLIMETRES: Final = 4
"""Value of $INSUNITS (DXF Reference, HEADER section)."""

_METRIC: Final = 1
"""Value of $MEASUREMENT, the same place."""

_DECIMALS: Final = 6
_BULGE_DECIMALS: Final = 9
"""So that the last bits of a processor's arithmetic do not show in the file."""

_MOST_OF_NAME: Final = 60
_FORBIDDEN: Final = re.compile(r'[<>/\\":;?*|=`,]')
_COLOURS: Final = (7, 1, 5, 3, 6, 30, 4, 2)
"""Of the layers, in turn (AutoCAD Color Index): black or white first, then colours that differ."""


def load_library() -> None:
    """Import the DXF library ahead of the first file: it takes half a second."""
    import ezdxf.filemanagement  # noqa: F401, PLC0415 - what ``write`` imports


def write(layout: MatLayout, title: str) -> bytes:
    """One mat as a DXF file of the version R2010, its text in UTF-8.

    Args:
        layout: The mat; pieces are written in its order, holes before outlines.
        title: What the file is, for people; it stands in a comment, where nothing is drawn.
    """
    import ezdxf  # noqa: PLC0415 - takes half a second, which jobs without DXF need not pay
    from ezdxf.filemanagement import new  # noqa: PLC0415 - the same

    options = ezdxf.options  # type: ignore[attr-defined]  # its documented name, though not listed
    fixed_before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True  # no clock and no chance in a file
    try:
        return _text(_drawing(new("R2010", units=_MILLIMETRES), layout), title)
    finally:
        options.write_fixed_meta_data_for_testing = fixed_before


def _drawing(drawing: Drawing, layout: MatLayout) -> Drawing:
    drawing.header["$MEASUREMENT"] = _METRIC
    drawing.header["$LIMMIN"] = drawing.header["$EXTMIN"] = (0, 0, 0)
    drawing.header["$LIMMAX"] = drawing.header["$EXTMAX"] = (layout.width_mm, layout.height_mm, 0)
    space = drawing.modelspace()
    layers = layer_names(piece.fabric for piece in layout.laid)
    for index, name in enumerate(layers.values()):
        drawing.layers.add(name, color=_COLOURS[index % len(_COLOURS)])
    curves = [
        (layers[piece.fabric], curve)
        for piece in layout.laid
        for curve in (*piece.curve.holes, piece.curve.exterior)
    ]
    upright = [_upright(curve, layout.height_mm) for _, curve in curves]
    for (layer, _), corners in zip(curves, polylines(upright), strict=True):
        space.add_lwpolyline(_rounded(corners), format="xyb", close=True, dxfattribs={"layer": layer})
    return drawing


def _text(drawing: Drawing, title: str) -> bytes:
    out = StringIO()
    drawing.write(out)
    return f"999\n{plain(title)}\n{out.getvalue()}".encode()


def _upright(curve: FloatArray, height_mm: float) -> FloatArray:
    return np.stack([curve[..., 0], height_mm - curve[..., 1]], axis=-1)


def _rounded(corners: FloatArray) -> FloatArray:
    places = np.round(corners[:, :2], _DECIMALS)
    bulges = np.round(corners[:, 2:], _BULGE_DECIMALS)
    return np.hstack([places, bulges]) + 0.0  # adding 0.0 turns -0.0 into 0.0


def layer_names(fabrics: Iterable[str]) -> dict[str, str]:
    r"""A layer for each fabric; names that DXF would take for the same one are numbered.

    DXF forbids ``< > / \ " : ; ? * | = ` `` and control characters, sees no difference between capitals
    and small letters, and has layers of its own (``0``, ``Defpoints``): hence the word in front.
    Source: DXF Reference, symbol table names.
    """
    names: dict[str, str] = {}
    taken: set[str] = set()
    for fabric in dict.fromkeys(fabrics):
        wanted = name = " ".join(["cut", *_FORBIDDEN.sub(" ", plain(fabric, _MOST_OF_NAME)).split()])
        number = 2
        while name.casefold() in taken:
            name, number = f"{wanted} {number}", number + 1
        taken.add(name.casefold())
        names[fabric] = name
    return names
