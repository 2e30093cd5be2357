"""Reading stitch files: what comes out of files that are whole."""

from __future__ import annotations

import io
import struct
from typing import TYPE_CHECKING, Any

import numpy as np
import pyembroidery
import pytest
from pyembroidery.EmbThreadPec import get_thread_set

from piecewright.cutting.design import Thread
from piecewright.cutting.formats.stitchfile import READABLE, read
from piecewright.cutting.rules import ReadingRules
from tests.samples import designs

if TYPE_CHECKING:
    from piecewright.cutting.design import Design

RULES = ReadingRules()
FORMATS = {f["extension"]: f for f in pyembroidery.EmbPattern.supported_formats()}
WRITABLE = ("pes", "pec", "dst", "jef", "exp", "vp3", "xxx", "u01", "tbf")


def written(pattern: Any, ending: str, **settings: Any) -> bytes:  # noqa: ANN401 - pyembroidery has no types
    stream = io.BytesIO()
    pyembroidery.EmbPattern.write_embroidery(FORMATS[ending]["writer"], pattern, stream, settings)
    return stream.getvalue()


def pattern(
    *, halts: str = "CCC", threads: tuple[str, ...] = ("#ff0000", "#0000ff", "#00ff00", "#ffff00")
) -> Any:  # noqa: ANN401
    """Squares in a row, 10 mm each, with a halt between each two.

    +--+  +--+  +--+  +--+     block 2 has a cut, a travel and a short line after its square
    |  |  |  |--|  |  |  |
    +--+  +--+  +--+  +--+
    """
    made = pyembroidery.EmbPattern()
    for thread in threads:
        made.add_thread(pyembroidery.EmbThread(thread, f"Thread {thread}"))
    for number in range(len(halts) + 1):
        for x, y in ((0, 0), (50, 0), (100, 0), (100, 100), (50, 100), (0, 100), (0, 0)):
            made.stitch_abs(200 * number + x, y)
        if number == 1:
            made.trim()
            made.move_abs(350, 50)
            made.stitch_abs(350, 50)
            made.stitch_abs(380, 50)
        command = {"C": made.color_change, "S": made.stop, "": None}
        if number < len(halts):
            command[halts[number]]()
    made.end()
    return made


def design_of(ending: str, **made: Any) -> Design:  # noqa: ANN401
    return read(written(pattern(**made), ending), f"square.{ending}", RULES)


@pytest.mark.parametrize("ending", WRITABLE)
def test_blocks_lie_between_halts_in_mm_and_y_down(ending: str) -> None:
    design = design_of(ending)
    assert design.format == ending.upper()
    assert [block.number for block in design.blocks] == [1, 2, 3, 4]
    assert design.bounds_mm == (0.0, 0.0, 70.0, 10.0)
    last = design.blocks[3].points
    assert np.unique(last, axis=0).tolist() == [[60, 0], [60, 10], [65, 0], [65, 10], [70, 0], [70, 10]]
    assert last[-2:].tolist() == [[60, 10], [60, 0]]


@pytest.mark.parametrize("ending", WRITABLE)
def test_cuts_and_travels_are_marked_where_they_are(ending: str) -> None:
    block = design_of(ending).blocks[1]
    inside = slice(3, None)  # before that lies the travel from the first square
    marked = block.points[inside][block.cut_before[inside]]
    travelled = block.points[inside][block.travel_before[inside]]
    if ending == "vp3":  # the trim is kept, the travel of 15 mm comes back as a stitch
        assert marked.tolist() == travelled.tolist() == [[35, 5]]
    else:
        assert 1 <= len(marked) <= 2
        assert marked[0].tolist() in ([35, 5], [20, 0])
        assert travelled[-1].tolist() == [35, 5]


