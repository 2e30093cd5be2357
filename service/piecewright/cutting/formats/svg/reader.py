"""Reading our own SVG files back: a small reader that shares nothing with the writer.

It knows what the files may hold and refuses all else, so that nothing can slip in that a blade
would follow.
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.errors import SelfCheckFailed
from piecewright.cutting.geometry import flatten, frozen

if TYPE_CHECKING:
    from collections.abc import Iterator

    from piecewright.cutting.geometry import FloatArray

_DRAWN: Final = {"path"}
_SILENT: Final = {"svg", "g", "title", "defs"}
_MOVING: Final = {"transform", "style"}
_NUMBERS: Final = {"M": 2, "L": 2, "C": 6, "Z": 0}
_COMMAND: Final = re.compile(r"([A-Za-z])([^A-Za-z]*)")
_FLAT_WITHIN_MM: Final = 0.001
"""So fine that flattening hardly counts beside the tolerance of the check."""

_SCALE_DIFFERS: Final = 1e-4
"""Share by which the scales of x and y may differ: three decimals of a 10 mm page."""


def read_back(data: bytes) -> tuple[FloatArray, ...]:
    """The closed lines of a cut file in the order of the file, (n, 2) mm from the mat's upper left.

    Raises:
        SelfCheckFailed: If it holds anything but closed paths at one scale.
    """
    lines = []
    for scale, path in _paths(data):
        for closed, segments in _subpaths(path):
            SelfCheckFailed.unless(closed, "A line of the SVG file is not closed.")
            lines.append(flatten(segments * scale, _FLAT_WITHIN_MM))
    return tuple(lines)


def read_pen(data: bytes) -> tuple[FloatArray, ...]:
    """The open lines of a pen file, (n, 2) mm.

    Raises:
        SelfCheckFailed: If it holds anything but open paths at one scale.
    """
    lines = []
    for scale, path in _paths(data):
        for closed, segments in _subpaths(path):
            SelfCheckFailed.unless(not closed, "A pen line is closed.")
            lines.append(np.vstack([segments[0, :1], segments[:, 3]]) * scale)
    return tuple(lines)


def _paths(data: bytes) -> Iterator[tuple[float, str]]:
    root = ET.fromstring(data)  # noqa: S314 - reads only what the writer has just made
    scale = _mm_per_user_unit(root)
    for element in root.iter():
        name = element.tag.rpartition("}")[2]
        known = name in _DRAWN | _SILENT and not _MOVING & element.attrib.keys()
        SelfCheckFailed.unless(known, f"An element {name!r} does not belong in a cut file.")
        if name in _DRAWN:
            yield scale, element.attrib["d"]


def _mm_per_user_unit(root: ET.Element) -> float:
    width, height = (float(root.attrib[side].removesuffix("mm")) for side in ("width", "height"))
    left, top, across, down = map(float, root.attrib["viewBox"].split())
    even = not left and not top and abs(width / across - height / down) <= _SCALE_DIFFERS
    SelfCheckFailed.unless(even, "The page of the SVG file is shifted or stretched.")
    return width / across


def _subpaths(data: str) -> Iterator[tuple[bool, FloatArray]]:
    """Each subpath: whether it is closed, and its cubics (m, 4, 2)."""
    segments: list[list[float]] = []
    here = [0.0, 0.0]
    for letter, text in _COMMAND.findall(data):
        numbers = _numbers(letter, text)
        if letter == "M":
            if segments:
                yield False, _cubics(segments)
            segments = []
        elif letter == "Z":
            yield True, _closed(segments)
            segments = []
        elif letter == "C":
            segments.append(here + numbers)
        else:
            segments.append(here + _thirds(here, numbers) + numbers)
        here = numbers[-2:]
    if segments:
        yield False, _cubics(segments)


def _numbers(letter: str, text: str) -> list[float]:
    numbers = [float(number) for number in text.replace(",", " ").split()]
    known = _NUMBERS.get(letter) == len(numbers)
    SelfCheckFailed.unless(known, f"{letter}{text} is no command of a cut file.")
    return numbers


def _thirds(begin: list[float], end: list[float]) -> list[float]:
    """Control points of a straight line."""
    (x0, y0), (x1, y1) = begin, end
    return [(2 * x0 + x1) / 3, (2 * y0 + y1) / 3, (x0 + 2 * x1) / 3, (y0 + 2 * y1) / 3]


def _closed(segments: list[list[float]]) -> FloatArray:
    meets = bool(segments) and segments[0][:2] == segments[-1][-2:]
    SelfCheckFailed.unless(meets, "A line of the SVG file does not end where it starts.")
    return _cubics(segments)


def _cubics(segments: list[list[float]]) -> FloatArray:
    return frozen(segments).reshape(-1, 4, 2)
