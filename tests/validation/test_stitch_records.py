"""Published descriptions of stitch files against what is read.

Sources, beside each check: achatina.de, "DST (Tajima) Design format" (DST.HTM), with worked records;
EduTech Wiki of the University of Geneva, "Embroidery format" EXP and XXX; KDE Community Wiki, Projects/
Liberty/File Formats, "Janome Embroidery Format"; the libpes wiki, "PEC section".
"""

from __future__ import annotations

import struct

import pytest

from piecewright.cutting.formats.stitchfile import read
from piecewright.cutting.rules import ReadingRules
from piecewright.cutting.units import MM_PER_STITCH_UNIT

RULES = ReadingRules()
DST_HEADER = b"LA:published       \rST:      3\rCO:  0\r".ljust(512)
DST_END = bytes.fromhex("00 00 F3")

DST_BITS = {
    # achatina.de DST.HTM: "Decoding of Byte 1 - 3", bits 7 to 0 of each byte
    0: ("y+1", "y-1", "y+9", "y-9", "x-9", "x+9", "x-1", "x+1"),
    1: ("y+3", "y-3", "y+27", "y-27", "x-27", "x+27", "x-3", "x+3"),
    2: ("jump", "colour", "y+81", "y-81", "x-81", "x+81", "set", "set"),
}


def points(data: bytes, name: str) -> list[list[float]]:
    return [point for block in read(data, name, RULES).blocks for point in block.points.tolist()]


def test_a_stitch_unit_is_a_tenth_of_a_millimetre() -> None:
    assert MM_PER_STITCH_UNIT == 0.1


def test_dst_worked_records() -> None:
    """achatina.de DST.HTM, examples: A8 12 23 is y+64 x-12, A8 12 A3 the same as a jump, 00 00 C3 a halt.

    DST counts y up, a design counts it down: x = -1.2 mm, y = -6.4 mm.
    """
    stitch, jump, halt = (bytes.fromhex(record) for record in ("A8 12 23", "A8 12 A3", "00 00 C3"))
    first, second = read(DST_HEADER + stitch + halt + jump + stitch + DST_END, "a.dst", RULES).blocks
    assert first.points.tolist() == [[-1.2, -6.4]]
    assert second.points.tolist() == [[-3.6, -19.2]]
    assert second.travel_before.tolist() == [True]


@pytest.mark.parametrize(
    ("byte", "bit", "meaning"),
    [(b, 7 - k, m) for b, row in DST_BITS.items() for k, m in enumerate(row) if m[0] in "xy"],
)
def test_every_bit_of_a_dst_record(byte: int, bit: int, meaning: str) -> None:
    record = [0, 0, 0x03]
    record[byte] |= 1 << bit
    units = int(meaning[1:])
    expected = [units / 10, 0.0] if meaning[0] == "x" else [0.0, -units / 10]
    assert points(DST_HEADER + bytes(record) + DST_END, "a.dst") == [expected]


def test_the_longest_dst_stitch() -> None:
    """1 + 3 + 9 + 27 + 81 = 121 units: EduTech Wiki DST, "maximum stitch/jump length of 121"."""
    record = bytes([0b00000101, 0b00000101, 0b00000111])
    assert points(DST_HEADER + record + DST_END, "a.dst") == [[12.1, 0.0]]


def test_exp_pairs_are_twos_complement_and_80_begins_a_command() -> None:
    """EduTech Wiki EXP: X, Y in two's complement; 80 04 jump, 80 01 colour change, each with X, Y."""
    data = bytes([100, 0, 0, 50, 0x80, 0x01, 0, 0, 0x80, 0x04, 20, 0xEC, 0x9C, 0])
    first, second = read(data, "a.exp", RULES).blocks
    assert first.points.tolist() == [[10.0, 0.0], [10.0, -5.0]]
    assert second.points.tolist() == [[2.0, -3.0]]
    assert second.travel_before.tolist() == [True]


