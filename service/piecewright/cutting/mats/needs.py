"""How much of each fabric the job takes.

Terms: a *cut* is a rectangle that somebody cuts by hand from bolt or sheet: a patch, or the fabric under all
pieces of one mat; it is laid out on the bolt in *rows* across its width.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from typing import TYPE_CHECKING, Final

from piecewright.cutting.geometry import bounds, curve_area
from piecewright.cutting.mats.boxes import Box, pack_boxes
from piecewright.cutting.mats.values import FabricNeed
from piecewright.cutting.rules import turn_limit
from piecewright.cutting.units import MM_PER_INCH

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from piecewright.cutting.mats.values import LaidPiece, MatLayout
    from piecewright.cutting.rules import Fabric, JobRules

HAND_MM: Final = 5.0
"""Fabric beyond the pieces of a mat, each side: what it takes to smooth it down by hand."""

STEP_MM: Final = {"mm": 5.0, "in": MM_PER_INCH / 4}
"""To what a person cuts with a ruler, in the unit the shop reads."""

Size = tuple[float, float]


def piece_area(piece: LaidPiece) -> float:
    """Area of a laid piece in mm2, holes taken off, exact for its curves."""
    return abs(curve_area(piece.curve.exterior)) - sum(abs(curve_area(hole)) for hole in piece.curve.holes)


def fabric_needs(mats: Sequence[MatLayout], rules: JobRules) -> tuple[FabricNeed, ...]:
    """The rectangles to be cut by hand from each fabric, in the order of the rules, large ones first."""
    taken = {piece.fabric for mat in mats for piece in mat.laid}
    fabrics = [*(f for f in rules.fabrics if f in taken), *sorted(taken - rules.fabrics.keys())]
    return tuple(need for fabric in fabrics for need in _needs(fabric, mats, rules))


def _needs(fabric: str, mats: Sequence[MatLayout], rules: JobRules) -> Iterator[FabricNeed]:
    """One need for each size of rectangle; what they take together stands with each."""
    count: Counter[Size] = Counter()
    area: dict[Size, float] = defaultdict(float)
    for mat in mats:
        for size, pieces in _cuts(mat, fabric, rules):
            count[size] += 1
            area[size] += sum(map(piece_area, pieces))
    kept = rules.fabrics.get(fabric)
    length, sheets = _taken(tuple(count.elements()), kept) if kept else (None, None)
    for size, n in sorted(count.items(), key=lambda item: (-item[0][0] * item[0][1], item[0])):
        yield FabricNeed(
            fabric=fabric,
            width_mm=size[0],
            height_mm=size[1],
            count=n,
            area_mm2=area[size],
            bolt_mm=length,
            sheets=sheets,
        )


def _cuts(mat: MatLayout, fabric: str, rules: JobRules) -> Iterator[tuple[Size, Sequence[LaidPiece]]]:
    """The rectangles of one mat: the patches, or the one that covers all pieces of a sheet."""
    pieces = [piece for piece in mat.laid if piece.fabric == fabric]
    for piece in pieces:
        if piece.patch is not None:
            yield _patch_size(piece.patch[2:], fabric, rules), [piece]
    whole = [piece for piece in pieces if piece.patch is None]
    if whole:
        boxes = [bounds(piece.curve) for piece in whole]
        kept = rules.fabrics.get(fabric)
        yield (
            (
                _side([(box[0], box[2]) for box in boxes], mat.width_mm, kept.width if kept else None, rules),
                _side(
                    [(box[1], box[3]) for box in boxes], mat.height_mm, kept.height if kept else None, rules
                ),
            ),
            whole,
        )


def _patch_size(size: Size, fabric: str, rules: JobRules) -> Size:
    """The size of a patch; which side is which matters only where the grain does."""
    kept = rules.fabrics.get(fabric)
    turning = turn_limit(rules.product.laying.turning, kept.grain if kept else None)
    return (min(size), max(size)) if turning in {"quarter", "free"} else size


def _side(spans: Sequence[Size], mat: float, fabric: float | None, rules: JobRules) -> float:
    """A side of the rectangle under all pieces, from the mat's edge on, as a person cuts it."""
    step = STEP_MM[rules.show]
    wanted = math.ceil(round((max(high for _, high in spans) + HAND_MM) / step, 6)) * step
    return min(wanted, mat, fabric or mat)


def _taken(cuts: Sequence[Size], fabric: Fabric) -> tuple[float | None, int | None]:
    """Length of bolt, or number of sheets, that rectangles take; None where the rules give no size."""
    if fabric.width is None:
        return None, None
    boxes = [Box(width=width, height=height, quarter=False) for width, height in cuts]
    longest = fabric.height or sum(height for _, height in cuts)
    if any(width > fabric.width or height > longest for width, height in cuts):
        return None, None
    packed = pack_boxes(boxes, fabric.width, longest)
    if fabric.height is not None:
        return None, len(packed)
    return max(spot.y + boxes[spot.index].height for spots in packed for spot in spots), None
