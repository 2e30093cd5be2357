"""Words and numbers as a colleague would say them at the cutting table."""

from __future__ import annotations

import colorsys
from typing import TYPE_CHECKING, Final
from urllib.parse import quote

from piecewright.cutting.units import format_length, format_ruled

if TYPE_CHECKING:
    from piecewright.cutting.units import Show

_GREY_SATURATION: Final = 0.12
"""Less saturated colours look grey beside other threads: tried by eye on sewing threads."""

_HALF_TURN: Final = 180

_HUES: Final = (
    (0.03, "red"),
    (0.11, "orange"),
    (0.18, "yellow"),
    (0.45, "green"),
    (0.53, "turquoise"),
    (0.70, "blue"),
    (0.80, "violet"),
    (0.94, "pink"),
    (1.01, "red"),
)
"""Upper end of each hue on the colour circle, 0 to 1."""


def count(number: int, one: str, many: str | None = None) -> str:
    """``1 piece``, ``2 pieces``."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def size(width_mm: float, height_mm: float, show: Show) -> str:
    """Width by height of a design or a piece in the shop's unit."""
    return f"{format_length(width_mm, show).removesuffix(' ' + show)} × {format_length(height_mm, show)}"


def ruled_size(width_mm: float, height_mm: float, show: Show, *, at_least: bool = False) -> str:
    """Width by height of a mat or of fabric, as a ruler shows them; see ``format_ruled``."""
    width, height = (format_ruled(side, show, at_least=at_least) for side in (width_mm, height_mm))
    return f"{width.removesuffix(' ' + show)} × {height}"


def both(length_mm: float, show: Show) -> str:
    """A length to be measured, in the shop's unit, and in the other one for whoever has another ruler."""
    return f"{format_ruled(length_mm, show)} ({format_ruled(length_mm, 'mm' if show == 'in' else 'in')})"


def turn(turned_deg: float, *, mirrored: bool) -> str:
    """How a twin lies: ``turned 90° clockwise``, ``mirrored``, ``mirrored, then turned by half``."""
    degrees = round(turned_deg) % 360
    way = f"{degrees}° clockwise" if degrees < _HALF_TURN else f"{360 - degrees}° anticlockwise"
    turned = f"turned {way if degrees != _HALF_TURN else 'by half'}" if degrees else ""
    return ", then ".join(filter(None, ("mirrored" if mirrored else "", turned)))


def link(file: str) -> str:
    """A relative link to a file beside the sheet, whatever its name."""
    return quote(file, safe="")


def duration(seconds: float) -> str:
    """``about 40 seconds``, ``about 3 minutes``."""
    if seconds < 90:  # noqa: PLR2004 - people count short times in seconds
        return f"about {count(max(5, 5 * round(seconds / 5)), 'second')}"
    return f"about {count(round(seconds / 60), 'minute')}"


def colour_name(colour: str) -> str:
    """A plain English name for ``#rrggbb``, such as ``dark green``; "" if it is no such colour."""
    try:
        red, green, blue = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    except ValueError:
        return ""
    hue, light, saturation = colorsys.rgb_to_hls(red, green, blue)
    if max(red, green, blue) - min(red, green, blue) < _GREY_SATURATION or saturation < _GREY_SATURATION:
        return _grey_name(light)
    name = next(name for end, name in _HUES if hue < end)
    return _shade(name, light)


def _grey_name(light: float) -> str:
    steps = ((0.15, "black"), (0.4, "dark grey"), (0.65, "grey"), (0.92, "light grey"), (1.01, "white"))
    return next(name for end, name in steps if light < end)


def _shade(name: str, light: float) -> str:
    if name in {"orange", "yellow"} and light < 0.43:  # noqa: PLR2004 - dark orange is what people call brown
        return "brown"
    if light < 0.32:  # noqa: PLR2004
        return f"dark {name}"
    return f"light {name}" if light > 0.68 else name  # noqa: PLR2004