@pytest.mark.parametrize("ending", ["pes", "pec", "dst", "jef", "exp", "xxx", "u01", "tbf"])
def test_colour_changes_and_stops_halt_alike(ending: str) -> None:
    changes, stops = design_of(ending, halts="CCC"), design_of(ending, halts="CSC")
    assert [block.points.tolist() for block in changes.blocks] == [b.points.tolist() for b in stops.blocks]


def test_after_a_stop_the_thread_is_the_same() -> None:
    blocks = design_of("jef", halts="CSC", threads=("#ff0000", "#0b2f84", "#ffff17")).blocks
    assert [block.thread.colour for block in blocks] == ["#ff0000", "#0b2f84", "#0b2f84", "#ffff17"]


def test_equal_neighbours_of_a_pes_file_are_two_blocks_of_one_thread() -> None:
    blocks = design_of("pes", threads=("#ed171f", "#0b3d91", "#0b3d91", "#ed171f")).blocks
    assert [block.thread.catalog for block in blocks] == ["PEC 5", "PEC 21", "PEC 21", "PEC 5"]


def test_formats_without_colours_have_nameless_threads() -> None:
    for ending in ("dst", "exp", "u01"):
        assert {block.thread for block in design_of(ending).blocks} == {Thread()}


def test_thread_names_of_pes_6_and_vp3_survive() -> None:
    pes = read(written(pattern(), "pes", version=6), "a.pes", RULES)
    vp3 = design_of("vp3")
    assert [b.thread.name for b in pes.blocks][:2] == ["Thread #ff0000", "Thread #0000ff"]
    assert [b.thread.name for b in vp3.blocks][:2] == ["Thread #ff0000", "Thread #0000ff"]


def test_a_colour_in_the_place_of_a_name_is_no_name() -> None:
    made = pattern()
    for thread in made.threadlist:
        thread.description = None  # the VP3 writer then puts the colour
    design = read(written(made, "vp3"), "a.vp3", RULES)
    assert {block.thread.name for block in design.blocks} == {None}


@pytest.mark.parametrize("version", [1, 6])
def test_applique_entries_of_the_pec_palette_are_named_by_their_numbers(version: int) -> None:
    made = pattern(threads=("#ff0000", "#0000ff", "#00ff00", "#ffff00"))
    data = bytearray(written(made, "pes", version=version))
    palette = data.rindex(b"LA:") + 49
    data[palette : palette + 4] = bytes([62, 63, 64, 5])
    blocks = read(bytes(data), "a.pes", RULES).blocks
    own = "Thread #ff0000" if version == 6 else "appliqué material"
    assert [b.thread.catalog for b in blocks][:3] == ["PEC 62", "PEC 63", "PEC 64"]
    assert blocks[0].thread.name == own
    assert blocks[3].thread.catalog == ("PEC 5" if version == 1 else None)


def test_the_palette_counts_as_pyembroidery_counts_it() -> None:
    table = get_thread_set()
    made = pattern(threads=tuple(table[k].hex_color() for k in (1, 20, 40, 61)))
    names = [block.thread.name for block in read(written(made, "pec"), "a.pec", RULES).blocks]
    assert names == [table[k].description for k in (1, 20, 40, 61)]


def test_a_needle_chosen_before_the_first_stitch_begins_no_block_and_halts_at_the_end_none() -> None:
    made = pattern(halts="C")
    made.stitches.pop()
    made.color_change()
    made.stop()
    made.end()
    for ending in ("u01", "tbf", "dst"):
        assert len(read(written(made, ending), f"a.{ending}", RULES).blocks) == 2


def test_a_block_without_needle_points_still_counts() -> None:
    made = pattern(halts="")
    made.stitches.pop()
    made.color_change()
    made.color_change()
    made.stitch(10, 0)
    made.stitch(10, 0)
    made.end()
    design = read(written(made, "dst"), "a.dst", RULES)
    assert [len(block.points) for block in design.blocks] == [7, 0, 2]


