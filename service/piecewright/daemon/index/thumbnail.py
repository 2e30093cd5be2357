"""A small picture of a job's pieces, made from the outlines in its report."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

SIZE_PX: Final = 64
"""Side of the square into which the picture fits."""

_MOST_PIECES: Final = 60
"""More would be specks."""

Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Thumbnail:
    """SVG paths in a square of 64 px: appliqué pieces, and base layers behind them."""

    pieces: str
    base: str


def thumbnail(pieces: Sequence[Mapping[str, Any]]) -> Thumbnail | None:
    """Draw the outlines of a report's pieces; those of the first design only.

    Args:
        pieces: As they stand in the report.
    """
    shown = [piece for piece in pieces if piece["design"] == 1][:_MOST_PIECES]
    points = [point for piece in shown for point in piece["outline"]["exterior"]]
    if not points:
        return None
    xs, ys = [float(p[0]) for p in points], [float(p[1]) for p in points]
    scale = (SIZE_PX - 4) / max(max(xs) - min(xs), max(ys) - min(ys), 1e-6)
    left = SIZE_PX / 2 - scale * (max(xs) + min(xs)) / 2
    top = SIZE_PX / 2 - scale * (max(ys) + min(ys)) / 2

    def path(kind: str) -> str:
        rings = [
            ring
            for piece in shown
            if piece["kind"] == kind
            for ring in (piece["outline"]["exterior"], *piece["outline"]["holes"])
        ]
        return "".join(_ring_path([(left + scale * x, top + scale * y) for x, y in ring]) for ring in rings)

    return Thumbnail(pieces=path("applique"), base=path("base"))


def _ring_path(ring: Sequence[Point]) -> str:
    """A closed path on whole pixels; neighbours that fall together are one."""
    pixels = [(round(x), round(y)) for x, y in ring]
    kept = [pixel for pixel, before in zip(pixels, [None, *pixels], strict=False) if pixel != before]
    return "M" + "L".join(f"{x} {y}" for x, y in kept) + "Z"
