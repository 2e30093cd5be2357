"""What comes on which sheet of paper: small templates side by side, large ones on tiles."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from piecewright.cutting.geometry import CurvedRegion, Region, frozen, intersects

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from piecewright.cutting.formats.pdf.values import Paper, Template

PAPER_MM: Final[Mapping[Paper, tuple[float, float]]] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""A4: ISO 216. Letter: ANSI/ASME Y14.1, 8.5 x 11 in."""

EDGE_MM: Final = 10.0
"""What printers may leave white; common practice, no source."""

HEAD_MM: Final = 10.0
FOOT_MM: Final = 14.0
"""Room for the line at the top and for the check bars at the bottom."""

OVERLAP_MM: Final = 12.0
"""Two sheets lie on each other this much: room for a cross, a number and some paste."""

LINE_MM: Final = 4.2
"""From one line of a caption to the next."""

_LEAST_CELL_MM: Final = 58.0
"""Width that a caption needs, however small the piece."""

_GAP_MM: Final = 5.0

_RIM_MM: Final = 2.0
"""Between the outermost points of a large template and the edge of its tiles, so that lines stay whole."""

Box = tuple[float, float, float, float]
"""x, y, width, height."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cross:
    """A joining mark: the same number stands on the same spot of two sheets.

    Attributes:
        number: Counted through one template.
        x: In the template's own coordinates, mm.
        y: See ``x``.
    """

    number: int
    x: float
    y: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A template, or a window of it, on a sheet.

    Attributes:
        template: Its index.
        x_mm: Where the origin of the template comes to lie, from the upper left corner of the paper.
        y_mm: See ``x_mm``.
        turned: Whether it is turned by a quarter, clockwise, to fit.
        window: The part of the sheet that shows it, if it is a tile.
        tile: Row, column, rows, columns, from 1.
        crosses: Joining marks on this tile.
    """

    template: int
    x_mm: float
    y_mm: float
    turned: bool = False
    window: Box | None = None
    tile: tuple[int, int, int, int] | None = None
    crosses: tuple[Cross, ...] = ()


def usable(paper: Paper) -> Box:
    """The part of the paper that templates may take."""
    width, height = PAPER_MM[paper]
    return (EDGE_MM, EDGE_MM + HEAD_MM, width - 2 * EDGE_MM, height - 2 * EDGE_MM - HEAD_MM - FOOT_MM)


def caption_mm(template: Template) -> float:
    """Height of what is written under a template."""
    return LINE_MM * (1 + len(template.counts) + int(template.face_down))


def plan(templates: Sequence[Template], paper: Paper) -> list[list[Spot]]:
    """The sheets after the cover: first those that carry whole templates, then the tiles."""
    _, _, width, height = usable(paper)
    whole: list[tuple[int, bool]] = []
    large: list[int] = []
    for index, template in enumerate(templates):
        across, down = template.size_mm
        room = height - caption_mm(template)
        if across <= width and down <= room:
            whole.append((index, False))
        elif down <= width and across <= room:
            whole.append((index, True))
        else:
            large.append(index)
    sheets = _shelves(templates, whole, paper)
    for index in large:
        sheets += ([tile] for tile in _tiles(index, templates[index], paper))
    return sheets


def _shelves(
    templates: Sequence[Template], whole: Sequence[tuple[int, bool]], paper: Paper
) -> list[list[Spot]]:
    """Templates in rows, tall ones first, so that rows waste little; about equal heights keep their order."""
    left, top, width, height = usable(paper)
    cells = [(index, turned, *_cell(templates[index], turned)) for index, turned in whole]
    sheets: list[list[Spot]] = []
    x, y, row = width, height, 0.0
    for index, turned, across, down in sorted(cells, key=lambda cell: -round(cell[3])):
        if x + across > width:  # the row is full
            x, y, row = 0.0, y + row, 0.0
        if y + down > height:  # the sheet is full
            sheets.append([])
            x, y, row = 0.0, 0.0, 0.0
        shift = templates[index].size_mm[1] if turned else 0.0
        sheets[-1].append(Spot(template=index, x_mm=left + x + shift, y_mm=top + y, turned=turned))
        x, row = x + across + _GAP_MM, max(row, down)
    return sheets


def _cell(template: Template, turned: bool) -> tuple[float, float]:
    across, down = template.size_mm[::-1] if turned else template.size_mm
    return max(across, _LEAST_CELL_MM), down + caption_mm(template) + _GAP_MM


def _tiles(index: int, template: Template, paper: Paper) -> Iterator[Spot]:
    left, top, width, height = usable(paper)
    step_x, step_y = width - OVERLAP_MM, height - OVERLAP_MM
    columns, rows = (
        max(1, math.ceil((size + 2 * _RIM_MM - OVERLAP_MM) / step))
        for size, step in zip(template.size_mm, (step_x, step_y), strict=True)
    )
    crosses = _crosses(rows, columns, (width, height))
    for row in range(rows):
        for column in range(columns):
            x, y = column * step_x - _RIM_MM, row * step_y - _RIM_MM
            if _shows(template.cut, (x, y, width, height)):
                yield Spot(
                    template=index,
                    x_mm=left - x,
                    y_mm=top - y,
                    window=(left, top, width, height),
                    tile=(row + 1, column + 1, rows, columns),
                    crosses=tuple(c for c in crosses if x <= c.x <= x + width and y <= c.y <= y + height),
                )


def _crosses(rows: int, columns: int, window: tuple[float, float]) -> list[Cross]:
    """Two in the middle of each overlap, clear of the corners where four sheets meet."""
    width, height = window
    step_x, step_y = width - OVERLAP_MM, height - OVERLAP_MM
    middle = OVERLAP_MM / 2 - _RIM_MM
    places = [
        (column * step_x + middle, row * step_y - _RIM_MM + share * height)
        for row in range(rows)
        for column in range(1, columns)
        for share in (0.25, 0.75)
    ]
    places += [
        (column * step_x - _RIM_MM + share * width, row * step_y + middle)
        for row in range(1, rows)
        for column in range(columns)
        for share in (0.25, 0.75)
    ]
    return [Cross(number=number, x=x, y=y) for number, (x, y) in enumerate(places, 1)]


def _shows(cut: CurvedRegion, window: Box) -> bool:
    x, y, width, height = window
    corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
    return intersects(Region(exterior=frozen(corners)), cut)
