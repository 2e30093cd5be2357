"""SVG as a renderer shows it that is no part of the program (resvg), and what its colours are worth."""

from __future__ import annotations

import io
from dataclasses import dataclass
from typing import TYPE_CHECKING
from xml.etree.ElementTree import fromstring

import numpy as np
import resvg_py
from PIL import Image

if TYPE_CHECKING:
    from piecewright.cutting.geometry import FloatArray

WHITE = "#ffffff"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rendered:
    """A picture as pixels.

    Attributes:
        rgb: (rows, columns, 3), 0 to 255.
        left: x of its left edge, in the picture's own units.
        top: y of its upper edge.
        scale: Pixels to a unit.
    """

    rgb: FloatArray
    left: float
    top: float
    scale: float

    def at(self, points: FloatArray) -> FloatArray:
        """Colours at points (n, 2) in the picture's own units, (n, 3)."""
        column, row = ((points - (self.left, self.top)) * self.scale).astype(int).T
        return np.asarray(self.rgb[row, column])


def rendered(picture: str, scale: float = 6.0) -> Rendered:
    """Render an SVG element that has a view box; without its texts, since fonts differ.

    Raises:
        ValueError: If it is no SVG.
    """
    x, y, width, _ = map(float, fromstring(picture).attrib["viewBox"].split())  # noqa: S314 - our own
    known = 'xmlns="http://www.w3.org/2000/svg"'
    alone = picture if known in picture else picture.replace("<svg ", f"<svg {known} ", 1)
    data = resvg_py.svg_to_bytes(
        svg_string=alone, width=round(width * scale), dpi=96, background=WHITE, skip_system_fonts=True
    )
    rgb = np.asarray(Image.open(io.BytesIO(bytes(data))).convert("RGB"), dtype=np.float64)
    return Rendered(rgb=rgb, left=x, top=y, scale=rgb.shape[1] / width)


def rgb_of(colour: str) -> FloatArray:
    """``#rgb`` or ``#rrggbb`` as three numbers from 0 to 255."""
    digits = colour.removeprefix("#")
    whole = digits if len(digits) == 6 else "".join(2 * digit for digit in digits)
    return np.array([int(whole[i : i + 2], 16) for i in (0, 2, 4)], dtype=np.float64)


def contrast(one: str, other: str) -> float:
    """Contrast of two colours, 1 to 21. Source: WCAG 2.2, definitions of contrast and of luminance."""

    def luminance(colour: str) -> float:
        part = rgb_of(colour) / 255
        linear = np.where(part <= 0.04045, part / 12.92, ((part + 0.055) / 1.055) ** 2.4)
        return float(linear @ (0.2126, 0.7152, 0.0722))

    lesser, greater = sorted((luminance(one), luminance(other)))
    return (greater + 0.05) / (lesser + 0.05)
