"""Frames: what each format says of itself around its stitches, checked before anything is decoded.

Terms: a *promise* is what a file says of itself: how many records, how far they reach, where they end.

Offsets are those at which pyembroidery's readers and writers work. Byte counts are little-endian except
in VP3.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.formats.stitchfile.plausible import check_promised_stitches
from piecewright.cutting.formats.stitchfile.refusals import cut_short, not_such_a_file

if TYPE_CHECKING:
    from collections.abc import Callable

    from piecewright.cutting.rules import ReadingRules


@dataclass(frozen=True, slots=True, kw_only=True)
class Promise:
    """What a file says of itself; whatever it does not say is None or empty.

    Attributes:
        records: How many records there are.
        reach: How far they reach from the origin to the right, left, up and down, in stitch units; 0
            where the file does not say.
        last_byte: Position after which no stitch byte may lie.
        palette: Entry of the PEC palette for each block.
        starts: Where each block begins, in stitch units, y down.
    """

    records: int | None = None
    reach: tuple[int, int, int, int] | None = None
    last_byte: int | None = None
    palette: tuple[int, ...] = ()
    starts: tuple[tuple[float, float], ...] = ()


def unframed(_data: bytes, _name: str, _rules: ReadingRules) -> Promise:
    """A format without a frame."""
    return Promise()


def at_least(size: int) -> Callable[[bytes, str, ReadingRules], Promise]:
    """A format whose stitches begin at a fixed place."""

    def inspect(data: bytes, name: str, _rules: ReadingRules) -> Promise:
        if len(data) <= size:
            cut_short(name, f"its header alone takes {size} bytes, and it has {len(data)}")
        return Promise()

    return inspect


# --- formats with a header of text, and DST's records -----------------------------------------------

_TEXT_HEADER: Final = 512
_FIELD: Final = re.compile(rb"(?:^|[\r\n])\s*([A-Z]{2}|[+-][XY]):\s*([+-]?\d+)")
TERNARY_END: Final = 0xF3
_TERNARY_SET: Final = 0x03
_ODD_SHARE: Final = 0.01
"""Records of DST always end in two set bits; of noise three in four do not."""


def text_header(data: bytes, name: str, _rules: ReadingRules) -> Promise:
    """Header of 512 bytes with ``ST`` (records), ``+X``, ``-X``, ``+Y``, ``-Y`` (reach) as text."""
    if len(data) <= _TEXT_HEADER:
        cut_short(name, f"its header alone takes {_TEXT_HEADER} bytes, and it has {len(data)}")
    fields = {key.decode(): int(value) for key, value in _FIELD.findall(data[:_TEXT_HEADER])}
    right, left, up, down = (abs(fields.get(key, 0)) for key in ("+X", "-X", "+Y", "-Y"))
    return Promise(records=fields.get("ST") or None, reach=(right, left, up, down))


def dst(data: bytes, name: str, rules: ReadingRules) -> Promise:
    """DST: a header of text, then records of three bytes (0.1 mm units)."""
    promise = text_header(data, name, rules)
    _check_ternary(data[_TEXT_HEADER:], name, "DST")
    return promise


def tap(data: bytes, name: str, _rules: ReadingRules) -> Promise:
    """TAP: records as in DST, no header."""
    _check_ternary(data, name, "TAP")
    return Promise()


def exy(data: bytes, name: str, rules: ReadingRules) -> Promise:
    """EXY: a header of 256 bytes, then records as in DST."""
    at_least(0x100)(data, name, rules)
    _check_ternary(data[0x100:], name, "EXY")
    return Promise()


def _check_ternary(body: bytes, name: str, form: str) -> None:
    third = np.frombuffer(body, dtype=np.uint8)[2::3]
    ends = np.flatnonzero(third & TERNARY_END == TERNARY_END)
    third = third[: ends[0]] if len(ends) else third
    if len(third) and float(np.mean(third & _TERNARY_SET != _TERNARY_SET)) > _ODD_SHARE:
        not_such_a_file(name, form, "its bytes are no stitch records")


# --- PES, PEC ---------------------------------------------------------------------------------------

_PES_POINTER_END: Final = 12
_PEC_COLOURS: Final = 48
_PEC_STITCHES: Final = 512
_NO_COLOURS: Final = 0xFF


def pes(data: bytes, name: str, rules: ReadingRules) -> Promise:
    """PES: its own part, which is not needed, and at a position given in it a PEC part."""
    if data.startswith(b"#PEC"):
        return pec(data, name, rules)
    start = int.from_bytes(data[8:_PES_POINTER_END], "little")
    if len(data) < _PES_POINTER_END or start >= len(data):
        cut_short(name, "the part with the stitches is missing")
    if start < _PES_POINTER_END:
        not_such_a_file(name, "PES", "it does not say where its stitches are")
    return _pec_part(data, start, name)


def pec(data: bytes, name: str, _rules: ReadingRules) -> Promise:
    """PEC: a signature and a PEC part."""
    return _pec_part(data, 8, name)


def _pec_part(data: bytes, start: int, name: str) -> Promise:
    block = start + _PEC_STITCHES
    if len(data) < block + 20:
        cut_short(name, "the part with the stitches is not complete")
    if data[start : start + 3] != b"LA:":
        not_such_a_file(name, "PES", "there is no stitch part where it should be")
    length = int.from_bytes(data[block + 2 : block + 5], "little")
    if block + length > len(data):
        cut_short(name, f"its stitches should take {length} bytes, and {len(data) - block} are there")
    changes = data[start + _PEC_COLOURS]
    colours = 0 if changes == _NO_COLOURS else changes + 1
    palette = data[start + _PEC_COLOURS + 1 : start + _PEC_COLOURS + 1 + colours]
    return Promise(last_byte=block + length + 1 if length else None, palette=tuple(palette))


# --- JEF, JPX, SEW, XXX, EXP, STX, HUS ---------------------------------------------------------------

_MOST_COLOURS: Final = 1000
_STX_HEADER: Final = 24
_HUS_HEADER: Final = 42


def jef(data: bytes, name: str, _rules: ReadingRules) -> Promise:
    """JEF: position of the stitches at 0, number of colours at 24."""
    return _offset_first(data, name, "JEF", colours_at=24, header=0x74)


def jpx(data: bytes, name: str, _rules: ReadingRules) -> Promise:
    """JPX: position of the stitches at 0, number of colours at 32."""
    return _offset_first(data, name, "JPX", colours_at=32, header=0x3C)


def _offset_first(data: bytes, name: str, form: str, *, colours_at: int, header: int) -> Promise:
    if len(data) < header:
        cut_short(name, f"its header alone takes {header} bytes, and it has {len(data)}")
    start = int.from_bytes(data[:4], "little")
    colours = int.from_bytes(data[colours_at : colours_at + 4], "little")
    if start < header or colours > _MOST_COLOURS:
        not_such_a_file(name, form, "its header makes no sense")
    if start >= len(data):
        cut_short(name, "the stitches are missing")
    return Promise()


def sew(data: bytes, name: str, rules: ReadingRules) -> Promise:
    """SEW: number of colours at 0, stitches at 7544."""
    if int.from_bytes(data[:2], "little") > _MOST_COLOURS:
        not_such_a_file(name, "SEW", "its header makes no sense")
    return at_least(0x1D78)(data, name, rules)


def xxx(data: bytes, name: str, rules: ReadingRules) -> Promise:
    """XXX: header of 256 bytes, number of colours at 39."""
    at_least(0x100)(data, name, rules)
    if int.from_bytes(data[0x27:0x29], "little") > _MOST_COLOURS:
        not_such_a_file(name, "XXX", "its header makes no sense")
    return Promise()


def exp(data: bytes, name: str, _rules: ReadingRules) -> Promise:
    """EXP: nothing but pairs of bytes."""
    if len(data) % 2:
        cut_short(name, "half a stitch stands at its end")
    return Promise()


def stx(data: bytes, name: str, _rules: ReadingRules) -> Promise:
    """STX: position of the stitches at 20."""
    start = int.from_bytes(data[20:_STX_HEADER], "little")
    if not data.startswith(b"STX") or start < _STX_HEADER:
        not_such_a_file(name, "STX", "its header makes no sense")
    if start >= len(data):
        cut_short(name, "the stitches are missing")
    return Promise()


def hus(data: bytes, name: str, rules: ReadingRules) -> Promise:
    """HUS: number of stitches at 4, of colours at 8, positions of three packed columns at 20, 24, 28."""
    at_least(_HUS_HEADER)(data, name, rules)
    count, colours = (int.from_bytes(data[k : k + 4], "little") for k in (4, 8))
    check_promised_stitches(count, name, rules)
    columns = [int.from_bytes(data[k : k + 4], "little") for k in (20, 24, 28)]
    if colours > _MOST_COLOURS or not _HUS_HEADER <= columns[0] <= columns[1] <= columns[2]:
        not_such_a_file(name, "HUS", "its header makes no sense")
    if columns[2] >= len(data):
        cut_short(name, "a part of the stitches is missing")
    return Promise(records=count)


# --- VP3 --------------------------------------------------------------------------------------------

_VP3_PER_UNIT: Final = 100
"""VP3 gives places in thousandths of a millimetre, y up."""


def vp3(data: bytes, name: str, _rules: ReadingRules) -> Promise:
    """VP3: parts inside parts, each with its length; every block of stitches must lie in the file."""
    at = _skip_string(data, 6, name)
    at = _skip_string(data, at + 7, name) + 32
    middle = _vp3_place(_take(data, at, 8, name))
    at = _skip_string(data, at + 8 + 27, name)
    at = _skip_string(data, at + 24, name)
    blocks = int.from_bytes(_take(data, at, 2, name), "big")
    at += 2
    starts = []
    for number in range(1, blocks + 1):
        head = _take(data, at, 15, name)
        if head[:3] != b"\x00\x05\x00":
            not_such_a_file(name, "VP3", f"block {number} does not begin where it should")
        x, y = _vp3_place(head[7:])
        starts.append((x + middle[0], y + middle[1]))
        at += 7 + int.from_bytes(head[3:7], "big")
        if at > len(data):
            cut_short(name, f"block {number} of {blocks} is not complete")
    return Promise(last_byte=at, starts=tuple(starts))


def _vp3_place(two: bytes) -> tuple[float, float]:
    x, y = (int.from_bytes(two[k : k + 4], "big", signed=True) / _VP3_PER_UNIT for k in (0, 4))
    return x, -y


def _skip_string(data: bytes, at: int, name: str) -> int:
    return at + 2 + int.from_bytes(_take(data, at, 2, name), "big")


def _take(data: bytes, at: int, size: int, name: str) -> bytes:
    if at + size > len(data):
        cut_short(name, "a part that its header announces is missing")
    return data[at : at + size]
