"""One template on its sheet: lines, letter, grain, caption, and what joins tiles."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from piecewright.cutting.formats.pdf.canvas import CUT, FAINT, FRAME, SEWING, THIN, fitted
from piecewright.cutting.formats.pdf.frame import SMALL_MM
from piecewright.cutting.formats.pdf.plan import LINE_MM, OVERLAP_MM
from piecewright.cutting.geometry import bounds, roomiest_point, transformed

if TYPE_CHECKING:
    from collections.abc import Iterator

    from piecewright.cutting.formats.pdf.canvas import Canvas
    from piecewright.cutting.formats.pdf.plan import Box, Spot
    from piecewright.cutting.formats.pdf.values import Template
    from piecewright.cutting.geometry import CurvedRegion

_LEAST_ROOM_MM: Final = 4.0
"""In a smaller disc a letter and an arrow only hide the lines; the caption names the piece."""

_TALLEST_MM: Final = 12.0
_LONGEST_ARROW_MM: Final = 40.0
_ARROW_HEAD_MM: Final = 1.6
_CROSS_MM: Final = 3.0
_CAPTION_MM: Final = 58.0


def draw_spot(canvas: Canvas, template: Template, spot: Spot) -> None:
    """Draw a template, or the part of it that this sheet shows."""
    if spot.window is None:
        _draw_template(canvas, template, spot)
        _draw_caption(canvas, template, spot)
        return
    with canvas.window(spot.window):
        _draw_template(canvas, template, spot)
        for cross in spot.crosses:
            _draw_cross(canvas, (cross.x + spot.x_mm, cross.y + spot.y_mm), str(cross.number))
    _draw_joins(canvas, spot, spot.window)
    _draw_tile_caption(canvas, template, spot, spot.window)


def _draw_template(canvas: Canvas, template: Template, spot: Spot) -> None:
    canvas.region(_placed(template.cut, spot), CUT)
    if template.line:
        canvas.region(_placed(template.line, spot), SEWING)
    x, y, radius = roomiest_point(_placed(template.cut, spot))
    if radius < _LEAST_ROOM_MM:
        return
    tall = min(_TALLEST_MM, radius / max(1, len(template.piece)))
    # letter and arrow share the disc: side by side, or one above the other where the arrow lies across
    aside = (0.0, radius / 2) if spot.turned else (radius / 2, 0.0)
    base = y - aside[1] * 0.6 + tall * 0.35
    canvas.words(template.piece, (x - aside[0] * 0.6, base), tall, bold=True, middle=True)
    long = min(_LONGEST_ARROW_MM, radius)
    _draw_grain(canvas, (x + aside[0], y + aside[1]), long, across=spot.turned)


def _placed(region: CurvedRegion, spot: Spot) -> CurvedRegion:
    return transformed(region, 90.0 if spot.turned else 0.0, False, spot.x_mm, spot.y_mm)


def _draw_grain(canvas: Canvas, middle: tuple[float, float], long: float, *, across: bool) -> None:
    """An arrow with two heads, along the height of the design."""
    x, y = middle
    head = _ARROW_HEAD_MM

    def at(along: float, aside: float) -> tuple[float, float]:
        return (x + along, y + aside) if across else (x + aside, y + along)

    canvas.line(at(-long / 2, 0), at(long / 2, 0), THIN)
    for end, back in ((-long / 2, head), (long / 2, -head)):
        for aside in (-head / 2, head / 2):
            canvas.line(at(end, 0), at(end + back, aside), THIN)


def _draw_caption(canvas: Canvas, template: Template, spot: Spot) -> None:
    x, _, right, bottom = bounds(_placed(template.cut, spot))
    if template.line:  # of a piece that is cut inside its line, the line lies lower
        bottom = max(bottom, bounds(_placed(template.line, spot))[3])
    room = max(right - x, _CAPTION_MM)
    for number, text in enumerate(_caption(template), 1):
        place = (x, bottom + number * LINE_MM)
        canvas.words(fitted(text, room, SMALL_MM), place, SMALL_MM, bold=number == 1)


def _caption(template: Template) -> Iterator[str]:
    yield f"{template.piece} · {template.design}" + (" · base layer" if template.base else "")
    yield from counts(template)
    if template.face_down:
        yield "Mirrored: lay it on the back of the fabric."


def counts(template: Template) -> Iterator[str]:
    """How many are cut, a line for each fabric."""
    for fabric, count in template.counts:
        yield f"Cut {count} of {fabric}" if fabric else f"Cut {count}"


def _draw_cross(canvas: Canvas, middle: tuple[float, float], number: str) -> None:
    x, y = middle
    canvas.line((x - _CROSS_MM, y), (x + _CROSS_MM, y), THIN)
    canvas.line((x, y - _CROSS_MM), (x, y + _CROSS_MM), THIN)
    canvas.words(number, (x + 0.8, y - 0.8), SMALL_MM, bold=True)


def _draw_joins(canvas: Canvas, spot: Spot, window: Box) -> None:
    """The edge of the window, and faintly how far the neighbours reach over it."""
    x, y, width, height = window
    row, column, rows, columns = spot.tile or (1, 1, 1, 1)
    canvas.box(window, FRAME)
    verticals = [x + OVERLAP_MM] * (column > 1) + [x + width - OVERLAP_MM] * (column < columns)
    for at in verticals:
        canvas.line((at, y), (at, y + height), FAINT)
    for at in [y + OVERLAP_MM] * (row > 1) + [y + height - OVERLAP_MM] * (row < rows):
        canvas.line((x, at), (x + width, at), FAINT)


def _draw_tile_caption(canvas: Canvas, template: Template, spot: Spot, window: Box) -> None:
    x, y, width, _ = window
    row, column, rows, columns = spot.tile or (1, 1, 1, 1)
    text = " · ".join([f"Row {row} of {rows}, column {column} of {columns}", *_caption(template)])
    canvas.words(fitted(text, width, SMALL_MM), (x, y - 1.5), SMALL_MM)
