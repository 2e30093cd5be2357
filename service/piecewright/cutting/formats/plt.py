"""Mats as HP-GL for cutters that read plotter files: straight strokes in steps of 0.025 mm, y up.

Terms: a *plotter unit* is 0.025 mm, 40 to the millimetre; pen 1 is whatever the cutter holds. The
mat's lower left corner is the origin. Holes come before the outline that they lie in.
Source: HP-GL, Hewlett-Packard's graphics language for plotters: IN, SP, PA, PU and PD with absolute
coordinates in plotter units of 0.025 mm (for instance HP 7475A Interfacing and Programming Manual,
chapter 1 and 4; the values are from memory).

Nothing of a name is written: the language has commands in plain letters, and some machines take a
comment for one.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.errors import SelfCheckFailed
from piecewright.cutting.geometry import flatten, frozen
from piecewright.cutting.units import MM_PER_PLOTTER_UNIT

if TYPE_CHECKING:
    from collections.abc import Iterator

    from piecewright.cutting.geometry import FloatArray
    from piecewright.cutting.mats import MatLayout

_FLAT_WITHIN_MM: Final = 0.0015
"""Rounding to plotter units costs up to 0.0177 mm at a corner; both together stay under 0.02 mm."""

_PAIRS_A_COMMAND: Final = 50
"""Old cutters hold little more than a kilobyte of one command."""

_COMMAND: Final = re.compile(r"([A-Z]{2})([-0-9,]*);")


def write(layout: MatLayout) -> bytes:
    """One mat as an HP-GL file; pieces are written in its order, which is the order of cutting."""
    commands = ["IN", "PA", "SP1"]
    for piece in layout.laid:
        for curve in (*piece.curve.holes, piece.curve.exterior):
            commands += _strokes(_units(flatten(curve, _FLAT_WITHIN_MM), layout.height_mm))
    commands += ["PU0,0", "SP0"]
    return (";\n".join(commands) + ";\n").encode("ascii")


def _units(ring: FloatArray, height_mm: float) -> list[tuple[int, int]]:
    """Corners in plotter units, none twice in a row, the first again at the end."""
    upright = np.stack([ring[:, 0], height_mm - ring[:, 1]], axis=1)
    steps = np.rint(upright / MM_PER_PLOTTER_UNIT).astype(np.int64)
    moved = np.any(steps != np.roll(steps, 1, axis=0), axis=1)
    moved[0] |= not moved.any()
    corners = [(x, y) for x, y in steps[moved].tolist()]
    return [*corners, *corners[:1]]


def _strokes(corners: list[tuple[int, int]]) -> Iterator[str]:
    yield f"PU{corners[0][0]},{corners[0][1]}"
    for first in range(1, len(corners), _PAIRS_A_COMMAND):
        yield "PD" + ",".join(f"{x},{y}" for x, y in corners[first : first + _PAIRS_A_COMMAND])


def read_back(data: bytes, height_mm: float) -> tuple[FloatArray, ...]:
    """The closed lines of a cut file in its order, (n, 2) mm from the mat's upper left, y down.

    Args:
        data: The file.
        height_mm: Of the mat.

    Raises:
        SelfCheckFailed: If it holds anything but closed lines.
    """
    text = data.decode("ascii").replace("\n", "")
    SelfCheckFailed.unless(not _COMMAND.sub("", text), "The HP-GL file holds more than commands.")
    lines: list[list[tuple[float, float]]] = []
    for name, numbers in _COMMAND.findall(text):
        if name == "PU":
            lines.append(_pairs(numbers))
        elif name == "PD":
            lines[-1] += _pairs(numbers)
        else:
            known = name in {"IN", "PA", "SP"}
            SelfCheckFailed.unless(known, f"The command {name} does not belong in a cut file.")
    return tuple(_ring(line, height_mm) for line in lines if len(line) > 1)


def _pairs(numbers: str) -> list[tuple[float, float]]:
    values = [int(number) * MM_PER_PLOTTER_UNIT for number in numbers.split(",")]
    return list(zip(values[::2], values[1::2], strict=True))


def _ring(line: list[tuple[float, float]], height_mm: float) -> FloatArray:
    SelfCheckFailed.unless(line[0] == line[-1], "A line of the HP-GL file is not closed.")
    return frozen(np.array(line[:-1]) * (1, -1) + (0, height_mm))
