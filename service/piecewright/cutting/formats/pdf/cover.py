"""The first sheet: how to print and read the templates, and the cutting list."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from piecewright.cutting.formats.pdf.canvas import CUT, SEWING, THIN, fitted
from piecewright.cutting.formats.pdf.frame import SMALL_MM
from piecewright.cutting.formats.pdf.plan import LINE_MM, usable
from piecewright.cutting.formats.pdf.spot import counts
from piecewright.cutting.units import format_length

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from piecewright.cutting.formats.pdf.canvas import Canvas
    from piecewright.cutting.formats.pdf.plan import Spot
    from piecewright.cutting.formats.pdf.values import Paper, Template
    from piecewright.cutting.units import Show

_HOW: Final = (
    "Print at 100 %, without fitting to the page. Then measure both bars at the foot of the sheet:",
    "if one is off by more than half a millimetre, change the printer's setting and print again.",
    "Lay a template print side up on the right side of the fabric (a mirrored one on the back), its arrow",
    "along the grain, and cut on the solid line.",
    "A template on several sheets: lay crosses with the same number on each other and paste.",
    "Blades and scissors are sharp: cut away from your hand, close the blade when you lay it down.",
    "The makers' instructions for blades, irons and fusible web, and your local rules, come first.",
)
_LEGEND: Final = ((CUT, "cut line"), (SEWING, "sewing line: here the machine sews the placement line"))
_HOW_MM: Final = 70.0
"""Height of all that stands above the list on the first sheet."""

_HEADING_MM: Final = 8.0
_COLUMNS_MM: Final = (0.0, 16.0, 58.0, 128.0, 168.0)
_HEADINGS: Final = ("Piece", "Size", "Cut", "Design", "Sheet")


def covers(templates: Sequence[Template], paper: Paper) -> list[list[tuple[int, Template]]]:
    """The cutting list dealt over as many sheets as it takes; at least one."""
    _, _, _, height = usable(paper)
    lists: list[list[tuple[int, Template]]] = [[]]
    room = height - _HOW_MM - _HEADING_MM
    for entry in enumerate(templates):
        if room < _entry_mm(entry[1]) and lists[-1]:
            lists.append([])
            room = height - _HEADING_MM
        lists[-1].append(entry)
        room -= _entry_mm(entry[1])
    return lists


def pages_of(sheets: Sequence[Sequence[Spot]], before: int) -> dict[int, str]:
    """On which sheets each template stands, by its index."""
    where: dict[int, list[int]] = {}
    for number, spots in enumerate(sheets, before + 1):
        for spot in spots:
            where.setdefault(spot.template, []).append(number)
    return {
        index: str(pages[0]) if len(pages) == 1 else f"{pages[0]} to {pages[-1]}"
        for index, pages in where.items()
    }


def draw_cover(
    canvas: Canvas,
    paper: Paper,
    entries: Sequence[tuple[int, Template]],
    where: Mapping[int, str],
    show: Show,
    *,
    first: bool,
) -> None:
    """Draw one sheet of the list.

    Args:
        canvas: Where.
        paper: Its size.
        entries: Index and template of each line.
        where: On which sheets a template stands, by its index.
        show: The unit in which the shop reads lengths.
        first: Whether the instructions stand above the list.
    """
    left, top, _, _ = usable(paper)
    y = top
    if first:
        _draw_how(canvas, (left, top))
        y += _HOW_MM
    for x, heading in zip(_COLUMNS_MM, _HEADINGS, strict=True):
        canvas.words(heading, (left + x, y + LINE_MM), SMALL_MM, bold=True)
    y += _HEADING_MM
    for index, template in entries:
        _draw_entry(canvas, (left, y), template, where[index], show)
        y += _entry_mm(template)


def _draw_how(canvas: Canvas, place: tuple[float, float]) -> None:
    x, y = place
    canvas.words("Paper templates", (x, y + 8), 7.0, bold=True)
    for number, text in enumerate(_HOW):
        canvas.words(text, (x, y + 16 + number * (LINE_MM + 0.8)), SMALL_MM)
    y += 54
    for number, (pen, text) in enumerate(_LEGEND):
        canvas.line((x, y + number * 6 - 1), (x + 14, y + number * 6 - 1), THIN if pen is CUT else pen)
        canvas.words(text, (x + 18, y + number * 6), SMALL_MM)


def _entry_mm(template: Template) -> float:
    return LINE_MM * max(1, len(template.counts)) + 1.5


def _draw_entry(
    canvas: Canvas, place: tuple[float, float], template: Template, sheets: str, show: Show
) -> None:
    x, y = place[0], place[1] + LINE_MM - 1
    width, height = (format_length(size, show) for size in template.size_mm)
    cells = (template.piece, f"{width} × {height}", "", template.design, sheets)
    ends = (*_COLUMNS_MM[1:], _COLUMNS_MM[-1] + 22)
    for column, end, text in zip(_COLUMNS_MM, ends, cells, strict=True):
        canvas.words(fitted(text, end - column - 2, SMALL_MM), (x + column, y), SMALL_MM)
    for number, text in enumerate(counts(template)):
        room = _COLUMNS_MM[3] - _COLUMNS_MM[2] - 2
        canvas.words(fitted(text, room, SMALL_MM), (x + _COLUMNS_MM[2], y + number * LINE_MM), SMALL_MM)
