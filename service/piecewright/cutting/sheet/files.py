"""What each file of the job is for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from piecewright.cutting.report import Report

_PURPOSES: Final = {
    "svg": "For the cutter's program.",
    "dxf": "The same as the svg file, for programs that open DXF; take the one that yours reads.",
    "plt": "The same again in HP-GL, for cutters that are sent plotter files.",
    "pen": (
        "Piece letters for a pen in the cutter, on the same mat. Draw them before you cut, with ink that "
        "washes out; never cut this file."
    ),
    "pdf": (
        "Paper templates: for cutting by hand with scissors or a rotary cutter, or for a trial. Print at "
        "100 % and measure the bars at the foot of the page."
    ),
}
_ALONE: Final = {
    "dxf": "For the cutter's program.",
    "plt": "For the cutter: HP-GL, as plotters are sent it.",
}
"""Said where there is no svg file that it could be the same as."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Files:
    """Files of one kind, and what they are for."""

    names: tuple[str, ...]
    purpose: str


def rows(report: Report) -> list[Files]:
    """One row for each kind of file that leaves with the sheet, in the order in which they were written."""
    kinds = dict.fromkeys(file.kind for file in report.files)
    purposes = _PURPOSES if "svg" in kinds else {**_PURPOSES, **_ALONE}
    return [
        Files(names=tuple(file.name for file in report.files if file.kind == kind), purpose=purposes[kind])
        for kind in kinds
    ]
