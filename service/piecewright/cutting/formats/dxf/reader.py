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

_FLAT_WITHIN_MM: Final = 0.0005
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
    edges = zip(corners, [*corners[1:], corners[0]], strict=True)
    return np.array([point for begin, end in edges for point in _edge(begin, end)])


def _edge(begin: list[float], end: list[float]) -> Iterator[tuple[float, float]]:
    """The start of an edge and, if it is an arc, points along it, by complex numbers."""
    a, b, bulge = complex(begin[0], begin[1]), complex(end[0], end[1]), begin[2]
    yield a.real, a.imag
    if bulge:
        sweep = 4 * np.arctan(bulge)
        centre = (a + b) / 2 + 1j * (b - a) * (1 - bulge**2) / (4 * bulge)
        step = np.sqrt(8 * _FLAT_WITHIN_MM / abs(a - centre))  # sagitta of a short chord: r step^2 / 8
        for turned in np.linspace(0, sweep, int(abs(sweep) / step) + 2)[1:-1]:
            point = centre + (a - centre) * np.exp(1j * turned)
            yield float(point.real), float(point.imag)
