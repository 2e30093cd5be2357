"""The formats in which mats are written: one row each for the writer, the self-check and the tests.

Terms: a *mat format* says how one mat becomes one file, and how the lines of that file are read back.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from piecewright.cutting.formats import dxf, plt, svg

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from piecewright.cutting.geometry import FloatArray
    from piecewright.cutting.mats import MatLayout
    from piecewright.cutting.rules import Writable


@dataclass(frozen=True, slots=True, kw_only=True)
class MatFormat:
    """One format.

    Attributes:
        ending: Of its files' names.
        write: Makes a file of a mat and a title for people.
        read_back: The closed lines of a file of a mat, each (n, 2) mm, y down, in the order of cutting.
    """

    ending: str
    write: Callable[[MatLayout, str], bytes]
    read_back: Callable[[bytes, MatLayout], Sequence[FloatArray]]


MAT_FORMATS: Final[Mapping[Writable, MatFormat]] = {
    "svg": MatFormat(
        ending=".svg",
        write=svg.write,
        read_back=lambda data, _: svg.read_back(data),
    ),
    "dxf": MatFormat(
        ending=".dxf",
        write=dxf.write,
        read_back=lambda data, mat: dxf.read_back(data, mat.height_mm),
    ),
    "plt": MatFormat(
        ending=".plt",
        write=lambda mat, _: plt.write(mat),  # HP-GL has no safe place for a title
        read_back=lambda data, mat: plt.read_back(data, mat.height_mm),
    ),
}
"""By the name that stands in the rules; ``pdf`` is none of them: it shows pieces, not mats."""

PEN_ENDING: Final = "-pen.svg"
"""Of the file with piece letters for a pen."""
