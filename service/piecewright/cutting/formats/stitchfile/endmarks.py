"""End marks: whether the bytes that a reader took last close the stitches, format by format.

A file cut short has none, and pyembroidery reads it without a word. Marks are those that pyembroidery's
readers stop at.
"""

from __future__ import annotations

from typing import Final

from piecewright.cutting.formats.stitchfile.containers import TERNARY_END

_U01_COMMAND: Final = 0x1F
_U01_END: Final = 0x18


def dst(data: bytes, at: int) -> bool:
    """Third byte 1111xx11, usually ``00 00 F3``."""
    return data[at - 1] & TERNARY_END == TERNARY_END


def pec(data: bytes, at: int) -> bool:
    """``FF`` and the zero after it."""
    return data[at - 2 : at] == b"\xff\x00" or (at >= len(data) and data.endswith(b"\xff"))


def jef(data: bytes, at: int) -> bool:
    """``80 10``, of which the reader takes two bytes more if there are any."""
    return b"\x80\x10" in (data[at - 4 : at - 2], data[at - 2 : at], data[at - 3 : at - 1])


def xxx(data: bytes, at: int) -> bool:
    """``7F 7F`` or ``7F 18`` and two bytes."""
    return data[at - 4 : at - 2] in {b"\x7f\x7f", b"\x7f\x18"}


def tbf(data: bytes, at: int) -> bool:
    """Third byte ``8F``."""
    return data[at - 1] == 0x8F  # noqa: PLR2004


def u01(data: bytes, at: int) -> bool:
    """First byte xxx11000, usually ``F8 00 00``."""
    return data[at - 3] & _U01_COMMAND == _U01_END


def dsb(data: bytes, at: int) -> bool:
    """First byte ``F8``."""
    return data[at - 3] == 0xF8  # noqa: PLR2004


def a10o(data: bytes, at: int) -> bool:
    """First byte ``87``."""
    return data[at - 3] == 0x87  # noqa: PLR2004


def emd(data: bytes, at: int) -> bool:
    """``80 FD``."""
    return data[at - 2 : at] == b"\x80\xfd"


def inb(data: bytes, at: int) -> bool:
    """Third byte ``04``."""
    return data[at - 1] == 0x04  # noqa: PLR2004


def stc(data: bytes, at: int) -> bool:
    """Third byte 25."""
    return data[at - 1] == 25  # noqa: PLR2004
