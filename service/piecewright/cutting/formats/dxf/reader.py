"""Reading our own DXF files back: a small reader that shares nothing with the library that wrote them.

A DXF file is a list of pairs of lines, a group code and its value. In the section of what is drawn
this reader knows closed polylines and refuses all else, so that nothing can slip in that a blade
would follow.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.errors import SelfCheckFailed
from piecewright.cutting.geometry import frozen

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from piecewright.cutting.geometry import FloatArray

_FLAT_WITHIN_MM: Final = 0.001
"""So fine that flattening hardly counts beside the tolerance of the check."""

_X, _Y, _BULGE, _FLAGS, _KIND = "10", "20", "42", "70", "0"
_CLOSED: Final = 1

Pair = tuple[str, str]


def read_back(data: bytes, height_mm: float) -> tuple[FloatArray, ...]:
    """The closed lines of a cut file in its order, (n, 2) mm from the mat's upper left, y down.

    Args:
        data: The file.
        height_mm: Of the mat.

    Raises:
        SelfCheckFailed: If it is cut short or not in mm, or anything but closed polylines is drawn.
    """
    lines = data.decode().split("\n")
    pairs = [(code.strip(), value.strip()) for code, value in zip(lines[::2], lines[1::2], strict=False)]
    SelfCheckFailed.unless((_KIND, "EOF") in pairs, "The DXF file has no end.")
    metric = (("9", "$INSUNITS"), (_FLAGS, "4")) in set(pairwise(pairs))
    SelfCheckFailed.unless(metric, "The DXF file does not say that it is in mm.")
    return tuple(
        frozen(_ring(entity) * (1, -1) + (0, height_mm)) for entity in _entities(_section(pairs, "ENTITIES"))
    )


def _section(pairs: Iterable[Pair], name: str) -> Iterator[Pair]:
    inside = False
    for pair in pairs:
        if pair == (_KIND, "ENDSEC"):
            inside = False
        if inside:
            yield pair
        if pair == ("2", name):
            inside = True


def _entities(pairs: Iterable[Pair]) -> Iterator[list[Pair]]:
    entity: list[Pair] = []
    for pair in pairs:
        if pair[0] == _KIND:
            if entity:
                yield entity
            entity = []
            known = pair[1] == "LWPOLYLINE"
            SelfCheckFailed.unless(known, f"A drawn {pair[1]!r} does not belong in a cut file.")
        entity.append(pair)
    if entity:
        yield entity


def _ring(entity: Iterable[Pair]) -> FloatArray:
    """Corners of the polyline, with points along its arcs."""
    corners: list[list[float]] = []
    flags = 0
    for code, value in entity:
        if code == _FLAGS:
            flags = int(value)
        elif code == _X:
            corners.append([float(value), 0.0, 0.0])
        elif code in {_Y, _BULGE}:
            corners[-1][1 if code == _Y else 2] = float(value)
    SelfCheckFailed.unless(bool(flags & _CLOSED), "A line of the DXF file is not closed.")
    return _with_arcs(np.array(corners))


def _with_arcs(corners: FloatArray) -> FloatArray:
    """Each edge's start and, if it is an arc, points along it; places as complex numbers."""
    begin, bulge = corners[:, 0] + 1j * corners[:, 1], corners[:, 2]
    chord = np.roll(begin, -1) - begin
    arc = bulge != 0
    safe = np.where(arc, bulge, 1.0)
    spoke = -chord / 2 - 1j * chord * (1 - safe**2) / (4 * safe)  # from the centre to the start
    sweep = np.where(arc, 4 * np.arctan(bulge), 0.0)
    step = np.sqrt(8 * _FLAT_WITHIN_MM / np.maximum(np.abs(spoke), _FLAT_WITHIN_MM))  # sagitta: r step^2 / 8
    steps = np.where(arc, np.ceil(np.abs(sweep) / step), 1).astype(np.int64)
    edge = np.repeat(np.arange(len(corners)), steps)
    share = (np.arange(len(edge)) - (np.cumsum(steps) - steps)[edge]) / steps[edge]
    points = begin[edge] + spoke[edge] * (np.exp(1j * sweep[edge] * share) - 1)
    return np.column_stack([points.real, points.imag])
