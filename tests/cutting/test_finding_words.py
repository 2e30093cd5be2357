"""What a finding says: blanks filled in the shop's unit, twins and equal findings named once."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from piecewright.cutting.findings import Finding, likeness, message_of

BARE = Finding(
    code="edge-shows",
    says="The raw edge of {piece} sticks out by {bare_mm:.2f}; {lost_mm2:.0f} mm2 are left out.",
    advice="Look.",
    values={"bare_mm": 0.5, "lost_mm2": 30.0},
    piece="2A",
)


def test_a_shop_that_reads_inches_finds_them_behind_the_millimetres() -> None:
    assert BARE.message == "The raw edge of piece 2A sticks out by 0.50 mm; 30 mm2 are left out."
    assert message_of([BARE], "in") == (
        "The raw edge of piece 2A sticks out by 0.50 mm (0.02 in); 30 mm2 are left out."  # 0.5 mm / 25.4
    )


def test_a_sentence_may_begin_with_its_piece() -> None:
    assert replace(BARE, says="{Piece} vanishes.").message == "Piece 2A vanishes."


@pytest.mark.parametrize(
    ("twins", "told"),
    [
        (("B",), "The same holds for its twin, piece B."),
        (("B", "C"), "The same holds for its twins, pieces B and C."),
        (tuple("BCDEFGH"), "The same holds for its 7 twins."),
    ],
)
def test_twins_for_which_it_holds_as_well_are_named_or_counted(twins: tuple[str, ...], told: str) -> None:
    assert replace(BARE, says="{Piece} shows.", twins=twins).message == f"Piece 2A shows. {told}"


@pytest.mark.parametrize(
    ("others", "told"),
    [
        ("B", "The same holds for piece B."),
        ("BC", "The same holds for pieces B and C."),
        ("BCDEFGH", "The same holds for 7 others."),
    ],
)
def test_findings_that_differ_in_their_piece_alone_are_told_once(others: str, told: str) -> None:
    one = replace(BARE, says="{Piece} shows.", piece="A")
    alike = [one, *(replace(one, piece=other) for other in others)]
    assert len(set(map(likeness, alike))) == 1
    assert message_of(alike) == f"Piece A shows. {told}"


@pytest.mark.parametrize(
    "other",
    [
        replace(BARE, piece="B", values={"bare_mm": 0.6, "lost_mm2": 30.0}),
        replace(BARE, piece="B", says="Something else."),
        replace(BARE, piece="B", advice="Do something else."),
        replace(BARE, piece="B", place=(1.0, 2.0)),
        replace(BARE, piece="B", twins=("C",)),
    ],
    ids=["value", "sentence", "advice", "place", "twins"],
)
def test_findings_that_differ_in_more_stand_alone(other: Finding) -> None:
    assert likeness(other) != likeness(BARE)


def test_what_is_found_twice_is_told_once() -> None:
    assert message_of([BARE, BARE]) == BARE.message


def test_names_that_somebody_typed_are_never_taken_for_blanks() -> None:
    named = replace(BARE, says="{design} has one block.", values={"design": "{piece} {0}.dst"})
    assert named.message == "{piece} {0}.dst has one block."


def test_sentences_of_the_core_keep_what_they_speak_of_in_their_blanks() -> None:
    """Text put into a sentence too early is neither in the shop's unit nor safe from braces in names."""
    core = Path(__file__).parents[2] / "service" / "piecewright" / "cutting"
    source = "\n".join(path.read_text(encoding="utf-8") for path in core.rglob("*.py"))
    put_in = re.findall(r'says=f"[^"]*(?<!\{)\{(\w[^}]*)\}', source)
    assert set(put_in) <= {"how", "worst", "what", "verb", "error.message", "SIMPLE"}  # parts of sentences
