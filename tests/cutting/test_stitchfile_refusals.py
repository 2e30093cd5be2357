"""Reading stitch files: what is refused, and what the operator is told."""

from __future__ import annotations

import random
import struct
from dataclasses import replace

import pytest

from piecewright.cutting.errors import LimitPassed, PiecewrightError, RefusedFormat, UnreadableDesign
from piecewright.cutting.formats.stitchfile import READABLE, STITCH_ENDINGS, read
from piecewright.cutting.formats.stitchfile.containers import Promise
from piecewright.cutting.formats.stitchfile.decode import decode
from piecewright.cutting.rules import ReadingRules
from tests.samples import designs
from tests.samples.sewing import Sewing

RULES = ReadingRules()
FILES = {
    ending: designs.bird_blanket().written(ending)
    for ending in ("pes", "pec", "dst", "jef", "exp", "vp3", "xxx", "u01", "tbf")
}

STITCHES = read(FILES["dst"], "wren.dst", RULES).stitches


def refusal(data: bytes, name: str, rules: ReadingRules = RULES) -> PiecewrightError:
    with pytest.raises(PiecewrightError) as caught:
        read(data, name, rules)
    error = caught.value
    assert name in error.message
    assert error.message.endswith(".")
    assert error.advice.endswith(".")
    assert error.blame == "drop"
    return error


# --- endings -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "ending", ["gt", "max", "pcs", "pcm", "pcq", "pcd", "bro", "ksm", "mit", "new", "zxy", "zhs", "dat"]
)
def test_formats_that_come_back_wrong_are_refused_naming_some_that_do_not(ending: str) -> None:
    error = refusal(b"anything", f"boat.{ending.upper()}")
    assert isinstance(error, RefusedFormat)
    assert "true to scale" in error.message
    assert "PES" in error.advice
    assert ending in STITCH_ENDINGS


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("boat.emb", "a format that no open reader understands"),
        ("boat.jpg", 'ends in ".jpg", which is no stitch format'),
        *((name, "no ending that says its format") for name in ("boat.", "boat", ".pes", "pes")),
    ],
)
def test_what_is_no_stitch_format_is_refused(name: str, said: str) -> None:
    error = refusal(b"anything", name)
    assert isinstance(error, RefusedFormat)
    assert error.message.startswith(name)
    assert said in error.message
    assert "Export the design again as PES" in error.advice


# --- empty, enormous ------------------------------------------------------------------------------


@pytest.mark.parametrize("ending", FILES)
def test_an_empty_file_is_told_to_be_empty(ending: str) -> None:
    assert "is empty" in refusal(b"", f"a.{ending}").message


@pytest.mark.parametrize("ending", FILES)
def test_a_copy_that_was_begun_and_never_finished_is_told_so(ending: str) -> None:
    assert "never finished" in refusal(bytes(5_000), f"a.{ending}").message


def test_a_file_over_the_limit_is_refused_before_it_is_read() -> None:
    error = refusal(FILES["dst"], "a.dst", RULES.model_copy(update={"file_bytes": 2_000}))
    assert isinstance(error, LimitPassed)
    assert "file_bytes" in error.advice


def test_a_design_with_more_stitches_than_the_limit_is_refused() -> None:
    error = refusal(FILES["pes"], "a.pes", RULES.model_copy(update={"stitches": 500}))
    assert isinstance(error, LimitPassed)
    assert f"{STITCHES} stitches" in error.message


def test_a_small_hus_file_cannot_ask_for_millions_of_stitches() -> None:
    columns = struct.pack("<iii", 46, 60, 70)
    data = struct.pack("<iii", 0x00C8AF5B, 50_000_000, 1) + bytes(8) + columns + bytes(843)
    assert "50,000,000" in refusal(data, "a.hus").message


@pytest.mark.parametrize("bits", ["11100", "10101"])
def test_a_small_hus_file_cannot_ask_for_gigabytes_of_tables(bits: str) -> None:
    """Codes of 17 bits and more: 16 bits of count, 5 of table size, then lengths in unary behind 7."""
    packed = int("0" * 16 + bits + "111" * 3 + "1" * 400, 2).to_bytes(54, "big")
    starts = struct.pack("<iii", 46, 46 + len(packed), 46 + 2 * len(packed))
    data = struct.pack("<iii", 0x00C8AF5B, 1000, 1) + bytes(8) + starts + bytes(14) + packed * 3
    error = refusal(data, "a.hus")
    assert isinstance(error, UnreadableDesign)
    assert "makes no sense as HUS at byte 46" in error.message


def test_many_trims_in_a_dst_file_are_read_in_one_pass() -> None:
    """Jumps that return: pyembroidery takes each pair out of the middle of its list."""
    jumps = b"\x01\x00\x83\x02\x00\x83" * 3
    data = (
        b"LA:x\r".ljust(512) + (jumps + b"\x01\x00\x03" + jumps + b"\x02\x00\x03") * 4_000 + b"\x00\x00\xf3"
    )
    design = read(data, "a.dst", RULES)
    assert design.stitches == 8_000
    assert design.blocks[0].cut_before.all()


