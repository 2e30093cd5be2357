"""What both kinds of SVG file share: the page at its true size and one group of lines on it."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

import svgwrite

from piecewright.cutting.plaintext import plain

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

DECIMALS: Final = 3
"""A thousandth of a mm: far finer than any cutter's step, and no file grows fat by it."""

_HAIRLINE_MM: Final = 0.1
"""Thin enough that its middle and its rims are one to the eye, thick enough for every screen."""

Line = tuple[str, str, str]
"""Id of a path, its title, its data."""


def document(
    size_mm: tuple[float, float], title: str, group: tuple[str, str], lines: Iterable[Line]
) -> bytes:
    """A page with one group of paths.

    Args:
        size_mm: Width and height.
        title: What the file is, for people; it is not drawn.
        group: Id and colour of the group.
        lines: Its paths.
    """
    width, height = map(number, size_mm)
    drawing = svgwrite.Drawing(
        size=(f"{width}mm", f"{height}mm"), viewBox=f"0 0 {width} {height}", debug=False
    )
    drawing.set_desc(title=plain(title))
    drawing.add(_group(drawing, group, list(lines)))
    text: str = drawing.tostring()
    return f'<?xml version="1.0" encoding="utf-8"?>\n{text}\n'.encode()


def _group(drawing: svgwrite.Drawing, group: tuple[str, str], lines: Sequence[Line]) -> object:
    name, colour = group
    parts = drawing.g(id=name, fill="none", fill_rule="evenodd", stroke=colour, stroke_width=_HAIRLINE_MM)
    for key, title, data in lines:
        path = drawing.path(d=data, id=key)
        path.set_desc(title=plain(title))
        parts.add(path)
    return parts


def xml_id(kind: str, text: str) -> str:
    """An XML name (XML 1.0, production 5): ids of pieces may begin with a digit, names may not."""
    return f"{kind}-" + re.sub(r"[^A-Za-z0-9._-]", "_", text)


def number(value: float) -> str:
    """A length in mm as the file says it."""
    return f"{round(value, DECIMALS) + 0.0:.10g}"  # adding 0.0 turns -0.0 into 0.0
