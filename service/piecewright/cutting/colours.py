"""Colours of threads and fabrics: whether a text is one, and how light it is."""

from __future__ import annotations

import re
from typing import Final

_COLOUR: Final = re.compile(r"#[0-9a-fA-F]{6}")


def is_colour(text: str | None) -> bool:
    """Whether a text is ``#rrggbb`` and nothing else, so that it may stand in a page as it is."""
    return text is not None and _COLOUR.fullmatch(text) is not None


def luminance(colour: str) -> float:
    """Relative luminance of ``#rrggbb``, 0 to 1. Source: WCAG 2.2, definition of relative luminance."""
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]  # noqa: PLR2004
    return sum(weight * c for weight, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True))
