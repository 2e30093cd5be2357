"""The way ``patches``: each piece on its own rough-cut rectangle of fabric, several fabrics on one mat."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from piecewright.cutting.mats.boxes import Box, pack_boxes
from piecewright.cutting.mats.copies import DIGITS, box_of, spot_at

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.mats.copies import Bed, Copy, Spot
    from piecewright.cutting.rules import LayingRules, PatchRules

TRY_DEG = 5.0
"""Step of the turns tried to save a step of the ruler; the grain of a rough-cut patch is no truer by hand."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Patch:
    """The rectangle that one copy takes, and how the copy lies in it.

    Attributes:
        width: mm, a whole number of ruler steps.
        height: See ``width``.
        turned_deg: Turn of the copy in it.
        slack: Least distance between the piece's box and the edge of the rectangle, mm.
    """

    width: float
    height: float
    turned_deg: float
    slack: float


def ruler_length(length_mm: float, rules: PatchRules) -> float:
    """A side of the piece's box with the handling margin at both ends, rounded up to the ruler's step."""
    steps = (length_mm + 2 * rules.handling_margin) / rules.ruler_step
    return round(max(1, math.ceil(round(steps, 6))) * rules.ruler_step, DIGITS)


def patch_of(copy: Copy, bed: Bed, mat: Bed, rules: PatchRules) -> Patch:
    """The least rectangle for a copy that goes on the mat; upright unless an allowed turn saves fabric.

    Where none goes on the mat, the least of all.
    """
    turns = [0.0]
    if copy.turning == "free":
        turns = [step * TRY_DEG for step in range(int(180.0 / TRY_DEG))]
    patches = [_patch_at(copy, turn, rules) for turn in turns]
    return min(
        patches, key=lambda p: (not goes_on(p, bed, mat, quarter=copy.quarter), round(p.width * p.height, 3))
    )


def goes_on(patch: Patch, bed: Bed, mat: Bed, *, quarter: bool) -> bool:
    """Whether a patch goes on an empty mat."""
    return _room([patch], bed, mat).takes(patch.width, patch.height, quarter=quarter)


def _patch_at(copy: Copy, turn: float, rules: PatchRules) -> Patch:
    _, _, width, height = box_of(copy, turn, copy.sides[0])
    sides = (ruler_length(width, rules), ruler_length(height, rules))
    return Patch(
        width=sides[0],
        height=sides[1],
        turned_deg=turn,
        slack=min(sides[0] - width, sides[1] - height) / 2,
    )


def lay_patches(
    copies: Sequence[Copy], bed: Bed, mat: Bed, rules: LayingRules
) -> tuple[tuple[tuple[Spot, tuple[float, float, float, float]], ...], ...]:
    """Pack the patches of all copies, piece centred in each; a mat of spots with their patches each.

    The piece must stay on the bed, its patch only on the mat: so the patches may reach over the edge of
    the bed by as much as the piece with the least slack keeps from the edge of its own.
    """
    of_demand: dict[int, Patch] = {}
    for copy in copies:
        if id(copy.demand) not in of_demand:
            of_demand[id(copy.demand)] = patch_of(copy, bed, mat, rules.patches)
    patches = [of_demand[id(copy.demand)] for copy in copies]
    room = _room(patches, bed, mat)
    space = max(0.0, rules.gap - 2 * min(patch.slack for patch in patches))
    boxes = [
        Box(width=p.width + space, height=p.height + space, quarter=copy.quarter)
        for copy, p in zip(copies, patches, strict=True)
    ]
    packed = pack_boxes(boxes, room.width_mm + space, room.height_mm + space)
    return tuple(
        tuple(
            _centred(copies[s.index], patches[s.index], (room.x_mm + s.x, room.y_mm + s.y), quarter=s.quarter)
            for s in spots
        )
        for spots in packed
    )


def _room(patches: Sequence[Patch], bed: Bed, mat: Bed) -> Bed:
    return bed.grown(min(bed.x_mm - mat.x_mm, *(patch.slack for patch in patches)))


def _centred(
    copy: Copy, patch: Patch, corner: tuple[float, float], *, quarter: bool
) -> tuple[Spot, tuple[float, float, float, float]]:
    """The copy in the middle of its patch."""
    turn = patch.turned_deg + (90.0 if quarter else 0.0)
    width, height = (patch.height, patch.width) if quarter else (patch.width, patch.height)
    _, _, w, h = box_of(copy, turn, copy.sides[0])
    spot = spot_at(copy, turn, copy.sides[0], (corner[0] + (width - w) / 2, corner[1] + (height - h) / 2))
    return spot, (round(corner[0], DIGITS), round(corner[1], DIGITS), width, height)
