"""Words and numbers as people say them."""

from __future__ import annotations

import pytest

from piecewright.cutting.sheet import words


def test_a_length_for_two_rulers_is_said_in_both_units() -> None:
    assert words.both(76.2, "mm") == "76.2 mm (3 in)"
    assert words.both(76.2, "in") == "3 in (76.2 mm)"
    assert words.both(87.0, "in") == "3 7/16 in (87 mm)"  # 87 / 25.4 = 3.425, nearest 3 6.8/16


def test_a_size_names_its_unit_once() -> None:
    assert words.size(84.836, 92.456, "in") == "3.34 × 3.64 in"
    assert words.size(53.4, 28.0, "mm") == "53.4 × 28 mm"


def test_counts_read_as_sentences() -> None:
    assert words.count(1, "piece") == "1 piece"
    assert words.count(3, "piece") == "3 pieces"


def test_a_twin_is_told_by_how_it_is_turned() -> None:
    assert words.turn(0.2, mirrored=False) == ""
    assert words.turn(90.0, mirrored=False) == "turned 90° clockwise"
    assert words.turn(284.0, mirrored=False) == "turned 76° anticlockwise"
    assert words.turn(180.0, mirrored=False) == "turned by half"
    assert words.turn(359.8, mirrored=True) == "mirrored"
    assert words.turn(90.0, mirrored=True) == "mirrored, then turned 90° clockwise"


def test_a_link_leads_to_the_file_beside_the_sheet_whatever_its_name() -> None:
    assert words.link("mat-1.svg") == "mat-1.svg"
    assert words.link("a/b#1 ü?.svg") == "a%2Fb%231%20%C3%BC%3F.svg"


def test_times_are_rounded_to_what_a_person_plans_with() -> None:
    assert words.duration(0.0) == "about 5 seconds"
    assert words.duration(42.0) == "about 40 seconds"
    assert words.duration(89.0) == "about 90 seconds"
    assert words.duration(90.0) == "about 2 minutes"
    assert words.duration(61.0) == "about 60 seconds"
    assert words.duration(130.0) == "about 2 minutes"


@pytest.mark.parametrize(
    ("colour", "name"),
    [
        # Colours of CSS Color 4, section 6.1, whose names say what people see.
        ("#ff0000", "red"),
        ("#8b0000", "dark red"),
        ("#ffa500", "orange"),
        ("#8b4513", "brown"),  # saddlebrown
        ("#ffff00", "yellow"),
        ("#008000", "dark green"),
        ("#90ee90", "light green"),
        ("#40e0d0", "turquoise"),
        ("#0000ff", "blue"),
        ("#add8e6", "light blue"),
        ("#ee82ee", "light pink"),  # violet lies between the two
        ("#ff69b4", "light pink"),  # hotpink
        ("#000000", "black"),
        ("#202020", "black"),
        ("#404040", "dark grey"),
        ("#696969", "grey"),  # dimgray
        ("#d3d3d3", "light grey"),
        ("#f5f5f5", "white"),  # whitesmoke
        ("#fff8f0", "white"),  # a white that is a little warm
        ("#a0522d", "brown"),  # sienna
        ("#000080", "dark blue"),  # navy
        ("#4169e1", "blue"),  # royalblue
        ("#ffb6c1", "light red"),  # lightpink, which is a pale red
        ("#8a2be2", "violet"),  # blueviolet
        ("#a9a9a9", "light grey"),
        ("#ffffff", "white"),
        ("", ""),
        ("red; }", ""),
    ],
)
def test_a_thread_colour_has_a_plain_name(colour: str, name: str) -> None:
    assert words.colour_name(colour) == name
