"""The inspection as a whole: rows for programs, a text for the terminal, a picture for everybody."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from piecewright.cutting.inspection.data import rows_as_data
from piecewright.cutting.inspection.picture import picture
from piecewright.cutting.inspection.text import as_text

if TYPE_CHECKING:
    from piecewright.cutting.design import Design
    from piecewright.cutting.pieces import Understanding
    from piecewright.cutting.units import Show


@dataclass(frozen=True, slots=True, kw_only=True)
class Inspection:
    """What was understood of a design, in three forms.

    Attributes:
        rows: For programs: first the blocks, then the pieces, then the findings; see ``rows_as_data``.
        text: For people at a terminal.
        picture: An SVG file.
    """

    rows: list[dict[str, Any]]
    text: str
    picture: bytes


def inspect(design: Design, understanding: Understanding, *, show: Show = "mm") -> Inspection:
    """Show what was understood of a design.

    Args:
        design: What is sewn.
        understanding: What was found in it.
        show: The shop's unit.
    """
    return Inspection(
        rows=rows_as_data(design, understanding),
        text=as_text(design, understanding, show),
        picture=picture(design, understanding, show),
    )
