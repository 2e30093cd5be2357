"""What became of one design: the values that the stages made of it, kept together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from piecewright.cutting.design import Design
    from piecewright.cutting.outlines import Outlines
    from piecewright.cutting.pieces import Understanding


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stages:
    """One design on its way through the job.

    Attributes:
        design: As read.
        understanding: Its passes and pieces.
        outlines: Its cut outlines.
        sha256: Of the file's bytes.
        copies: How often the order makes it, on top of the copies of the product.
    """

    design: Design
    understanding: Understanding
    outlines: Outlines
    sha256: str
    copies: int
