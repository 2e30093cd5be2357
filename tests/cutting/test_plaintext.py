"""Text from outside made fit for files, and lists as people say them."""

from __future__ import annotations

from xml.etree import ElementTree as ET

from hypothesis import given
from hypothesis import strategies as st

from piecewright.cutting.plaintext import listing, plain


def test_letters_of_every_script_and_signs_stay() -> None:
    assert plain("Moss & <rust> · 青い 🧵") == "Moss & <rust> · 青い 🧵"


def test_control_characters_and_line_ends_become_one_blank() -> None:
    assert plain(" a\x00\x07b\r\n\u2028c\x1b[31m ") == "a b c [31m"


def test_marks_that_turn_the_writing_direction_go() -> None:
    assert plain("moss\u202egvs.exe") == "moss gvs.exe"


def test_long_text_is_cut() -> None:
    assert plain("x" * 10_000, 60) == "x" * 60


def test_lists_read_as_sentences() -> None:
    assert listing(["A"]) == "A"
    assert listing(["A", "B"]) == "A and B"
    assert listing(["A", "B", "C"]) == "A, B and C"


@given(st.text(st.characters(codec=None)))
def test_any_text_can_stand_in_xml(text: str) -> None:
    element = ET.Element("title")
    element.text = plain(text)
    read = ET.fromstring(ET.tostring(element, encoding="utf-8"))  # noqa: S314 - made in the line before
    assert (read.text or "") == plain(text)
