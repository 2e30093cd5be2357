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

_MOST_POINTS: Final = 60
"""About so many corners of a ring can be told apart in the picture."""

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
    if not shown:
        return None
    rings = {
        kind: [
            _thinned(ring) for piece in shown if piece["kind"] == kind for ring in _rings(piece["outline"])
        ]
        for kind in ("applique", "base")
    }
    xs, ys = zip(*(point for kind in rings.values() for ring in kind for point in ring), strict=True)
    scale = (SIZE_PX - 4) / max(max(xs) - min(xs), max(ys) - min(ys), 1e-6)
    left = SIZE_PX / 2 - scale * (max(xs) + min(xs)) / 2
    top = SIZE_PX / 2 - scale * (max(ys) + min(ys)) / 2
    paths = {
        kind: "".join(
            _path([(round(left + scale * x), round(top + scale * y)) for x, y in ring]) for ring in some
        )
        for kind, some in rings.items()
    }
    return Thumbnail(pieces=paths["applique"], base=paths["base"])


def _rings(outline: Mapping[str, Any]) -> list[Sequence[Point]]:
    return [outline["exterior"], *outline["holes"]]


def _thinned(ring: Sequence[Point]) -> Sequence[Point]:
    return ring[:: max(1, len(ring) // _MOST_POINTS)]


def _path(pixels: Sequence[tuple[int, int]]) -> str:
    """A closed path on whole pixels; neighbours that fall together are one."""
    kept = [pixel for pixel, before in zip(pixels, [None, *pixels], strict=False) if pixel != before]
    return "M" + "L".join(f"{x} {y}" for x, y in kept) + "Z"
