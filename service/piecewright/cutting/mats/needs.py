"""How much of each fabric the job takes."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Final

from piecewright.cutting.geometry import bounds, curve_area
from piecewright.cutting.mats.values import FabricNeed

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from piecewright.cutting.mats.values import LaidPiece, MatLayout

HAND_MM: Final = 5.0
"""Fabric round the pieces of a sheet, each side: what a person needs to place it by hand."""


def piece_area(piece: LaidPiece) -> float:
    """Area of a laid piece in mm2, holes taken off, exact for its curves."""
    return abs(curve_area(piece.curve.exterior)) - sum(abs(curve_area(hole)) for hole in piece.curve.holes)


def fabric_needs(mats: Sequence[MatLayout]) -> tuple[FabricNeed, ...]:
    """The rectangles to be cut by hand from each fabric, in the order in which the mats take them."""
    return tuple(need for fabric in _fabrics(mats) for need in _needs(fabric, mats))


def _fabrics(mats: Sequence[MatLayout]) -> list[str]:
    return list(dict.fromkeys(piece.fabric for mat in mats for piece in mat.laid))


def _needs(fabric: str, mats: Sequence[MatLayout]) -> Iterator[FabricNeed]:
    """One need for each size of rectangle."""
    count: Counter[tuple[float, float]] = Counter()
    area: Counter[tuple[float, float]] = Counter()
    for mat in mats:
        pieces = [piece for piece in mat.laid if piece.fabric == fabric]
        for size, members in _rectangles(mat, pieces):
            count[size] += 1
            area[size] += sum(map(piece_area, members))  # type: ignore[assignment]  # Counter adds floats as well
    for (width, height), n in count.items():
        yield FabricNeed(
            fabric=fabric, width_mm=width, height_mm=height, count=n, area_mm2=area[width, height]
        )


def _rectangles(
    mat: MatLayout, pieces: Sequence[LaidPiece]
) -> Iterator[tuple[tuple[float, float], Sequence[LaidPiece]]]:
    """The patches, or the rectangle that covers all pieces of a sheet."""
    sheet = [piece for piece in pieces if piece.patch is None]
    for piece in pieces:
        if piece.patch is not None:
            _, _, width, height = piece.patch
            yield (min(width, height), max(width, height)), [piece]
    if sheet:
        boxes = [bounds(piece.curve) for piece in sheet]
        width = max(box[2] for box in boxes) - min(box[0] for box in boxes) + 2 * HAND_MM
        height = max(box[3] for box in boxes) - min(box[1] for box in boxes) + 2 * HAND_MM
        yield (round(min(width, mat.width_mm), 1), round(min(height, mat.height_mm), 1)), sheet
