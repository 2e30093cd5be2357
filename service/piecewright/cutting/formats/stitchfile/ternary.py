"""Records of DST, TAP and EXY: three bytes each, whose bits are the digits of a step in balanced ternary.

pyembroidery asks each bit of each record, which takes longer than everything that is done with the design
afterwards. Here all records are looked up at once; what comes out is the same to the unit, and a test holds
the two against each other. Source of the bits: achatina.de, "DST (Tajima) Design format" (DST.HTM).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.formats.stitchfile.tape import Record

if TYPE_CHECKING:
    from collections.abc import Callable
    from io import BytesIO

    import numpy.typing as npt

    from piecewright.cutting.formats.stitchfile.tape import Recorder
    from piecewright.cutting.geometry import FloatArray

_BITS: Final = (
    "y+1 y-1 y+9 y-9 x-9 x+9 x-1 x+1",
    "y+3 y-3 y+27 y-27 x-27 x+27 x-3 x+3",
    ". . y+81 y-81 x-81 x+81 . .",
)
"""What bits 7 to 0 of each byte add to a step, in stitch units, y up."""

_END: Final = 0xF3
_SWITCHES: Final = ((0x83, Record.JUMP), (0x43, Record.JUMP), (0xC3, Record.COLOUR))
"""Bits of the third byte that are all set in a jump, where sequins are switched on or off, and at a halt;
the last that holds counts."""


def _steps(meanings: str, axis: str) -> FloatArray:
    """What each value of a byte adds to a step along an axis, (256,) stitch units."""
    units = [int(meaning[1:]) if meaning[0] == axis else 0 for meaning in meanings.split()]
    bits = np.unpackbits(np.arange(256, dtype=np.uint8)[:, None], axis=1)
    return np.asarray(bits @ np.array(units), dtype=np.float64)


def _kinds() -> npt.NDArray[np.uint8]:
    """What a record does, by its third byte, (256,)."""
    third = np.arange(256)
    kinds = np.full(256, Record.SEW, dtype=np.uint8)
    for bits, kind in _SWITCHES:
        kinds[third & bits == bits] = kind
    return kinds


_X: Final = [_steps(meanings, "x") for meanings in _BITS]
_Y: Final = [-_steps(meanings, "y") for meanings in _BITS]
_KINDS: Final = _kinds()
_ENDS: Final = np.arange(256) & _END == _END


def after(skip: int) -> Callable[[BytesIO, Recorder], None]:
    """The reader of a format whose first record stands behind a header of so many bytes."""

    def decode(stream: BytesIO, out: Recorder) -> None:
        body = np.frombuffer(stream.getbuffer()[skip:], dtype=np.uint8)
        rows = body[: len(body) // 3 * 3].reshape(-1, 3)
        ends = np.flatnonzero(_ENDS[rows[:, 2]]).tolist()
        stream.seek(skip + (3 * ends[0] + 3 if ends else len(body)))
        rows = rows[: ends[0]] if ends else rows
        x, y = (sum(table[rows[:, k]] for k, table in enumerate(tables)) for tables in (_X, _Y))
        out.take_records(np.column_stack([x, y, _KINDS[rows[:, 2]]]))
        out.end()

    return decode
