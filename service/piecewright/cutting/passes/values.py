"""The values of stage 2: runs told apart by how they are stitched, and passes with their roles."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np

from piecewright.cutting.geometry import frozen

if TYPE_CHECKING:
    from piecewright.cutting.geometry import FloatArray


class Stitch(StrEnum):
    """How a run is stitched."""

    SINGLE_RUN = "single run"
    DOUBLE_RUN = "double run"
    BEAN = "bean"
    ZIGZAG = "zigzag"
    SATIN = "satin"
    BLANKET = "blanket"
    FILL = "fill"
    MEANDER = "meander"
    MOTIF = "motif"
    CROSS_STITCH = "cross-stitch"
    UNCLEAR = "unclear"


class Role(StrEnum):
    """What a pass is for."""

    PLACEMENT = "placement"
    TACK_DOWN = "tack-down"
    COVER = "cover"
    UNDERLAY = "underlay"
    FILL = "fill"
    QUILTING = "quilting"
    DETAIL = "detail"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Run:
    """Stitches of a block between two cuts or travels, and how they are stitched.

    Attributes:
        block: Number of the block, from 1.
        first: Index of its first needle point in the block.
        last: Index of its last needle point in the block, included.
        points: Needle points, (n, 2), mm, read-only.
        stitch: How it is stitched.
        width_mm: Width across the direction of sewing; 0 for lines.
        spacing_mm: Distance between neighbouring bites or rows; 0 for lines.
        stitch_length_mm: Median length of a stitch.
        closed: Whether it ends about where it began.
        spine: Middle of what is sewn, (m, 2) mm, read-only: the line itself, or half-way between the bites.
    """

    block: int
    first: int
    last: int
    points: FloatArray
    stitch: Stitch
    width_mm: float
    spacing_mm: float
    stitch_length_mm: float
    closed: bool
    spine: FloatArray = field(default_factory=lambda: frozen(np.zeros((0, 2))))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pass:
    """Runs of one block with one role.

    Attributes:
        number: From 1, in sewing order over the whole design.
        block: Number of the block.
        runs: The runs that it consists of, in sewing order.
        role: What it is for.
        stitch: How most of it is stitched.
        confidence: 0 to 1, how sure the role is.
        evidence: Sentences that a sewer understands, such as "sewn again in blocks 3 and 4 after a halt".
        pieces: Ids of the pieces that it belongs to.
        in_doubt: What it is for if its piece is one; None where that is likelier than not, and so its role.
    """

    number: int
    block: int
    runs: tuple[Run, ...]
    role: Role
    stitch: Stitch
    confidence: float
    evidence: tuple[str, ...]
    pieces: tuple[str, ...] = ()
    in_doubt: Role | None = None