def test_three_jumps_in_a_row_are_a_cut_in_dst_and_two_are_none() -> None:
    def jumps(count: int) -> bytes:
        head = b"LA:test\r".ljust(512)
        stitch, jump, end = bytes([1, 0, 0x03]), bytes([1, 0, 0x83]), bytes([0, 0, 0xF3])
        return head + stitch * 5 + jump * count + stitch * 5 + end

    for count, cut in ((1, False), (2, False), (3, True), (9, True)):
        (block,) = read(jumps(count), "a.dst", RULES).blocks
        assert np.flatnonzero(block.travel_before).tolist() == [0, 5][1:] if count else []
        assert np.flatnonzero(block.cut_before).tolist() == ([5] if cut else [])


def test_jumps_that_return_are_a_cut_but_no_travel() -> None:
    head = b"LA:test\r".ljust(512)
    stitch, there, back, end = b"\x01\x00\x03", b"\x01\x00\x83", b"\x02\x00\x83", b"\x00\x00\xf3"
    data = head + stitch * 5 + there + back + there + back + stitch * 5 + end
    (block,) = read(data, "a.dst", RULES).blocks
    assert np.flatnonzero(block.cut_before).tolist() == [5]
    assert not block.travel_before[1:].any()


def test_vp3_travels_are_told_as_a_finding_with_their_place() -> None:
    design = design_of("vp3")
    (finding,) = design.findings
    assert finding.code == "travels-unmarked"
    assert finding.place == (20.0, 0.0)
    assert "PES" in finding.advice


@pytest.mark.parametrize("start", [(0, 50), (50, 0), (-40, 70)])
def test_a_vp3_block_begins_where_it_says_also_on_an_axis(start: tuple[int, int]) -> None:
    """Three blocks of four steps each; the second is moved by the place that its head gives."""
    made = pyembroidery.EmbPattern()
    made.add_thread("#123456")
    for step in range(-60, 70, 10):  # in the middle of the hoop, so that places are counted from 0
        made.stitch_abs(step, step)
        if step in {-20, 20}:
            made.color_change()
    made.end()
    data = bytearray(written(made, "vp3"))
    second = data.index(b"\x00\x05\x00", data.index(b"\x00\x05\x00") + 1)
    data[second + 7 : second + 15] = struct.pack(">ii", start[0] * 100, -start[1] * 100)
    design = read(bytes(data), "a.vp3", RULES)
    expected = np.array(start) + np.arange(10, 50, 10)[:, None]
    assert design.blocks[1].points.tolist() == (expected / 10).tolist()


def test_a_pes_file_whose_own_part_leads_nowhere_is_read_by_its_pec_part() -> None:
    """Version 6: no texts, fills, motifs and feathers, then 65,535 threads that are not there."""
    data = bytearray(written(pattern(threads=("#ed171f", "#0b3d91", "#a8a8a8", "#000000")), "pes", version=6))
    start = int.from_bytes(data[8:12], "little")
    data[12:start] = bytes(start - 12)
    data[88:90] = b"\xff\xff"
    odd = read(bytes(data), "a.pes", RULES)
    whole = design_of("pes", threads=("#ed171f", "#0b3d91", "#a8a8a8", "#000000"))
    assert [b.points.tolist() for b in odd.blocks] == [b.points.tolist() for b in whole.blocks]
    assert [b.thread.catalog for b in odd.blocks] == ["PEC 5", "PEC 21", "PEC 16", "PEC 20"]


def test_sequins_are_no_needle_points() -> None:
    """DST: 43 switches sequins on and off, and jumps between let one fall."""
    stitch, jump, switch = b"\x01\x00\x03", b"\x01\x00\x83", b"\x00\x00\x43"
    data = b"LA:x\r".ljust(512) + stitch * 3 + switch + jump + stitch + jump + switch + stitch * 3
    (block,) = read(data + b"\x00\x00\xf3", "a.dst", RULES).blocks
    assert block.points[:, 0].round(6).tolist() == [0.1, 0.2, 0.3, 0.5, 0.7, 0.8, 0.9]
    assert not block.cut_before.any()


