"""What the machine is told, what a bad export makes of it, and what is read back.

Terms: a *tape* is the needle points of every block with their meaning; a *mishap* is what happens to
a design between its author and the sewer.
"""

from __future__ import annotations

import io
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Literal

import numpy as np
import pyembroidery

from piecewright.cutting.formats import stitchfile
from piecewright.cutting.rules import ReadingRules

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from piecewright.cutting.design import Design
    from tests.evaluation.pen import Meaning
    from tests.evaluation.sealed.curves import FloatArray

Move = Literal["stitch", "jump", "trim"]
WALK_MM = 9.0
SHADES = (0x2F6690, 0xD1495B, 0x66A182, 0xEDAE49, 0x5B3758, 0x8C5E3C, 0x111111, 0xE8E4DA, 0x3A7D44)

WRITERS = {
    name: getattr(pyembroidery, f"write_{name.lower()}")
    for name in ("DST", "PES", "PEC", "JEF", "EXP", "VP3", "XXX", "U01", "TBF")
}


@dataclass(frozen=True)
class Mark:
    """One needle point: where, how the needle gets there, and what for."""

    x: float
    y: float
    move: Move
    meaning: Meaning | None


@dataclass
class Tape:
    """Blocks of marks, and whether a block has the thread of the one before it."""

    blocks: list[list[Mark]] = field(default_factory=lambda: [[]])
    shades: list[int] = field(default_factory=lambda: [SHADES[0]])
    names: list[str] = field(default_factory=lambda: [""])

    def halt(self, shade: int | None = None, name: str = "") -> None:
        """End the block, if anything was sewn in it."""
        if self.blocks[-1]:
            self.blocks.append([])
            self.shades.append(SHADES[len(self.blocks) % len(SHADES)] if shade is None else shade)
            self.names.append(name)

    def last(self) -> tuple[float, float] | None:
        """Where the needle is."""
        return next(((b[-1].x, b[-1].y) for b in reversed(self.blocks) if b), None)

    def sew(self, points: FloatArray, meaning: Meaning | None, move: Move) -> None:
        """Go to the first point and sew on from there."""
        block = self.blocks[-1]
        at = self.last()
        if move == "stitch" and at is not None and block:
            block += [Mark(x, y, "stitch", None) for x, y in walked(np.array(at), points[0]).tolist()]
        block += [
            Mark(x, y, "stitch" if k else move, meaning)
            for k, (x, y) in enumerate(np.round(points, 4).tolist())
        ]


def walked(at: FloatArray, to: FloatArray) -> FloatArray:
    """Needle points on the way, ends left out, as converters sew a travel."""
    n = int(np.ceil(np.linalg.norm(to - at) / WALK_MM))
    return np.asarray(at + (to - at) * (np.arange(1, n) / max(n, 1))[:, None])


def moved(tape: Tape, matrix: FloatArray) -> Tape:
    """The design turned, mirrored or resized as a whole: the stitches are as many as before."""

    def bend(mark: Mark) -> Mark:
        x, y = matrix @ (mark.x, mark.y)
        return replace(mark, x=float(x), y=float(y))

    return replace(tape, blocks=[[bend(mark) for mark in block] for block in tape.blocks])


def merged(tape: Tape, halts: Sequence[int]) -> Tape:
    """Halts lost, because neighbours had one colour: block k (from 0) goes on with block k + 1."""
    out = replace(tape, blocks=[], shades=[], names=[])
    for k, block in enumerate(tape.blocks):
        if k and k - 1 in halts:
            first = replace(block[0], move="jump") if block else None
            out.blocks[-1] = out.blocks[-1] + ([first] if first else []) + block[1:]
        else:
            out.blocks.append(list(block))
            out.shades.append(tape.shades[k])
            out.names.append(tape.names[k])
    return out


def untrimmed(tape: Tape) -> Tape:
    """No cuts left, only jumps."""
    return _moves(tape, lambda mark: replace(mark, move="jump") if mark.move == "trim" else mark)


def _moves(tape: Tape, change: Callable[[Mark], Mark]) -> Tape:
    return replace(tape, blocks=[[change(mark) for mark in block] for block in tape.blocks])


def dragged(tape: Tape) -> Tape:
    """Every travel sewn as stitches."""
    out = Tape(blocks=[], shades=tape.shades, names=tape.names)
    for block in tape.blocks:
        new: list[Mark] = []
        for mark in block:
            if new and mark.move != "stitch":
                way = walked(np.array((new[-1].x, new[-1].y)), np.array((mark.x, mark.y)))
                new += [Mark(x, y, "stitch", None) for x, y in way.tolist()]
                new.append(replace(mark, move="stitch"))
            else:
                new.append(mark)
        out.blocks.append(new)
    return out


def pattern_of(tape: Tape) -> pyembroidery.EmbPattern:
    """The tape as the writers of the library take it."""
    pattern = pyembroidery.EmbPattern()
    x, y = 0.0, 0.0
    for k, block in enumerate(tape.blocks):
        if not block:
            continue
        if k:
            pattern.add_stitch_absolute(pyembroidery.COLOR_CHANGE, x, y)
        pattern.add_thread({"color": tape.shades[k], "name": tape.names[k] or f"thread {k + 1}"})
        for mark in block:
            if mark.move == "trim" and mark is not block[0]:
                pattern.add_stitch_absolute(pyembroidery.TRIM, x, y)
            x, y = round(mark.x * 10), round(mark.y * 10)
            if mark.move != "stitch":
                pattern.add_stitch_absolute(pyembroidery.JUMP, x, y)
            pattern.add_stitch_absolute(pyembroidery.STITCH, x, y)
    pattern.add_stitch_absolute(pyembroidery.END, x, y)
    return pattern


def read_back(tape: Tape, name: str, form: str) -> tuple[Design, bytes]:
    """The design as the program reads it from the file, and the file."""
    stream = io.BytesIO()
    WRITERS[form](pattern_of(tape), stream)
    data = stream.getvalue()
    return stitchfile.read(data, f"{name}.{form.lower()}", ReadingRules()), data
