"""What each way to stitch is good for: the one table that the later stages ask.

A new way to stitch needs a member of `Stitch`, a row here, and the test that tells it in kinds.py.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from piecewright.cutting.passes.values import Stitch

if TYPE_CHECKING:
    from collections.abc import Mapping


@dataclass(frozen=True, slots=True, kw_only=True)
class Traits:
    """What is true of one way to stitch.

    Attributes:
        words: What the sewer calls it, after "sewn as"; "" if there is nothing to say.
        line: It has no width, as placement lines have none; a wandering outline may pass for a meander.
        places: A line that places fabric may be sewn so, also one that was not understood as such.
        firm: It holds a raw edge for good; a drawing's second line is sewn like its first.
        covers: It can lie over a raw edge.
        sides: It has an inner and an outer side; as a tack-down it holds with its inner needle points.
        area: It fills an area, without a direction along which it runs.
    """

    words: str
    line: bool = False
    places: bool = False
    firm: bool = False
    covers: bool = False
    sides: bool = False
    area: bool = False


TRAITS: Final[Mapping[Stitch, Traits]] = MappingProxyType(
    {
        Stitch.SINGLE_RUN: Traits(words="a single run", line=True, places=True),
        Stitch.DOUBLE_RUN: Traits(words="a double run", line=True, places=True, firm=True),
        Stitch.BEAN: Traits(words="bean stitch", line=True, places=True, firm=True),
        Stitch.ZIGZAG: Traits(words="zigzag", places=True, firm=True, covers=True, sides=True),
        Stitch.SATIN: Traits(words="satin stitch", covers=True, sides=True),
        Stitch.BLANKET: Traits(words="blanket stitch", firm=True, covers=True, sides=True),
        Stitch.FILL: Traits(words="fill", area=True),
        Stitch.MEANDER: Traits(words="a meander over the whole piece", line=True, places=True),
        Stitch.MOTIF: Traits(words="a motif stitch", line=True, covers=True),
        Stitch.CROSS_STITCH: Traits(words="cross-stitch", area=True),
        Stitch.UNCLEAR: Traits(words="", line=True),
    }
)

LINES: Final = frozenset(stitch for stitch, one in TRAITS.items() if one.line)
PLACING: Final = frozenset(stitch for stitch, one in TRAITS.items() if one.places)
FIRM: Final = frozenset(stitch for stitch, one in TRAITS.items() if one.firm)
COVERING: Final = frozenset(stitch for stitch, one in TRAITS.items() if one.covers)
ACROSS: Final = frozenset(stitch for stitch, one in TRAITS.items() if one.sides)
AREAS: Final = frozenset(stitch for stitch, one in TRAITS.items() if one.area)