# --- renamed --------------------------------------------------------------------------------------


@pytest.mark.parametrize("ending", ["dst", "jef", "exp", "xxx", "vp3", "hus"])
@pytest.mark.parametrize("really", ["pes", "vp3"])
def test_a_renamed_stitch_file_is_named_for_what_it_is(really: str, ending: str) -> None:
    if really == ending:
        assert read(FILES[really], f"a.{ending}", RULES).stitches == STITCHES
        return
    error = refusal(FILES[really], f"a.{ending}")
    assert f"is a {really.upper()} file inside" in error.message
    assert f'".{really}"' in error.advice


OTHERS = {
    "a PDF": b"%PDF-1.7\n%abc\n" + bytes(range(256)),
    "a PNG": b"\x89PNG\r\n\x1a\n" + bytes(range(256)),
    "a GIF": b"GIF89a" + bytes(range(256)),
    "a BMP": b"BM\x36\x10\0\0" + bytes(4) + bytes(range(256)),
    "a JPEG": b"\xff\xd8\xff\xe0" + bytes(range(256)),
    "a zip": b"PK\x03\x04" + bytes(range(256)),
    "a RAR": b"Rar!\x1a\x07\x00" + bytes(range(256)),
    "SVG": b"<?xml version='1.0'?><svg></svg>",
    "a web page": b"<!DOCTYPE html><html><body>Not found</body></html>",
    "a Windows program": b"MZ" + bytes(98) + b"PE\0\0" + bytes(range(256)),
}


@pytest.mark.parametrize("what", OTHERS)
@pytest.mark.parametrize("ending", ["dst", "exp", "pes", "10o"])
def test_another_kind_of_file_is_named_for_what_it_is(what: str, ending: str) -> None:
    assert what in refusal(OTHERS[what], f"a.{ending}").message


@pytest.mark.parametrize("really", FILES)
@pytest.mark.parametrize("ending", FILES)
def test_no_renamed_file_is_read_as_something_else(really: str, ending: str) -> None:
    """EXP and U01 can hold any bytes; what they read then is seen to be no design, or is cut short."""
    whole = read(FILES[really], f"a.{really}", RULES)
    try:
        design = read(FILES[really], f"a.{ending}", RULES)
    except PiecewrightError:
        return
    assert [b.points.tolist() for b in design.blocks] == [b.points.tolist() for b in whole.blocks]


# --- cut short, damaged, garbage ------------------------------------------------------------------


@pytest.mark.parametrize("ending", sorted(set(FILES) - {"exp"}))
def test_a_file_cut_short_anywhere_is_refused_or_still_has_every_stitch(ending: str) -> None:
    """Thumbnails and colours behind the stitches may be missing; of the stitches nothing may."""
    data = FILES[ending]
    whole = read(data, f"a.{ending}", RULES)
    for size in [*range(1, len(data), 7), *range(len(data) - 40, len(data))]:
        try:
            design = read(data[:size], f"a.{ending}", RULES)
        except UnreadableDesign as error:
            assert f"a.{ending}" in error.message  # noqa: PT017 - most sizes raise, some may not
        else:
            assert design.stitches == whole.stitches
            assert len(design.blocks) == len(whole.blocks)


def test_an_exp_file_cut_in_half_a_stitch_is_refused() -> None:
    """EXP has no counts, no lengths and no end mark; more cannot be seen."""
    assert "half a stitch" in refusal(FILES["exp"][:401], "a.exp").message


def test_a_dst_file_without_end_mark_is_told_with_what_its_header_tells() -> None:
    data = FILES["dst"]
    assert data.endswith(b"\x00\x00\xf3")
    message = refusal(data[:-30], "a.dst").message
    assert (
        f"after {(len(data) - 512) // 3 - 10} records without an end mark, and its header tells of" in message
    )


def test_a_dst_file_whose_header_tells_of_more_is_read_with_a_finding() -> None:
    data = FILES["dst"].replace(b"ST:    ", b"ST: 999").replace(b"+X:  3", b"+X: 93")
    assert data != FILES["dst"]
    assert [finding.code for finding in read(data, "a.dst", RULES).findings] == ["header-disagrees"]


def test_bytes_behind_a_dst_end_mark_are_left_alone_if_the_header_says_that_all_is_there() -> None:
    tail = random.Random(1).randbytes(900)  # noqa: S311 - reproducible noise
    assert read(FILES["dst"] + tail, "a.dst", RULES).findings == ()


