"""Reading our own templates back: a small reader of PDF content that shares nothing with the writer.

A page's content is a row of operands and operators; this reader follows those that move, draw and clip
lines, and tells cut lines from all others by their width.
Source of the operators: ISO 32000-1, 8.4 and 8.5.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from piecewright.cutting.errors import SelfCheckFailed
from piecewright.cutting.geometry import flatten, frozen
from piecewright.cutting.units import MM_PER_INCH, POINTS_PER_INCH

if TYPE_CHECKING:
    from collections.abc import Iterator

    from piecewright.cutting.geometry import FloatArray

_CUT_LINE_MM: Final = 0.35
_WIDTH_DIFFERS_MM: Final = 0.001
_FLAT_WITHIN_MM: Final = 0.001
"""So fine that flattening hardly counts beside the tolerance of the check."""

_OBJECT: Final = re.compile(rb"(\d+) 0 obj(.*?)endobj", re.DOTALL)
_STREAM: Final = re.compile(rb"stream\r?\n(.*?)\r?\nendstream", re.DOTALL)
_TOKEN: Final = re.compile(r"\((?:\\.|[^\\()])*\)|[\[\]]|/[^\s/\[\]()]+|[-+.\d]+|[A-Za-z'\"*]+", re.DOTALL)
_NUMBER: Final = re.compile(r"[-+]?(\d+\.?\d*|\.\d+)")

_CLIPPING: Final = {"W", "W*"}
_STROKING: Final = {"S", "s", "B", "B*", "b", "b*"}
_OTHER_PAINTING: Final = {"n", "f", "F", "f*"}

Cubic = tuple[complex, complex, complex, complex]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shown:
    """A template, or the part of one, on a sheet.

    Attributes:
        lines: Its cut lines, (n, 2) mm from the upper left corner of the paper, y down.
        window: x, y, width and height of the part of the sheet that shows it; None if all is shown.
    """

    lines: tuple[FloatArray, ...]
    window: tuple[float, float, float, float] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class _State:
    scale: complex = 1 + 0j
    origin: complex = 0j
    width: float = 1.0
    dashed: bool = False
    window: tuple[complex, complex] | None = None


def read_back(data: bytes) -> tuple[Shown, ...]:
    """All cut lines of a file, in the order of its sheets.

    Raises:
        SelfCheckFailed: If the file cannot be followed.
    """
    objects = {int(number): body for number, body in _OBJECT.findall(data)}
    return tuple(
        shown
        for height, content in _pages(objects)
        for shown in _Sheet(height).read(content.decode("latin-1"))
    )


def _pages(objects: dict[int, bytes]) -> Iterator[tuple[float, bytes]]:
    """Height in points and content of each page."""
    tree = next(body for body in objects.values() if re.search(rb"/Type\s*/Pages\b", body))
    kids = re.search(rb"/Kids\s*\[([^\]]*)\]", tree)
    if kids is None:
        message = "The PDF file has no pages."
        raise SelfCheckFailed(message)
    for number in re.findall(rb"(\d+) 0 R", kids[1]):
        page = objects[int(number)]
        box = re.search(rb"/MediaBox\s*\[([^\]]*)\]", page)
        content = re.search(rb"/Contents\s+(\d+) 0 R", page)
        stream = _STREAM.search(objects[int(content[1])]) if content else None
        if box is None or stream is None:
            message = "A page of the PDF file is empty."
            raise SelfCheckFailed(message)
        yield float(box[1].split()[3]), stream[1]


class _Sheet:
    """Follows the content of one page; points are complex numbers, in PDF units, until they leave."""

    def __init__(self, height: float) -> None:
        self._height = height
        self._state = _State()
        self._kept: list[_State] = []
        self._lines: list[list[Cubic]] = []
        self._here = 0j
        self._shown: list[Shown] = []

    def read(self, content: str) -> list[Shown]:
        operands: list[float] = []
        for token in _TOKEN.findall(content):
            if _NUMBER.fullmatch(token):
                operands.append(float(token))
            elif token[0] in "(/[]":
                continue
            else:
                self._do(token, operands)
                operands = []
        return self._shown

    def _do(self, operator: str, operands: list[float]) -> None:
        if operator in {"q", "Q"}:
            self._keep(operator)
        elif operator in {"cm", "w", "d"}:
            self._set(operator, operands)
        elif operator in {"m", "l", "c", "h", "re"}:
            self._draw(operator, operands)
        elif operator in _CLIPPING | _STROKING | _OTHER_PAINTING:
            self._paint(operator)

    def _keep(self, operator: str) -> None:
        if operator == "q":
            self._kept.append(self._state)
        else:
            self._state = self._kept.pop()

    def _set(self, operator: str, operands: list[float]) -> None:
        if operator == "w":
            self._state = replace(self._state, width=operands[0])
        elif operator == "d":
            self._state = replace(self._state, dashed=len(operands) > 1)  # the last one is the phase
        else:
            a, b, c, d, x, y = operands
            upright = (a, b) == (d, -c)
            SelfCheckFailed.unless(upright, "The PDF file stretches what it draws.")
            moved = self._state.origin + self._state.scale * complex(x, y)
            self._state = replace(self._state, scale=self._state.scale * complex(a, b), origin=moved)

    def _draw(self, operator: str, operands: list[float]) -> None:
        points = [self._at(x, y) for x, y in zip(operands[::2], operands[1::2], strict=True)]
        if operator == "re":
            x, y, width, height = operands
            corners = [(x + width, y), (x + width, y + height), (x, y + height), (x, y)]
            self._lines.append([])
            self._here = self._at(x, y)
            for corner in corners:
                self._straight(self._at(*corner))
        elif operator == "m":
            self._lines.append([])
            self._here = points[0]
        elif operator == "l":
            self._straight(points[0])
        elif operator == "c":
            self._lines[-1].append((self._here, points[0], points[1], points[2]))
            self._here = points[2]
        elif self._lines[-1][0][0] != self._here:
            self._straight(self._lines[-1][0][0])

    def _straight(self, end: complex) -> None:
        step = (end - self._here) / 3
        self._lines[-1].append((self._here, self._here + step, self._here + 2 * step, end))
        self._here = end

    def _at(self, x: float, y: float) -> complex:
        return self._state.origin + self._state.scale * complex(x, y)

    def _paint(self, operator: str) -> None:
        if operator in _CLIPPING:
            corners = [cubic[0] for cubic in self._lines[-1]]
            self._state = replace(self._state, window=(min(corners, key=_sum), max(corners, key=_sum)))
            return
        width_mm = self._state.width * abs(self._state.scale) * MM_PER_INCH / POINTS_PER_INCH
        stroked = operator in _STROKING and not self._state.dashed
        if stroked and abs(width_mm - _CUT_LINE_MM) < _WIDTH_DIFFERS_MM:
            self._shown.append(Shown(lines=tuple(map(self._ring, self._lines)), window=self._window()))
        self._lines = []

    def _ring(self, line: list[Cubic]) -> FloatArray:
        closed = bool(line) and line[0][0] == line[-1][3]
        SelfCheckFailed.unless(closed, "A cut line of the PDF file is not closed.")
        return flatten(frozen([[self._mm(point) for point in cubic] for cubic in line]), _FLAT_WITHIN_MM)

    def _window(self) -> tuple[float, float, float, float] | None:
        if self._state.window is None:
            return None
        (left, bottom), (right, top) = map(self._mm, self._state.window)
        return (left, top, right - left, bottom - top)

    def _mm(self, point: complex) -> tuple[float, float]:
        mm = MM_PER_INCH / POINTS_PER_INCH
        return (point.real * mm, (self._height - point.imag) * mm)


def _sum(point: complex) -> float:
    return point.real + point.imag
