"""Words and numbers as people say them."""

from __future__ import annotations

import pytest

from piecewright.cutting.sheet import words


@pytest.mark.parametrize(
    ("length_mm", "show", "said"),
    [
        (
            84.836,
            "in",
            "3.34 in",
        ),  # the piece of 3.34 in by 3.64 in that takes a 4 in square: common practice
        (25.4, "in", "1 in"),
        (12.7, "in", "0.5 in"),
        (1.5, "mm", "1.5 mm"),
        (2.0, "mm", "2 mm"),
        (100.0, "mm", "100 mm"),
        (-2.0, "mm", "\N{MINUS SIGN}2 mm"),
        (-0.04, "mm", "0 mm"),
        (0.26, "mm", "0.3 mm"),
        (1234.56, "mm", "1234.6 mm"),
    ],
)
def test_a_length_is_said_in_the_shops_unit_without_needless_zeros(
    length_mm: float, show: str, said: str
) -> None:
    assert words.length(length_mm, "in" if show == "in" else "mm") == said


def test_what_is_measured_finer_than_a_ruler_shows_has_a_digit_more() -> None:
    assert words.length(0.047, "mm", finer=1) == "0.05 mm"
    assert words.length(0.254, "in", finer=1) == "0.01 in"


def test_a_length_for_two_rulers_is_said_in_both_units() -> None:
    assert words.both(76.2, "mm") == "76.2 mm (3 in)"
    assert words.both(76.2, "in") == "3 in (76.2 mm)"


def test_a_size_names_its_unit_once() -> None:
    assert words.size(84.836, 92.456, "in") == "3.34 × 3.64 in"
    assert words.size(53.4, 28.0, "mm") == "53.4 × 28 mm"


def test_lists_and_counts_read_as_sentences() -> None:
    assert words.listing(["A"]) == "A"
    assert words.listing(["A", "B", "C"]) == "A, B and C"
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


def test_luminance_agrees_with_the_guidelines_contrast_of_black_white_and_the_named_grey() -> None:
    # WCAG 2.2: contrast = (L1 + 0.05) / (L2 + 0.05); black on white is 21:1, and #767676 on white is
    # the well-known darkest failing neighbour's 4.54:1.
    # The pure colours on white: red 4.00, green 1.37, blue 8.59.
    expected = {
        "#000000": 21.0,
        "#767676": 4.54,
        "#ff0000": 4.0,
        "#00ff00": 1.37,
        "#0000ff": 8.59,
        "#0a0a0a": 19.8,
    }
    for colour, contrast in expected.items():
        assert 1.05 / (words.lightness(colour) + 0.05) == pytest.approx(contrast, abs=0.005), colour
    assert words.lightness("#ffffff") == pytest.approx(1.0)
