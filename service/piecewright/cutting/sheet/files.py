"""What each file of the job is for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from piecewright.cutting.report import Report

_FOR_CUTTERS: Final = {
    "svg": "the cutter's program",
    "dxf": "programs that open DXF; take the one that yours reads",
    "plt": "cutters that are sent plotter files (HP-GL)",
}
"""For whom each format of a mat is; whatever the formats, all say the same."""

_FOR_PEOPLE: Final = {
    "pen": (
        "Piece letters for a pen in the cutter, on the same mat. Draw them before you cut, with ink that "
        "washes out; never cut this file."
    ),
    "pdf": (
        "Paper templates: for cutting by hand with scissors or a rotary cutter, or for a trial. Print at "
        "100 % and measure the bars at the foot of the page."
    ),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Files:
    """Files of one kind, and what they are for."""

    names: tuple[str, ...]
    purpose: str


def rows(report: Report) -> list[Files]:
    """One row for each kind of file that leaves with the sheet, in the order in which they were written."""
    kinds = dict.fromkeys(file.kind for file in report.files)
    first = next((kind for kind in kinds if kind in _FOR_CUTTERS), "")
    return [
        Files(
            names=tuple(file.name for file in report.files if file.kind == kind),
            purpose=_purpose(kind, first=kind == first),
        )
        for kind in kinds
    ]


def _purpose(kind: str, *, first: bool) -> str:
    if kind in _FOR_CUTTERS:
        return f"For {_FOR_CUTTERS[kind]}." if first else f"The same, for {_FOR_CUTTERS[kind]}."
    return _FOR_PEOPLE[kind]