def test_a_jef_file_that_lists_too_few_threads_is_read() -> None:
    data = bytearray(written(pattern(), "jef", date="20240601120000"))
    start = int.from_bytes(data[:4], "little")
    data[24:28] = (2).to_bytes(4, "little")
    assert start == 0x74 + 8 * 4
    blocks = read(bytes(data), "a.jef", RULES).blocks
    assert [block.thread.colour is None for block in blocks] == [False, False, True, True]


@pytest.mark.parametrize("ending", WRITABLE)
def test_arrays_are_read_only(ending: str) -> None:
    for block in design_of(ending).blocks:
        for array in (block.points, block.cut_before, block.travel_before):
            assert not array.flags.writeable


@pytest.mark.parametrize("ending", WRITABLE)
def test_the_same_design_has_the_same_points_in_every_format(ending: str) -> None:
    for make in (designs.patch_ring, designs.bird_blanket):
        reference = read(make().written("dst"), "a.dst", RULES)
        design = read(make().written(ending), f"a.{ending}", RULES)
        assert len(design.blocks) == len(reference.blocks)
        for block, other in zip(design.blocks, reference.blocks, strict=True):
            ours, theirs = _distinct(block.points), _distinct(other.points)
            # pyembroidery's VP3 writer cuts the places where blocks begin to whole units
            assert np.allclose(ours, theirs, rtol=0, atol=0.1001 if ending == "vp3" else 1e-9)


@pytest.mark.parametrize("ending", WRITABLE)
def test_points_are_those_of_pyembroidery(ending: str) -> None:
    data = designs.boat().written(ending)
    library = pyembroidery.EmbPattern()
    FORMATS[ending]["reader"].read(io.BytesIO(data), library, None)
    expected = np.array([s[:2] for s in library.stitches if s[2] & 0xFF == pyembroidery.STITCH]) / 10
    points = np.concatenate([block.points for block in read(data, f"a.{ending}", RULES).blocks])
    assert np.allclose(points, expected, atol=1e-9)


def test_the_ending_may_be_in_capitals_and_the_name_in_any_script() -> None:
    assert read(written(pattern(), "dst"), "舟.DST", RULES).name == "舟.DST"


# --- HUS and formats that pyembroidery reads but does not write ----------------------------------


def hus(commands: bytes, xs: bytes, ys: bytes) -> bytes:
    """HUS with columns as pyembroidery's own ``compress`` packs them."""
    from pyembroidery.EmbCompress import compress  # noqa: PLC0415

    packed = [bytes(compress(column)) for column in (commands, xs, ys)]
    starts = [42 + 4, 42 + 4 + len(packed[0]), 42 + 4 + len(packed[0]) + len(packed[1])]
    numbers = (0x00C8AF5B, len(commands), 2)
    head = b"".join(n.to_bytes(4, "little") for n in numbers) + bytes(8)
    head += b"".join(n.to_bytes(4, "little") for n in starts) + bytes(10)
    return head + b"\x00\x00\x05\x00" + b"".join(packed)


def test_hus_is_read() -> None:
    data = hus(
        b"\x80\x80\x84\x81\x80\x88\x80\x90",
        bytes([0, 20, 0, 9, 20, 0, 20, 0]),
        bytes([0, 0, 0, 0, 246, 0, 0, 0]),
    )
    first, second = read(data, "a.hus", RULES).blocks
    assert first.points.tolist() == [[0, 0], [2, 0]]
    assert second.points.tolist() == [[4.9, 1], [6.9, 1]]
    assert second.cut_before.tolist() == [False, True]
    assert second.travel_before.tolist() == [True, False]
    assert first.thread.colour != second.thread.colour


def pairs(halt: bytes, end: bytes) -> bytes:
    """Five stitches, a halt, four stitches, an end, in formats of two signed bytes."""
    return b"\x01\x00" * 5 + halt + b"\x01\x00" * 4 + end


