"""What stands on every sheet: which it is, and two bars that show whether it was printed true to scale."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from piecewright.cutting.formats.pdf.canvas import THIN, fitted, width_mm
from piecewright.cutting.formats.pdf.plan import EDGE_MM, PAPER_MM
from piecewright.cutting.units import MM_PER_INCH

if TYPE_CHECKING:
    from piecewright.cutting.formats.pdf.canvas import Canvas
    from piecewright.cutting.formats.pdf.values import Paper

SMALL_MM: Final = 3.2
_TICK_MM: Final = 2.5
_METRIC_BAR_MM: Final = 50.0
_INCH_BAR_MM: Final = 2 * MM_PER_INCH


def draw_frame(canvas: Canvas, paper: Paper, title: str, page: tuple[int, int]) -> None:
    """Draw the line at the top and the check bars at the bottom.

    Args:
        canvas: Where.
        paper: Its size.
        title: Of the file.
        page: Number of this sheet, and of how many.
    """
    width, height = PAPER_MM[paper]
    right = f"Sheet {page[0]} of {page[1]} · print at 100 %"
    taken = width_mm(right, SMALL_MM)
    room = width - 2 * EDGE_MM - taken - SMALL_MM
    canvas.words(fitted(title, room, SMALL_MM), (EDGE_MM, EDGE_MM + 4), SMALL_MM)
    canvas.words(right, (width - EDGE_MM - taken, EDGE_MM + 4), SMALL_MM)
    base = height - EDGE_MM - 1
    _bar(canvas, (EDGE_MM, base), _METRIC_BAR_MM, "50 mm", 5)
    _bar(canvas, (width - EDGE_MM - _INCH_BAR_MM, base), _INCH_BAR_MM, "2 in", 4)


def _bar(canvas: Canvas, place: tuple[float, float], length: float, label: str, parts: int) -> None:
    x, y = place
    canvas.line((x, y), (x + length, y), THIN)
    for part in range(parts + 1):
        tick = _TICK_MM if part in {0, parts} else _TICK_MM / 2
        at = x + length * part / parts
        canvas.line((at, y), (at, y - tick), THIN)
    canvas.words(f"This bar measures {label}.", (x, y - _TICK_MM - 1.2), SMALL_MM)
