"""End marks: whether the bytes that a reader took last close the stitches, format by format.

A file cut short has none, and pyembroidery reads it without a word. Marks are those that pyembroidery's
readers stop at.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from piecewright.cutting.formats.stitchfile.containers import TERNARY_END

if TYPE_CHECKING:
    from collections.abc import Callable

_U01_COMMAND: Final = 0x1F
_U01_END: Final = 0x18


def _third_byte(start: int, is_end: Callable[[int], bool], *, of: int) -> Callable[[bytes, int], bool]:
    """Formats of three bytes a record, whose end shows in one of the three.

    Args:
        start: Where the records begin; a mark stands a whole number of records behind it.
        is_end: Whether the byte ends the stitches.
        of: Which byte of the record, 0 to 2.
    """

    def ended(data: bytes, at: int) -> bool:
        return at >= start + 3 and (at - start) % 3 == 0 and is_end(data[at - 3 + of])

    return ended


def _ternary_end(byte: int) -> bool:
    return byte & TERNARY_END == TERNARY_END


dst = _third_byte(0x200, _ternary_end, of=2)
tap = _third_byte(0, _ternary_end, of=2)
exy = _third_byte(0x100, _ternary_end, of=2)
tbf = _third_byte(0x600, (0x8F).__eq__, of=2)
u01 = _third_byte(0x100, lambda byte: byte & _U01_COMMAND == _U01_END, of=0)
dsb = _third_byte(0x200, (0xF8).__eq__, of=0)
a10o = _third_byte(0, (0x87).__eq__, of=0)
inb = _third_byte(0x2000, (0x04).__eq__, of=2)
stc = _third_byte(0x28, (25).__eq__, of=2)


def pec(data: bytes, at: int) -> bool:
    """``FF`` and the zero after it."""
    return data[at - 2 : at] == b"\xff\x00" or (at >= len(data) and data.endswith(b"\xff"))


def jef(data: bytes, at: int) -> bool:
    """``80 10``, of which the reader takes two bytes more if there are any."""
    return b"\x80\x10" in (data[at - 4 : at - 2], data[at - 2 : at], data[at - 3 : at - 1])


def xxx(data: bytes, at: int) -> bool:
    """``7F 7F`` or ``7F 18`` and two bytes."""
    return data[at - 4 : at - 2] in {b"\x7f\x7f", b"\x7f\x18"}


def emd(data: bytes, at: int) -> bool:
    """``80 FD``."""
    return data[at - 2 : at] == b"\x80\xfd"
