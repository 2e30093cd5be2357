"""What the machine is told: needle points with their meaning, travels, cuts and halts, in any format."""

from __future__ import annotations

import io
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

import numpy as np
import pyembroidery

from piecewright.cutting.design import Block, Design, Thread
from piecewright.cutting.formats import stitchfile
from piecewright.cutting.geometry import frozen
from piecewright.cutting.rules import ReadingRules

if TYPE_CHECKING:
    from piecewright.cutting.geometry import FloatArray
    from piecewright.cutting.passes import Role

Move = Literal["stitch", "jump", "trim"]
LONGEST_STITCH_MM = 11.0
"""Every format holds such a stitch; longer steps are travels, or walked in several stitches."""

MEMORY = "MEMORY"
"""No file at all: the design as points, exactly as the author meant them."""

WRITERS = {
    "DST": pyembroidery.write_dst,
    "PES": pyembroidery.write_pes,
    "JEF": pyembroidery.write_jef,
    "EXP": pyembroidery.write_exp,
    "VP3": pyembroidery.write_vp3,
    "XXX": pyembroidery.write_xxx,
    "U01": pyembroidery.write_u01,
}


@dataclass(frozen=True)
class Meaning:
    """What a stretch of stitches is.

    Attributes:
        role: What the author says.
        also: Roles that a sewer would accept as well.
        piece: Index of the truth's piece, if it belongs to one.
    """

    role: Role
    also: frozenset[Role] = frozenset()
    piece: int | None = None


@dataclass(frozen=True)
class Stretch:
    """Needle points of one meaning, sewn in one go, in a block (from 1), ``first`` to ``last`` excluded."""

    meaning: Meaning
    block: int
    first: int
    last: int


@dataclass
class Pen:
    """Collects what the machine does."""

    blocks: list[list[tuple[float, float, Move]]] = field(default_factory=lambda: [[]])
    threads: list[tuple[int, str]] = field(default_factory=lambda: [(0x333333, "")])
    stops: list[bool] = field(default_factory=list)
    stretches: list[Stretch] = field(default_factory=list)

    def halt(self, colour: int, name: str = "", *, stop: bool = False) -> None:
        """End the block; nothing happens if nothing was sewn in it."""
        if not self.blocks[-1]:
            self.threads[-1] = (colour, name)
            return
        self.blocks.append([])
        self.threads.append((colour, name))
        self.stops.append(stop)

    @property
    def block(self) -> int:
        """Number of the block that is sewn now."""
        return len(self.blocks)

    def sew(self, points: FloatArray, meaning: Meaning, move: Move) -> None:
        """Go to the first point by a travel, a cut or a stitch, and sew from there."""
        block = self.blocks[-1]
        first = len(block)
        at = self.last()
        if move == "stitch" and at is not None:
            points = np.vstack([_walk(np.array(at), points[0]), points])
        for k, (x, y) in enumerate(np.round(points, 1).tolist()):
            far = max(abs(x - block[-1][0]), abs(y - block[-1][1])) if k and block else 0.0
            if k and block and not far:
                continue
            block.append((x, y, move if not k else "stitch" if far <= LONGEST_STITCH_MM else "jump"))
        self.stretches.append(Stretch(meaning, self.block, first, len(block)))

    def last(self) -> tuple[float, float] | None:
        """Where the needle is."""
        for block in reversed(self.blocks):
            if block:
                return block[-1][:2]
        return None


def _walk(at: FloatArray, to: FloatArray) -> FloatArray:
    """Needle points on the way, both ends left out, as converters sew a travel."""
    n = int(np.ceil(np.linalg.norm(to - at) / (LONGEST_STITCH_MM - 2.0)))
    return np.asarray(at + (to - at) * (np.arange(1, n) / max(n, 1))[:, None])


def design_of(pen: Pen, name: str, form: str) -> tuple[Design, bytes | None]:
    """The design as the project reads it, and the file."""
    if form == MEMORY:
        return _in_memory(pen, name), None
    stream = io.BytesIO()
    WRITERS[form](_pattern(pen), stream)
    data = stream.getvalue()
    return stitchfile.read(data, f"{name}.{form.lower()}", ReadingRules()), data


def _in_memory(pen: Pen, name: str) -> Design:
    blocks = []
    for number, (stitches, (colour, thread)) in enumerate(zip(pen.blocks, pen.threads, strict=True), 1):
        points = frozen([(x, y) for x, y, _ in stitches]) if stitches else frozen(np.zeros((0, 2)))
        cut = np.array([move == "trim" for *_, move in stitches], dtype=bool)
        travel = np.array([move != "stitch" for *_, move in stitches], dtype=bool)
        named = Thread(colour=f"#{colour:06x}", name=thread or None)
        blocks.append(Block(number=number, thread=named, points=points, cut_before=cut, travel_before=travel))
    return Design(
        name=name, format=MEMORY, blocks=tuple(b for b in blocks if len(b.points) or b is blocks[0])
    )


def _pattern(pen: Pen) -> pyembroidery.EmbPattern:
    pattern = pyembroidery.EmbPattern()
    at = (0.0, 0.0)
    for k, (stitches, (colour, thread)) in enumerate(zip(pen.blocks, pen.threads, strict=True)):
        if k and stitches:
            pattern.add_stitch_absolute(
                pyembroidery.STOP if pen.stops[k - 1] else pyembroidery.COLOR_CHANGE, at[0] * 10, at[1] * 10
            )
        if not (k and pen.stops[k - 1]):
            pattern.add_thread({"color": colour, "name": thread or f"shade {k + 1}"})
        for x, y, move in stitches:
            if move == "trim" and (x, y) != at:
                pattern.add_stitch_absolute(pyembroidery.TRIM, at[0] * 10, at[1] * 10)
            if move != "stitch":
                pattern.add_stitch_absolute(pyembroidery.JUMP, x * 10, y * 10)
            pattern.add_stitch_absolute(pyembroidery.STITCH, x * 10, y * 10)
            at = (x, y)
    pattern.add_stitch_absolute(pyembroidery.END, at[0] * 10, at[1] * 10)
    return pattern