def test_bytes_that_are_not_understood_at_the_end_of_a_file_that_may_hold_more_are_a_finding() -> None:
    head = b"\x01\x00\x05\x00".ljust(0x1D78, b"\0")
    tail = b"\x80\x70\x00\x00" + random.Random(1).randbytes(400)  # noqa: S311 - reproducible noise
    design = read(head + b"\x05\x00" * 1_000 + tail, "a.sew", RULES)
    assert [finding.code for finding in design.findings] == ["bytes-unread"]
    assert "400 bytes" in design.findings[0].message


def test_an_end_mark_in_the_middle_is_damage() -> None:
    data = bytearray(FILES["dst"])
    data[512 + 300 : 512 + 303] = b"\x00\x00\xf3"
    assert "behind its end mark" in refusal(bytes(data), "a.dst").message


@pytest.mark.parametrize("ending", ["exp", "jef", "u01", "tbf"])
def test_a_record_that_makes_no_sense_is_told_with_its_place(ending: str) -> None:
    data = bytearray(FILES[ending])
    at = {"exp": 400, "jef": 116 + 8 * 7 + 400, "u01": 256 + 399, "tbf": 0x600 + 399}[ending]
    data[at : at + 3] = {"u01": b"\xff\x00\x00", "tbf": b"\x00\x00\x55"}.get(ending, b"\x80\x77\x00")
    message = refusal(bytes(data), f"a.{ending}").message
    place = int(message.split(" at byte ")[1].rstrip("."))
    assert at < place <= at + 4


def test_a_pec_block_longer_than_its_length_is_damage() -> None:
    data = bytearray(FILES["pec"])
    data[8 + 514 : 8 + 517] = (200).to_bytes(3, "little")
    assert "beyond" in refusal(bytes(data), "a.pec").message


@pytest.mark.parametrize("ending", sorted(STITCH_ENDINGS))
def test_garbage_is_refused(ending: str) -> None:
    noise = random.Random(ending)  # noqa: S311 - reproducible noise
    for size in (600, 2_000, 9_001, 40_000):
        refusal(noise.randbytes(size), f"a.{ending}")


def test_stitches_that_begin_like_a_picture_are_stitches() -> None:
    """BM is the start of a bitmap, MZ of a program, and either is a fair first stitch of an EXP file."""
    for start in (b"BM", b"MZ"):
        design = read(start + b"\x05\x03" * 40, "a.exp", RULES)
        assert design.stitches == 41


def test_a_field_of_metres_is_no_design() -> None:
    assert "by 0 mm" in refusal(b"\x40\x00" * 500, "a.exp").message


def test_many_more_halts_than_stitches_are_no_design() -> None:
    assert "halts 300 times" in refusal(b"\x05\x00" * 20 + b"\x80\x01\x00\x00" * 300, "a.exp").message


def test_an_empty_design_is_a_design_without_blocks() -> None:
    for ending in ("pes", "dst", "tbf", "u01"):
        empty = Sewing("Empty").written(ending)
        if ending == "u01":  # the writer stops after the header
            empty += b"\xf8\x00\x00"
        assert read(empty, f"a.{ending}", RULES).blocks == ()


# --- rarer damage ---------------------------------------------------------------------------------


def test_a_stitch_file_under_another_name_is_named_for_what_it_is() -> None:
    for name in ("boat.txt", "boat"):
        error = refusal(FILES["pes"], name)
        assert isinstance(error, RefusedFormat)
        assert "PES file inside" in error.message
        assert '".pes"' in error.advice


def test_a_pec_file_named_pes_is_read() -> None:
    design = read(FILES["pec"], "boat.pes", RULES)
    assert design.stitches == STITCHES


def test_a_pes_file_broken_behind_its_first_stitches_is_not_read_as_another_part() -> None:
    data = bytearray(FILES["pes"])
    start = int.from_bytes(data[8:12], "little")
    stitches = start + 532
    data[stitches + 600 :] = b""  # in the middle of the stitches
    error = refusal(bytes(data), "a.pes")
    assert isinstance(error, UnreadableDesign)
    assert "is cut short" in error.message
    assert "620 are there" in error.message


def test_hus_columns_out_of_order_make_no_sense() -> None:
    for columns in ((60, 46, 70), (46, 70, 60), (40, 60, 70)):
        data = struct.pack("<iii", 0x00C8AF5B, 100, 1) + bytes(8) + struct.pack("<iii", *columns) + bytes(80)
        assert "makes no sense" in refusal(data, "a.hus").message


def test_a_format_that_asks_for_more_memory_than_there_is_is_refused_and_not_a_fault_of_ours() -> None:
    def greedy(_stream: object, _out: object) -> None:
        raise MemoryError

    form = replace(READABLE["dst"], decode=greedy)
    with pytest.raises(LimitPassed, match="more memory") as caught:
        decode(FILES["dst"], "a.dst", form, Promise())
    assert "damaged" in caught.value.advice
