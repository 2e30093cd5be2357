"""Outlines of printed letters: curves that nobody drew for this program, with corners where they have them.

Source: the Bitstream Vera fonts that come with reportlab, whose outlines are straight lines and quadratic
Béziers, so that they are known exactly. fontTools reads them.

Terms: a *part* is one line or Bézier of an outline; parts that meet without a turn make one section.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import numpy as np
import reportlab
from fontTools.pens.basePen import BasePen
from fontTools.ttLib import TTFont

from tests.analytic_shapes import Shape, along, from_sections

if TYPE_CHECKING:
    from collections.abc import Iterator

    from piecewright.cutting.geometry import FloatArray

FONTS: Final = ("Vera.ttf", "VeraBd.ttf", "VeraIt.ttf", "VeraBI.ttf")
LETTERS: Final = "ABCDGKOPQRSagksef&@?2468"
HEIGHTS_MM: Final = (50.0, 90.0)
SMOOTH_DEG: Final = 6.0
CORNER_DEG: Final = 30.0
"""Turns between these two are neither bend nor corner; no needle points could tell, nor could a sewer."""
SHORTEST_SECTION_MM: Final = 3.6
LEAST_LENGTH_MM: Final = 25.0
_PART_POINTS: Final = 200


@cache
def letters() -> tuple[Shape, ...]:
    """Outlines of letters and of their counters, 8 to 90 mm across, y down."""
    return tuple(shape for font in FONTS for letter in LETTERS for shape in _shapes_of(font, letter))


def _shapes_of(font: str, letter: str) -> Iterator[Shape]:
    for number, outline in enumerate(_outlines(font, letter), 1):
        for height in HEIGHTS_MM:
            shape = _shape(
                f"{font[:-4]} {letter} {number} {height:g} mm", [part * height for part in outline]
            )
            if shape is not None:
                yield shape


def _shape(name: str, parts: list[FloatArray]) -> Shape | None:
    """The outline as sections between corners; None where it is too small or its corners are doubtful."""
    turns = np.array([_turn_deg(parts[k - 1], part) for k, part in enumerate(parts)])
    corners = np.flatnonzero(turns >= CORNER_DEG)
    if np.any((turns > SMOOTH_DEG) & (turns < CORNER_DEG)):
        return None
    first = int(corners[0]) if len(corners) else 0
    groups = np.split(np.arange(len(parts)), np.flatnonzero(np.roll(turns, -first)[1:] >= CORNER_DEG) + 1)
    sections = [np.concatenate([parts[(first + k) % len(parts)] for k in group]) for group in groups]
    lengths = [float(along(section)[-1]) for section in sections]
    if min(lengths) < SHORTEST_SECTION_MM or sum(lengths) < LEAST_LENGTH_MM:
        return None
    return from_sections(name, *sections)


def _turn_deg(before: FloatArray, after: FloatArray) -> float:
    (bx, by), (ax, ay) = before[-1] - before[-2], after[1] - after[0]
    return float(np.degrees(abs(np.arctan2(bx * ay - by * ax, bx * ax + by * ay))))


@cache
def _outlines(font: str, letter: str) -> tuple[tuple[FloatArray, ...], ...]:
    """The closed outlines of a letter as parts, (n, 2) each, in shares of the font's size."""
    read = TTFont(Path(reportlab.__file__).parent / "fonts" / font)
    glyphs = read.getGlyphSet()
    pen = _Parts(glyphs)
    glyphs[read.getBestCmap()[ord(letter)]].draw(pen)
    return tuple(
        tuple(part * (1, -1) / read["head"].unitsPerEm for part in outline) for outline in pen.outlines
    )


class _Parts(BasePen):  # type: ignore[misc]  # fontTools has no types
    """A pen of fontTools that keeps each line and Bézier as dense points."""

    def __init__(self, glyphs: Any) -> None:  # noqa: ANN401 - fontTools has no types
        super().__init__(glyphs)
        self.outlines: list[list[FloatArray]] = []

    def _moveTo(self, pt: tuple[float, float]) -> None:  # noqa: ARG002, N802 - fontTools' names
        self.outlines.append([])

    def _closePath(self) -> None:  # noqa: N802 - fontTools' name
        x, y = self.outlines[-1][0][0]
        self._lineTo((float(x), float(y)))

    def _lineTo(self, pt: tuple[float, float]) -> None:  # noqa: N802 - fontTools' name
        here = self._getCurrentPoint()
        if here != pt:
            self.outlines[-1].append(np.array([here, pt], dtype=float))

    def _qCurveToOne(self, pt1: tuple[float, float], pt2: tuple[float, float]) -> None:  # noqa: N802
        t = np.linspace(0, 1, _PART_POINTS)[:, None]
        a, b, c = (np.array(point, dtype=float) for point in (self._getCurrentPoint(), pt1, pt2))
        self.outlines[-1].append((1 - t) ** 2 * a + 2 * t * (1 - t) * b + t**2 * c)