def triples(stitch: tuple[int, ...], halt: tuple[int, ...], end: tuple[int, ...] = ()) -> bytes:
    """The same in formats of three or four bytes."""
    return bytes(stitch) * 5 + bytes(halt) + bytes(stitch) * 4 + bytes(end)


TERNARY = triples((1, 0, 0x03), (0, 0, 0xC3), (0, 0, 0xF3))
TEXT = b"LA:x\r".ljust(512)

RARE: dict[str, bytes] = {
    "tap": TERNARY,
    "exy": bytes(0x100) + TERNARY,
    "dsb": TEXT + triples((0x80, 0, 1), (0xE8, 0, 0), (0xF8, 0, 0)),
    "dsz": TEXT + triples((0, 1, 0x80), (0, 0, 0x82)),
    "fxy": bytes(0x100) + triples((0, 1, 0x80), (0, 0, 0x82)),
    "10o": triples((0x80, 0, 1), (0x85, 0, 0), (0x87, 0, 0)),
    "100": triples((0x61, 0, 1, 0), (0, 0, 0, 0)),
    "emd": bytes(0x30) + pairs(b"\x80\x2a", b"\x80\xfd"),
    "inb": bytes(0x2000) + triples((1, 0, 0), (0, 0, 1), (0, 0, 4)),
    "stc": b"DESIGN: x".ljust(0x28) + triples((1, 0, 1), (0, 0, 3), (0, 0, 25)),
    "sew": b"\x01\x00\x05\x00".ljust(0x1D78, b"\0") + pairs(b"\x80\x01\x00\x00", b""),
    "stx": b"STX".ljust(20, b"\0") + struct.pack("<i", 24) + pairs(b"\x80\x01\x00\x00", b""),
    "jpx": struct.pack("<i28xii32x", 0x48, 2, 7) + pairs(b"\x80\x01\x00\x00", b"\x80\x10"),
}


@pytest.mark.parametrize("ending", RARE)
def test_formats_of_other_machines_are_read(ending: str) -> None:
    blocks = read(RARE[ending], f"a.{ending}", RULES).blocks
    assert [len(block.points) for block in blocks] == [5, 4]
    assert blocks[1].points[-1].tolist() == [0.9, 0]


def test_jpx_threads_have_no_colours_thrown_by_dice() -> None:
    threads = [block.thread for block in read(RARE["jpx"], "a.jpx", RULES).blocks]
    assert [thread.colour for thread in threads] == [None, None]


def test_every_format_that_is_read_is_tried_here() -> None:
    assert set(READABLE) == {*WRITABLE, *RARE, "hus", "phb"}


def test_phb_is_read() -> None:
    pec = written(pattern(halts="C"), "pec")
    stitches = pec[8 + 512 + 16 :]
    data = bytearray(b"#PHB0003".ljust(0x71, b"\0") + b"\x02\x00" + b"\x05\x15")
    data = data.ljust(0x100, b"\0")
    first = len(data)
    data[0x54:0x58] = (first - 0x52).to_bytes(4, "little")
    data += (10).to_bytes(4, "little") + bytes(8)  # to the second part: first + 10 + 2
    data += (8).to_bytes(4, "little") + bytes(4)  # to the third part
    data += bytes(14) + b"\x02" + bytes(2 + 0x15) + stitches
    design = read(bytes(data), "a.phb", RULES)
    assert [block.thread.name for block in design.blocks] == ["Red", "Ultramarine"]
    assert [len(block.points) for block in design.blocks] == [7, 9]


def _distinct(points: Any) -> list[list[float]]:  # noqa: ANN401
    """Points without repeats in a row, which some writers put behind jumps."""
    kept: list[list[float]] = []
    for point in np.round(points, 6).tolist():
        if not kept or kept[-1] != point:
            kept.append(point)
    return kept
