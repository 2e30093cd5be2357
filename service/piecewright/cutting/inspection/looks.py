"""How roles look in the pictures: line style first, so that print and colour-blind eyes tell them too."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from piecewright.cutting.passes import Role


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """How stitches of a role are drawn on the page.

    Attributes:
        colour: ``#rrggbb``, at least 4.5 to 1 against the page (WCAG 2.2, 1.4.3).
        width: Of the line, mm on the page.
        dashes: Lengths of dashes and gaps, mm on the page; "" for a whole line.
        words: What the legend says.
    """

    colour: str
    width: float
    dashes: str
    words: str


PALE: Final = "#b9b3a6"
GROUND: Final = "#f6f3ec"
TINT: Final = "#ffdf9e"
BASE_TINT: Final = "#cfe3ee"

_OTHER: Final = Look(colour="#5e5e66", width=0.18, dashes="", words="not part of a piece")
LOOKS: Final = {
    Role.PLACEMENT: Look(colour="#0b4f9e", width=0.55, dashes="2.4 1.1", words="placement line"),
    Role.TACK_DOWN: Look(colour="#a33b00", width=0.6, dashes="0.01 1.15", words="tack-down"),
    Role.COVER: Look(colour="#146b3a", width=0.35, dashes="", words="cover"),
    Role.UNDERLAY: Look(colour="#6b4a8c", width=0.25, dashes="1.2 0.6 0.2 0.6", words="underlay"),
}


def look_of(role: Role) -> Look:
    """How a role is drawn; those that belong to no piece are all alike."""
    return LOOKS.get(role, _OTHER)


LEGEND: Final = (*LOOKS.values(), _OTHER)
