"""Units of length at the edges of the program; inside, everything is in millimetres.

Terms: a *stitch unit* is the 0.1 mm step in which stitch files count.
"""

from __future__ import annotations

import re
from fractions import Fraction
from math import ceil
from typing import TYPE_CHECKING, Final, Literal

from piecewright.cutting.errors import QuantityError

if TYPE_CHECKING:
    from collections.abc import Mapping

MM_PER_STITCH_UNIT: Final = 0.1
"""Stitch files count in tenths of a millimetre."""

MM_PER_INCH: Final = 25.4
"""Exact: the international inch."""

PX_PER_INCH: Final = 96.0
"""CSS reference pixels to the inch (CSS Values and Units 3, section 6.2, absolute lengths)."""

POINTS_PER_INCH: Final = 72.0
"""PDF user space units to the inch (ISO 32000-1, 8.3.2.3)."""

MM_PER_PLOTTER_UNIT: Final = 0.025
"""HP-GL plotter unit."""

Show = Literal["mm", "in"]
"""The unit in which the shop reads lengths."""

_QUANTITY = re.compile(r"^\s*([+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+))\s*([a-z]+)\s*$", re.IGNORECASE)
_MM_PER: Final = {
    "mm": 1.0,
    "cm": 10.0,
    "m": 1000.0,
    "in": MM_PER_INCH,
    "inch": MM_PER_INCH,
    "inches": MM_PER_INCH,
    "yd": 36 * MM_PER_INCH,
}


def parse_length_mm(text: object) -> float:
    """Read a length with its unit, such as ``"1.5 mm"`` or ``"12 in"``.

    Args:
        text: What stands in the rules. A bare number is refused except 0, because nobody
            can tell millimetres from inches by looking at it.

    Returns:
        The length in mm.

    Raises:
        QuantityError: If it is not a number followed by mm, cm, m, in or yd.
    """
    return _quantity(text, _MM_PER, "length", "1.5 mm")


MINUS: Final = "\N{MINUS SIGN}"
"""As people write it; a hyphen would break a line."""


def format_length(length_mm: float, show: Show, *, finer: int = 0) -> str:
    """Write a length for people, to 0.1 mm or a hundredth of an inch.

    It has a real minus sign and no needless zeros.

    Args:
        length_mm: In mm.
        show: The unit in which the shop reads lengths.
        finer: How many digits more than a ruler shows.
    """
    value, digits = (length_mm / MM_PER_INCH, 2) if show == "in" else (length_mm, 1)
    text = f"{value:.{digits + finer}f}".rstrip("0").rstrip(".")
    return f"{'0' if text == '-0' else text.replace('-', MINUS)} {show}"


_SIXTEENTHS: Final = 16
"""Rulers and cutting mats in inches are divided by halves down to this; common practice, no source."""

_AS_GOOD_AS: Final = 0.01
"""Of a sixteenth: what arithmetic leaves over is nothing that a ruler shows."""


def format_ruled(length_mm: float, show: Show, *, at_least: bool = False) -> str:
    """Write a length that people lay a ruler to: to 0.1 mm, or a sixteenth of an inch, as ``5 7/16 in``.

    Args:
        length_mm: In mm, not negative.
        show: The unit in which the shop reads lengths.
        at_least: Whether less would not do, so that inches are rounded up.
    """
    if show == "mm":
        return format_length(length_mm, show)
    exact = length_mm / MM_PER_INCH * _SIXTEENTHS
    whole, rest = divmod(ceil(exact - _AS_GOOD_AS) if at_least else round(exact), _SIXTEENTHS)
    parts = [str(whole)] if whole or not rest else []
    if rest:
        parts.append(str(Fraction(rest, _SIXTEENTHS)))
    return f"{' '.join(parts)} in"


_SECONDS_PER: Final = {"s": 1.0, "min": 60.0, "h": 3600.0, "d": 86400.0}
_BYTES_PER: Final = {"b": 1, "kb": 1000, "mb": 1000**2, "gb": 1000**3}


def parse_seconds(text: object) -> float:
    """Read a duration with its unit, such as ``"5 s"``, ``"2 min"``, ``"1 h"`` or ``"30 d"``; 0 needs none.

    Raises:
        QuantityError: If it is not a number followed by s, min, h or d.
    """
    return _quantity(text, _SECONDS_PER, "duration", "5 s")


def parse_bytes(text: object) -> int:
    """Read a size with its unit, such as ``"4 MB"`` (SI: 1 MB is a million bytes); 0 needs none.

    Raises:
        QuantityError: If it is not a number followed by B, kB, MB or GB.
    """
    return round(_quantity(text, _BYTES_PER, "size", "4 MB"))


def _quantity(text: object, units: Mapping[str, float], what: str, example: str) -> float:
    if isinstance(text, (int, float)) and not isinstance(text, bool) and text == 0:
        return 0.0
    match = _QUANTITY.match(text) if isinstance(text, str) else None
    if match is None or match[2].lower() not in units:
        raise QuantityError(text, what, tuple(units), example)
    return float(match[1].replace(",", ".")) * units[match[2].lower()]
