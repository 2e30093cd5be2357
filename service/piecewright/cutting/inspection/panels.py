"""A panel for each block: its stitches over the rest of the design, and in words what it sews."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.drawing import INK, thread_colour
from piecewright.cutting.inspection import page as on_page
from piecewright.cutting.inspection.looks import GROUND, PALE, look_of
from piecewright.cutting.inspection.page import Circle, Defs, Group, Rect, Use, label, line, paragraph
from piecewright.cutting.inspection.rows import table
from piecewright.cutting.inspection.text import row_words
from piecewright.cutting.plaintext import listing
from piecewright.cutting.sheet import words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.design import Block, Design
    from piecewright.cutting.inspection.page import View
    from piecewright.cutting.inspection.rows import Row
    from piecewright.cutting.pieces import Understanding
    from piecewright.cutting.units import Show

IN_A_ROW: Final = 5
MOST: Final = 60
"""More blocks than this only make the page longer; the table has them all."""

_GAP: Final = 4.0
_CAPTION: Final = 15.0
_CAPTION_SIZE: Final = 2.6
_MOST_ROWS: Final = 2
_MOST_LETTERS: Final = 4
_POINTS: Final = 3_000
_GHOST_POINTS: Final = 2_000
"""Needle points drawn at most: more do not show at the size of a panel."""


def panels(
    design: Design, understanding: Understanding, corner: tuple[float, float], width: float, show: Show
) -> tuple[Group, float]:
    """The panels of the first blocks.

    Args:
        design: What is sewn.
        understanding: What was found in it.
        corner: Where the panels begin on the page, mm.
        width: Of all panels side by side.
        show: The shop's unit.

    Returns:
        The panels, and where the page goes on below them.
    """
    group = Group()
    sewn = [block for block in design.blocks if len(block.points)]
    rows = table(design, understanding)
    side = (width - _GAP * (IN_A_ROW - 1)) / IN_A_ROW
    view = on_page.fitted(design.bounds_mm, (2, 2), side - 4, side - 4)
    ghost = line(_ghost(design, view) or "M0 0", PALE, 0.12)
    ghost["id"] = "whole"
    once = Defs()
    once.add(ghost)
    group.add(once)
    for index, block in enumerate(sewn[:MOST]):
        x = corner[0] + index % IN_A_ROW * (side + _GAP)
        y = corner[1] + index // IN_A_ROW * (side + _CAPTION)
        one = Group(transform=f"translate({x:.2f} {y:.2f})")
        one.add(Rect((0, 0), (side, side), fill=GROUND, stroke=PALE, stroke_width="0.2"))
        one.add(Use("#whole"))
        one.add(_stitched(block, understanding, view))
        one.add(_number(block, side))
        one.add(_caption([row for row in rows if row.block == block.number], side, show))
        group.add(one)
    return group, corner[1] + -(-min(len(sewn), MOST) // IN_A_ROW) * (side + _CAPTION)


def _ghost(design: Design, view: View) -> str:
    share = min(1.0, _GHOST_POINTS / max(design.stitches, 1))
    return "".join(
        on_page.stitches(view(b.points), b.cut_before | b.travel_before, max(int(len(b.points) * share), 20))
        for b in design.blocks
        if len(b.points)
    )


def _stitched(block: Block, understanding: Understanding, view: View) -> Group:
    """The block's passes, each in the look of its role; placement lines on top."""
    group = Group()
    passes = [one for one in understanding.passes if one.block == block.number]
    share = min(1.0, _POINTS / max(len(block.points), 1))
    for one in sorted(passes, key=lambda one: look_of(one.role).width):
        look = look_of(one.role)
        for run in one.runs:
            breaks = (block.cut_before | block.travel_before)[run.first : run.last + 1].copy()
            points = view(block.points[run.first : run.last + 1])
            most = max(int(len(points) * share), 20)
            group.add(
                line(on_page.stitches(points, breaks, most) or "M0 0", look.colour, look.width, look.dashes)
            )
    if not passes:
        breaks = np.asarray(block.cut_before | block.travel_before)
        group.add(line(on_page.stitches(view(block.points), breaks, _POINTS) or "M0 0", INK, 0.2))
    return group


def _number(block: Block, side: float) -> Group:
    group = Group()
    text = str(block.number)
    wide = 3.2 + 2.2 * len(text)
    group.add(Rect((0, 0), (wide, 5.6), fill=INK))
    group.add(label(text, wide / 2, 4.2, 4, fill="#ffffff", text_anchor="middle", font_weight="700"))
    group.add(Circle((side - 4, 4), 2.4, fill=thread_colour(block), stroke=INK, stroke_width="0.2"))
    return group


def _caption(rows: Sequence[Row], side: float, show: Show) -> Group:
    group = Group()
    y = side + 0.8
    for row in rows[:_MOST_ROWS]:
        few = len(row.pieces) <= _MOST_LETTERS
        of = (listing(row.pieces) if few else f"{len(row.pieces)} pieces") if row.pieces else ""
        text, y = paragraph(row_words(row, show, of), (0, y), side, _CAPTION_SIZE)
        group.add(text)
    if len(rows) > _MOST_ROWS:
        group.add(
            label(f"and {words.count(len(rows) - _MOST_ROWS, 'other purpose')}", 0, y + 2.4, _CAPTION_SIZE)
        )
    return group
