"""A design as the machine sews it: blocks of needle points between halts.

Terms: a *block* is what is sewn between two machine halts (colour change, stop, needle change);
a *needle point* is where the needle goes down; a *travel* is a move without needle points (jump);
a *cut* is where the machine trims the thread.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from piecewright.cutting.findings import Finding
    from piecewright.cutting.geometry import BoolArray, FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Thread:
    """The thread that a file names for a block; every part may be missing.

    Attributes:
        colour: ``#rrggbb``.
        name: The thread's name, in any language.
        catalog: The catalog or palette number as text.
    """

    colour: str | None = None
    name: str | None = None
    catalog: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Block:
    """What the machine sews between two halts.

    Attributes:
        number: 1 for the first block of the design; a block without needle points still counts.
        thread: What the file says of the thread.
        points: Needle points in sewing order, (n, 2), mm, y down, read-only.
        cut_before: (n,), True where the thread was cut between the point before and this one.
        travel_before: (n,), True where the hoop moved without sewing (jump) between the two.
    """

    number: int
    thread: Thread
    points: FloatArray
    cut_before: BoolArray
    travel_before: BoolArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Design:
    """One stitch file, understood as blocks.

    Attributes:
        name: The file's name as it was dropped.
        format: The format's usual ending in capitals, such as ``DST``.
        blocks: In sewing order; there is a machine halt between each two.
        findings: Doubts of the reader.
    """

    name: str
    format: str
    blocks: tuple[Block, ...]
    findings: tuple[Finding, ...] = ()

    @property
    def stitches(self) -> int:
        """How many needle points the design has."""
        return sum(len(block.points) for block in self.blocks)

    @property
    def bounds_mm(self) -> tuple[float, float, float, float]:
        """Smallest x, smallest y, largest x, largest y of all needle points; zeros if there are none."""
        points = [block.points for block in self.blocks if len(block.points)]
        if not points:
            return (0.0, 0.0, 0.0, 0.0)
        every = np.concatenate(points)
        (x0, y0), (x1, y1) = every.min(axis=0), every.max(axis=0)
        return (float(x0), float(y0), float(x1), float(y1))
