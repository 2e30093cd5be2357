"""A single-line font of our own: capitals, digits and the dash, as a pen or a person with a ruler draws them.

Terms: a *stroke* is what is drawn without lifting the pen; the *grid* of a character is 4 wide and 6
high, (0, 0) at its upper left. Each point is written as two digits, x and y.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Final

import numpy as np

from piecewright.cutting.geometry import FloatArray, frozen

_STROKES: Final = {
    "A": "06 02 20 42 46/04 44",
    "B": "00 06 36 45 44 33 03/33 42 41 30 00",
    "C": "41 30 10 01 05 16 36 45",
    "D": "00 06 26 44 42 20 00",
    "E": "40 00 06 46/03 33",
    "F": "40 00 06/03 33",
    "G": "41 30 10 01 05 16 36 45 43 23",
    "H": "00 06/40 46/03 43",
    "I": "10 30/20 26/16 36",
    "J": "40 45 36 16 05",
    "K": "00 06/40 03 46",
    "L": "00 06 46",
    "M": "06 00 23 40 46",
    "N": "06 00 46 40",
    "O": "10 01 05 16 36 45 41 30 10",
    "P": "06 00 30 41 42 33 03",
    "Q": "10 01 05 16 36 45 41 30 10/24 46",
    "R": "06 00 30 41 42 33 03/23 46",
    "S": "41 30 10 01 02 13 33 44 45 36 16 05",
    "T": "00 40/20 26",
    "U": "00 05 16 36 45 40",
    "V": "00 26 40",
    "W": "00 16 22 36 40",
    "X": "00 46/40 06",
    "Y": "00 23 40/23 26",
    "Z": "00 40 06 46",
    "0": "10 01 05 16 36 45 41 30 10/14 32",
    "1": "11 20 26/16 36",
    "2": "01 10 30 41 42 06 46",
    "3": "01 10 30 41 42 33 13/33 44 45 36 16 05",
    "4": "36 30 04 44",
    "5": "40 00 02 32 43 45 36 16 05",
    "6": "30 10 01 05 16 36 45 44 33 13 04",
    "7": "00 40 16",
    "8": "13 02 01 10 30 41 42 33 13 04 05 16 36 45 44 33",
    "9": "16 36 45 41 30 10 01 02 13 33 42",
    "-": "13 33",
}
_WIDTH: Final = 4.0
_HEIGHT: Final = 6.0
_ADVANCE: Final = 6.0
"""From one character to the next, a gap of two included."""


@lru_cache(maxsize=1000)
def strokes(text: str) -> tuple[FloatArray, ...]:
    """The strokes of a text one unit high, its middle at (0, 0), y down; each (n, 2).

    Small letters are drawn as capitals; a character that the font does not have is left blank.
    """
    width = _ADVANCE * len(text) - (_ADVANCE - _WIDTH)
    return tuple(
        frozen((_points(stroke) + np.array([_ADVANCE * place - width / 2, -_HEIGHT / 2])) / _HEIGHT)
        for place, character in enumerate(text.upper())
        for stroke in _STROKES.get(character, "").split("/")
        if stroke
    )


def shape_of(text: str) -> tuple[float, float]:
    """Width and height of a text one unit high."""
    return ((_ADVANCE * len(text) - (_ADVANCE - _WIDTH)) / _HEIGHT, 1.0)


def _points(stroke: str) -> FloatArray:
    return np.array([(float(point[0]), float(point[1])) for point in stroke.split()])
