"""Writing the sheets: a cover with the cutting list, then the templates."""

from __future__ import annotations

from typing import TYPE_CHECKING

from piecewright.cutting.formats.pdf.canvas import Canvas
from piecewright.cutting.formats.pdf.cover import covers, draw_cover, pages_of
from piecewright.cutting.formats.pdf.frame import draw_frame
from piecewright.cutting.formats.pdf.plan import PAPER_MM, plan
from piecewright.cutting.formats.pdf.spot import draw_spot

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.formats.pdf.values import Paper, Template
    from piecewright.cutting.units import Show


def write(templates: Sequence[Template], title: str, paper: Paper, show: Show) -> bytes:
    """All templates of a job as a PDF file that is printed at 100 %.

    Args:
        templates: What is cut.
        title: What the file is, for people.
        paper: What it is printed on.
        show: The unit in which the shop reads lengths.
    """
    sheets = plan(templates, paper)
    lists = covers(templates, paper)
    pages = len(lists) + len(sheets)
    where = pages_of(sheets, len(lists))
    canvas = Canvas(PAPER_MM[paper], title)
    for number, entries in enumerate(lists, 1):
        draw_frame(canvas, paper, title, (number, pages))
        draw_cover(canvas, paper, entries, where, show, first=number == 1)
        canvas.next_sheet()
    for number, spots in enumerate(sheets, len(lists) + 1):
        draw_frame(canvas, paper, title, (number, pages))
        for spot in spots:
            draw_spot(canvas, templates[spot.template], spot)
        if number < pages:
            canvas.next_sheet()
    return canvas.finished()
