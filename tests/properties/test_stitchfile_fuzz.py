"""Stitch files bent at random: every one ends as a design or as a refusal, and nothing else escapes."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from piecewright.cutting.errors import PiecewrightError
from piecewright.cutting.formats.stitchfile import READABLE, read
from piecewright.cutting.rules import ReadingRules
from tests.cutting.test_stitchfile import RARE, hus
from tests.samples import designs

if TYPE_CHECKING:
    from piecewright.cutting.design import Design

RULES = ReadingRules().model_copy(update={"file_bytes": 100_000, "stitches": 5_000})
WHOLE: dict[str, bytes] = {
    **RARE,
    "hus": hus(b"\x80" * 90 + b"\x84\x81\x88\x90", bytes(range(94)), bytes(range(94))),
    **{
        ending: designs.bird_blanket().written(ending)
        for ending in ("pes", "pec", "dst", "jef", "exp", "vp3", "xxx", "u01", "tbf")
    },
}
WHOLE["pes6"] = designs.bird_blanket().written("pes", version=6)


@st.composite
def bent(draw: st.DrawFn) -> tuple[str, bytes]:
    """A whole file with some bytes changed, cut out, doubled or put in, and perhaps another ending."""
    kind = draw(st.sampled_from(sorted(WHOLE)))
    data = bytearray(WHOLE[kind])
    for _ in range(draw(st.integers(1, 6))):
        at = draw(st.integers(0, len(data)) | st.integers(0, min(600, len(data))))
        size = draw(st.sampled_from([1, 2, 3, 4, 40, 400]))
        bend = draw(st.sampled_from(["set", "fill", "cut", "double", "insert", "end"]))
        if bend == "set":
            data[at : at + size] = draw(st.binary(min_size=1, max_size=4))
        elif bend == "fill":
            data[at : at + size] = draw(st.sampled_from([b"\0", b"\xff", b"\x80", b"\x7f"])) * size
        elif bend == "cut":
            del data[at : at + size]
        elif bend == "double":
            data[at:at] = data[at : at + size]
        elif bend == "insert":
            data[at:at] = draw(st.binary(max_size=30))
        else:
            del data[at:]
    ending = kind[:3] if draw(st.integers(0, 9)) else draw(st.sampled_from(sorted(READABLE)))
    return f"bent.{ending}", bytes(data)


def outcome(name: str, data: bytes) -> Design | PiecewrightError:
    try:
        return read(data, name, RULES)
    except PiecewrightError as error:
        return error


def check(name: str, data: bytes) -> None:
    got = outcome(name, data)
    if isinstance(got, PiecewrightError):
        assert got.blame == "drop"
        assert got.message
        assert got.advice
        return
    assert got.stitches <= RULES.stitches
    assert [block.number for block in got.blocks] == list(range(1, len(got.blocks) + 1))
    for block in got.blocks:
        assert block.points.shape == (len(block.points), 2)
        assert len(block.cut_before) == len(block.travel_before) == len(block.points)
        assert np.isfinite(block.points).all()


@settings(max_examples=1500)
@given(bent())
def test_bent_files_end_as_a_design_or_a_refusal(file: tuple[str, bytes]) -> None:
    check(*file)


@settings(max_examples=500)
@given(st.sampled_from(sorted(READABLE)), st.binary(max_size=3_000))
def test_any_bytes_end_as_a_design_or_a_refusal(ending: str, data: bytes) -> None:
    check(f"any.{ending}", data)


@pytest.mark.parametrize("kind", sorted(WHOLE))
def test_the_files_that_are_bent_are_whole(kind: str) -> None:
    assert read(WHOLE[kind], f"whole.{kind[:3]}", RULES).stitches > 8
