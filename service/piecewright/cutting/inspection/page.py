"""A page in mm on which a design is drawn to scales of its own; it alone knows the SVG library."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np
from svgwrite import Drawing
from svgwrite.container import Defs, Group, Use
from svgwrite.path import Path
from svgwrite.pattern import Pattern
from svgwrite.shapes import Circle, Rect
from svgwrite.text import Text

from piecewright.cutting.drawing import INK
from piecewright.cutting.plaintext import plain

if TYPE_CHECKING:
    from piecewright.cutting.geometry import BoolArray, FloatArray, Region

__all__ = [
    "Circle",
    "Defs",
    "Group",
    "Path",
    "Pattern",
    "Rect",
    "Use",
    "View",
    "blank",
    "fitted",
    "label",
    "line",
    "paragraph",
    "ring_path",
    "stitches",
]

_LETTER_WIDTH: Final = 0.5
"""Of the font's size, on average in a sans-serif."""


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """From the design's mm to the page's mm.

    Attributes:
        scale: Page mm per design mm.
        shift: Added after scaling.
    """

    scale: float
    shift: tuple[float, float]

    def __call__(self, points: FloatArray) -> FloatArray:
        """Points of the design on the page."""
        return np.asarray(points * self.scale + np.array(self.shift))


def fitted(
    bounds: tuple[float, float, float, float], corner: tuple[float, float], width: float, height: float
) -> View:
    """The view that shows all of a design in the middle of a box on the page."""
    x0, y0, x1, y1 = bounds
    scale = min(width / max(x1 - x0, 1.0), height / max(y1 - y0, 1.0))
    left = corner[0] + (width - (x1 - x0) * scale) / 2
    top = corner[1] + (height - (y1 - y0) * scale) / 2
    return View(scale=scale, shift=(left - x0 * scale, top - y0 * scale))


def blank(width: float, height: float, title: str) -> Drawing:
    """An empty page with a title for screen readers."""
    page = Drawing(size=(f"{width:g}mm", f"{height:g}mm"), viewBox=f"0 0 {width:g} {height:g}", debug=False)
    page.set_desc(title=plain(title))
    page["role"] = "img"
    page["aria-label"] = plain(title)
    page["font-family"] = "sans-serif"
    page.add(page.rect((0, 0), (width, height), fill="#ffffff"))
    return page


def label(text: str, x: float, y: float, size: float, **attributes: str) -> Text:
    """One line of text, whatever it says."""
    return Text(
        plain(text), insert=(f"{x:.2f}", f"{y:.2f}"), font_size=f"{size:g}", **{"fill": INK} | attributes
    )


def wrapped(text: str, width: float, size: float) -> list[str]:
    """Text in lines of at most this width; line breaks and indents of its own are kept."""
    most = max(int(width / (size * _LETTER_WIDTH)), 8)
    lines: list[str] = []
    for line in text.splitlines():
        indent = line[: len(line) - len(line.lstrip())]
        lines += textwrap.wrap(line, most, subsequent_indent=indent, drop_whitespace=True) or [""]
    return lines


def paragraph(text: str, corner: tuple[float, float], width: float, size: float) -> tuple[Group, float]:
    """Several lines of text from a corner on, and where the next may begin."""
    group = Group()
    x, y = corner
    for one in wrapped(text, width, size):
        indent = len(one) - len(one.lstrip())
        group.add(label(one, x + indent * size * _LETTER_WIDTH, y + size, size))
        y += size * 1.35
    return group, y


def stitches(points: FloatArray, breaks: BoolArray, most: int) -> str:
    """Path data through needle points of the page, with at most about this many of them.

    Args:
        points: (n, 2), mm on the page.
        breaks: (n,), True where no stitch leads to the point.
        most: Points are left out evenly beyond this many.
    """
    step = max(1, -(-len(points) // most))
    step += step % 2 == 0  # an even step would keep only one side of a satin
    bounds = np.flatnonzero(breaks).tolist()
    parts = []
    for first, last in zip([0, *bounds], [*bounds, len(points)], strict=True):
        chosen = points[first:last:step]
        if len(chosen) > 1:
            parts.append("M" + "L".join(f"{x:.2f} {y:.2f}" for x, y in chosen.tolist()))
    return "".join(parts)


def ring_path(region: Region, view: View) -> str:
    """Path data of a region's rings."""
    rings = (region.exterior, *region.holes)
    return "".join("M" + "L".join(f"{x:.2f} {y:.2f}" for x, y in view(ring).tolist()) + "Z" for ring in rings)


def line(data: str, colour: str, width: float, dashes: str = "") -> Path:
    """An unfilled line."""
    path = Path(d=data, fill="none", stroke=colour, stroke_width=f"{width:g}")
    path["stroke-linecap"] = "round"
    path["stroke-linejoin"] = "round"
    if dashes:
        path["stroke-dasharray"] = dashes
    return path