def test_xxx_commands() -> None:
    """EduTech Wiki XXX: 7F then 01 jump, 03 trim, 08 colour change, 7F end; 7D a long step of two bytes each.

    pyembroidery takes the long step for a jump, since no machine sews one so long.
    """
    body = bytes([20, 0, 0x7F, 0x08, 0, 0, 0x7F, 0x01, 10, 0, 5, 0, 0x7F, 0x03, 0, 0]) + b"\x7d"
    body += struct.pack("<hh", 300, 0) + bytes([5, 0, 0x7F, 0x7F, 0x02, 0x14])
    header = bytearray(0x100)
    header[0x27] = 2
    header[0xFC:0x100] = (0x100 + len(body) - 4).to_bytes(4, "little")
    first, second = read(bytes(header) + body + bytes(2 + 8), "a.xxx", RULES).blocks
    assert first.points.tolist() == [[2.0, 0.0]]
    assert second.points.tolist() == [[3.5, 0.0], [34.0, 0.0]]
    assert second.cut_before.tolist() == [False, True]
    assert second.travel_before.tolist() == [True, True]


def test_jef_stitches_are_pairs_of_offsets_with_an_escape() -> None:
    """KDE wiki: pairs of 8 bit offsets; 80 02 move, 80 01 thread change, 80 10 end of the pattern."""
    body = bytes([10, 0, 0x80, 0x01, 0, 0, 0x80, 0x02, 0, 40, 10, 0, 0x80, 0x10])
    header = struct.pack("<ii14sxxii", 0x74 + 16, 0x14, b"20240601120000", 2, 6).ljust(0x74, b"\0")
    threads = struct.pack("<iiii", 2, 10, 13, 13)
    first, second = read(header + threads + body, "a.jef", RULES).blocks
    assert first.points.tolist() == [[1.0, 0.0]]
    assert second.points.tolist() == [[2.0, -4.0]]


PEC_PAIRS = [
    # libpes wiki, PEC stitch list: with the high bit clear 0x00-0x3F is positive and 0x40-0x7F is that
    # less 0x80; with the high bit set, twelve bits of two bytes in two's complement
    ("05 3F", (0.5, 6.3)),
    ("40 7F", (-6.4, -0.1)),
    ("80 64 0A", (10.0, 1.0)),
    ("0A 8F 9C", (1.0, -10.0)),
    ("87 FF 88 00", (204.7, -204.8)),
]


@pytest.mark.parametrize(("record", "expected"), PEC_PAIRS)
def test_pec_pairs(record: str, expected: tuple[float, float]) -> None:
    assert points(pec(bytes.fromhex(record)), "a.pec") == [list(expected)]


def test_a_pec_stop_is_fe_b0_and_an_alternating_byte() -> None:
    """Libpes wiki: after a stop an alternating byte of 2 and 1 is encoded; the list ends with FF."""
    records = bytes.fromhex("05 00 FE B0 02 05 00 FE B0 01 05 00")
    blocks = read(pec(records, 4, 9, 62), "a.pec", RULES).blocks
    assert [block.points.tolist() for block in blocks] == [[[0.5, 0]], [[1.0, 0]], [[1.5, 0]]]
    assert [block.thread.catalog for block in blocks] == ["PEC 4", "PEC 9", "PEC 62"]


def pec(records: bytes, *palette: int) -> bytes:
    """A PEC file laid out as the libpes wiki tells: 512 bytes, then the part with the stitches."""
    colours = palette or (1,)
    first = b"LA:published".ljust(19) + b"\r" + b" " * 12 + b"\xff\x00" + bytes([6, 38]) + b" " * 12
    first += bytes([len(colours) - 1, *colours])
    second = bytes.fromhex("0031FFF0") + struct.pack("<hhHH", 100, 100, 0x1E0, 0x1B0)
    second += records + b"\xff"
    length = 4 + len(second)
    thumbnails = bytes(6 * 38 * (len(colours) + 1))
    return b"#PEC0001" + first.ljust(512) + b"\0\0" + struct.pack("<H", length) + second + thumbnails
