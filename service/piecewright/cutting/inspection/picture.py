"""The inspection as a page: the design with its pieces lettered, a panel for each block, what to look at."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Final

from piecewright.cutting.drawing import FAINT_LINE, INK, is_faint, thread_colour
from piecewright.cutting.findings import message_of
from piecewright.cutting.geometry import difference, largest, roomiest_point
from piecewright.cutting.inspection import page as on_page
from piecewright.cutting.inspection.looks import BASE_TINT, GROUND, LEGEND, LOOKS, PALE, TINT
from piecewright.cutting.inspection.page import Circle, Group, Path, Pattern, Rect, label, line, paragraph
from piecewright.cutting.inspection.panels import MOST, panels
from piecewright.cutting.inspection.rows import to_look_at
from piecewright.cutting.inspection.text import NOT_RIGHT, as_rules, headline, piece_words
from piecewright.cutting.passes import Role
from piecewright.cutting.plaintext import listing

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.design import Block, Design
    from piecewright.cutting.geometry import Region
    from piecewright.cutting.inspection.page import View
    from piecewright.cutting.pieces import Piece, Understanding
    from piecewright.cutting.units import Show

_WIDTH: Final = 250.0
"""Of the page, mm."""

_EDGE: Final = 8.0
_MAIN: Final = 150.0
"""Width of the box that the whole design is drawn in, and its height at most, mm."""

_ROOM: Final = 6.0

_MAIN_POINTS: Final = 60_000
"""Needle points drawn at most: more do not show at the size of the page, and make it heavy."""

_NOTES: Final = 12
"""Findings told on the page."""


def picture(design: Design, understanding: Understanding, show: Show = "mm") -> bytes:
    """Draw what was understood of a design.

    Args:
        design: What is sewn.
        understanding: What was found in it.
        show: The shop's unit.

    Returns:
        An SVG file; the same for the same input.
    """
    body = Group()
    headed = headline(design, show)
    size = min(5.0, 2 * (_WIDTH - 2 * _EDGE) / len(headed) * 0.95)
    body.add(label(headed, _EDGE, _EDGE + 4, size, font_weight="700"))
    top = _EDGE + 9
    main, main_end = _main(design, understanding, top)
    body.add(main)
    aside, aside_end = _aside(understanding, top, show)
    body.add(aside)
    y = max(main_end, aside_end) + 8
    body.add(label("Block by block; the machine halts between them", _EDGE, y + 4, 4.2, font_weight="700"))
    strip, y = panels(design, understanding, (_EDGE, y + 7), _WIDTH - 2 * _EDGE, show)
    body.add(strip)
    notes, y = _notes(design, understanding, y, show)
    body.add(notes)
    page = on_page.blank(_WIDTH, round(y + _EDGE), _in_words(design, understanding, show))
    page.defs.add(_hatch())
    page.add(body)
    stream = io.StringIO()
    page.write(stream)
    return stream.getvalue().encode()


def _in_words(design: Design, understanding: Understanding, show: Show) -> str:
    pieces = [piece.id for piece in understanding.pieces]
    return f"{headline(design, show)}, " + (f"pieces {listing(pieces)}" if pieces else "no pieces")


def _hatch() -> Pattern:
    pattern = Pattern(id="unsure", size=(2, 2), patternUnits="userSpaceOnUse")
    pattern.add(line("M0 2L2 0M-0.5 0.5L0.5 -0.5M1.5 2.5L2.5 1.5", "#8a5a00", 0.25))
    return pattern


# -- the whole design ---------------------------------------------------------------------------------


def _main(design: Design, understanding: Understanding, top: float) -> tuple[Group, float]:
    group = Group()
    x0, y0, x1, y1 = design.bounds_mm
    inside = _MAIN - 2 * _ROOM
    height = min(inside, max(inside * (y1 - y0) / max(x1 - x0, 1.0), inside / 4))
    box = (_MAIN, round(height + 2 * _ROOM, 2))
    group.add(Rect((_EDGE, top), box, fill=GROUND, stroke=PALE, stroke_width="0.2"))
    view = on_page.fitted(design.bounds_mm, (_EDGE + _ROOM, top + _ROOM), inside, height)
    bottom_up = sorted(understanding.pieces, key=lambda piece: piece.kind != "base")
    for piece in bottom_up:
        group.add(_tint(piece, view))
    share = _MAIN_POINTS / max(design.stitches, 1)
    for block in design.blocks:
        group.add(_in_thread(block, view, max(int(len(block.points) * share), 50)))
    look = LOOKS[Role.PLACEMENT]
    for piece in bottom_up:
        data = on_page.ring_path(piece.line, view)
        group.add(line(data, "#ffffff", look.width * 2.2))
        group.add(line(data, look.colour, look.width, look.dashes))
    for order, piece in enumerate(bottom_up):
        group.add(_badge(piece, view, [later.line for later in bottom_up[order + 1 :]]))
    return group, top + box[1]


def _tint(piece: Piece, view: View) -> Path:
    fill = BASE_TINT if piece.kind == "base" else TINT if piece.cut else "url(#unsure)"
    return Path(d=on_page.ring_path(piece.line, view), fill=fill, fill_rule="evenodd")


def _in_thread(block: Block, view: View, most: int) -> Group:
    group = Group()
    data = on_page.stitches(view(block.points), block.cut_before | block.travel_before, most)
    colour = thread_colour(block)
    if not data:
        return group
    if is_faint(colour):
        group.add(line(data, FAINT_LINE, 0.42))
    group.add(line(data, colour, 0.24))
    return group


def _badge(piece: Piece, view: View, others: Sequence[Region]) -> Group:
    """The piece's letter: a disc for a piece, a box for a base layer, with ? if it is not sure enough.

    Args:
        piece: Whose letter it is.
        view: Where it is drawn.
        others: What lies on the piece; the letter stands beside it.
    """
    free = largest(difference(piece.line, tuple(others))) or piece.line
    x, y, room = roomiest_point(free)
    left, top = view.shift[0] + x * view.scale, view.shift[1] + y * view.scale
    radius = min(max(room * view.scale * 0.8, 1.5), 4.5)
    group = Group()
    unsure = not piece.cut and piece.kind == "applique"
    text = f"{piece.id}?" if unsure else piece.id
    colours = {"fill": "#ffffff" if unsure else INK, "stroke": INK if unsure else "#ffffff"}
    if piece.kind == "base":
        group.add(
            Rect((left - radius, top - radius), (2 * radius, 2 * radius), stroke_width="0.3", **colours)
        )
    else:
        group.add(Circle((left, top), radius, stroke_width="0.4", **colours))
    size = radius * (1.2 if len(text) == 1 else 2.0 / len(text) + 0.2)
    ink = INK if unsure else "#ffffff"
    group.add(label(text, left, top + size * 0.36, size, fill=ink, text_anchor="middle", font_weight="700"))
    return group


# -- beside it ----------------------------------------------------------------------------------------


def _aside(understanding: Understanding, y: float, show: Show) -> tuple[Group, float]:
    """The pieces in words, and the legend."""
    group = Group()
    x, width = _EDGE + _MAIN + 7, _WIDTH - 2 * _EDGE - _MAIN - 7
    group.add(label("Pieces", x, y + 4, 4.2, font_weight="700"))
    y += 6
    shown = understanding.pieces[:14]
    for piece in shown:
        text, y = paragraph(piece_words(piece, understanding, show), (x, y), width, 2.9)
        group.add(text)
        y += 1.2
    if not shown:
        text, y = paragraph("No piece was found: nothing is cut.", (x, y), width, 2.9)
        group.add(text)
    elif len(understanding.pieces) > len(shown):
        group.add(label(f"and {len(understanding.pieces) - len(shown)} more", x, y + 3, 2.9))
        y += 4
    return _legend(group, x, y + 4)


def _legend(group: Group, x: float, y: float) -> tuple[Group, float]:
    group.add(label("Lines in the panels below", x, y + 4, 4.2, font_weight="700"))
    y += 8
    for look in LEGEND:
        group.add(line(f"M{x:g} {y:.2f}L{x + 14:g} {y:.2f}", look.colour, max(look.width, 0.3), look.dashes))
        group.add(label(look.words, x + 17, y + 1.1, 3.1))
        y += 5
    for fill, text in (
        (TINT, "piece, is cut"),
        ("url(#unsure)", "piece?, not sure"),
        (BASE_TINT, "base layer"),
    ):
        group.add(Rect((x, y - 2), (14, 3.6), fill=fill, stroke=INK, stroke_width="0.15"))
        group.add(label(text, x + 17, y + 1.1, 3.1))
        y += 5
    return group, y


# -- what to look at ----------------------------------------------------------------------------------


def _notes(design: Design, understanding: Understanding, y: float, show: Show) -> tuple[Group, float]:
    """What was left out, the findings, and the lines for the rules."""
    group = Group()
    width = _WIDTH - 2 * _EDGE
    sewn = sum(1 for block in design.blocks if len(block.points))
    findings = to_look_at(design, understanding)
    told = [f"{sewn - MOST} more blocks are not drawn here; the table has them."] if sewn > MOST else []
    told += [
        f"{n}. {message_of(alike, show)}\n{alike[0].advice}" for n, alike in enumerate(findings[:_NOTES], 1)
    ]
    if len(findings) > _NOTES:
        told.append(f"and {len(findings) - _NOTES} more, which the table lists")
    if findings:
        group.add(label("Look at this", _EDGE, y + 4, 4.2, font_weight="700"))
        y += 6
    for text in [*told, f"{NOT_RIGHT}\n{as_rules(design, understanding)}"]:
        lines, y = paragraph(text, (_EDGE, y), width, 3.1)
        group.add(lines)
        y += 2
    return group, y
