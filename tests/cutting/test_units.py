"""Lengths, durations and sizes are read with their units, and refused without."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from piecewright.cutting.errors import QuantityError
from piecewright.cutting.units import (
    MM_PER_INCH,
    MM_PER_PLOTTER_UNIT,
    POINTS_PER_INCH,
    PX_PER_INCH,
    format_length,
    format_ruled,
    parse_bytes,
    parse_length_mm,
    parse_seconds,
)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("1.5 mm", 1.5),
        ("1,5mm", 1.5),
        ("-2 mm", -2.0),
        ("12 in", 304.8),
        ("1 yd", 914.4),
        ("3 CM", 30.0),
        (0, 0.0),
    ],
)
def test_a_length_is_read_in_millimetres(text: object, mm: float) -> None:
    assert parse_length_mm(text) == pytest.approx(mm)


@pytest.mark.parametrize(
    "text", ["", "1.5", 1.5, "mm", "1 furlong", "1.5.2 mm", None, True, [1], "5 s", "1e3 mm"]
)
def test_what_is_no_length_is_refused_with_an_example(text: object) -> None:
    with pytest.raises(QuantityError, match=r'like "1\.5 mm"'):
        parse_length_mm(text)


def test_durations_and_sizes_have_their_own_units() -> None:
    assert parse_seconds("2 min") == pytest.approx(120.0)
    assert parse_seconds("30 d") == pytest.approx(30 * 24 * 3600)
    assert parse_bytes("4 MB") == 4_000_000  # SI prefixes: a megabyte is a million bytes
    with pytest.raises(QuantityError, match="is not a duration"):
        parse_seconds("3 mm")
    with pytest.raises(QuantityError, match="is not a size"):
        parse_bytes("3 s")


def test_lengths_are_shown_in_the_shops_unit() -> None:
    assert format_length(25.4, "in") == "1 in"
    assert format_length(25.44, "mm") == "25.4 mm"


def test_the_units_agree_with_the_standards() -> None:
    """One inch is 25.4 mm = 96 px = 72 pt.

    Sources: CSS Values and Units Module Level 3 (W3C), section 6.2, absolute lengths; PDF user space,
    ISO 32000-1, 8.3.2.3. The HP-GL plotter unit, 0.025 mm (HP-GL reference, from memory), makes 1016
    to the inch.
    """
    css_mm = 96 / 25.4
    assert pytest.approx(css_mm) == PX_PER_INCH / MM_PER_INCH
    assert POINTS_PER_INCH == 0.75 * PX_PER_INCH  # 1 pt is 1/72 in and 1 px is 1/96 in
    assert pytest.approx(1016) == MM_PER_INCH / MM_PER_PLOTTER_UNIT


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
    assert format_length(length_mm, "in" if show == "in" else "mm") == said


def test_what_is_measured_finer_than_a_ruler_shows_has_a_digit_more() -> None:
    assert format_length(0.047, "mm", finer=1) == "0.05 mm"
    assert format_length(0.254, "in", finer=1) == "0.01 in"


@pytest.mark.parametrize(
    ("length_mm", "near", "at_least"),
    [
        (304.8, "12 in", "12 in"),
        (25.4 * 5.4375, "5 7/16 in", "5 7/16 in"),
        (25.4 * 5.45, "5 7/16 in", "5 1/2 in"),  # 5 7.2/16
        (25.4 * 0.5, "1/2 in", "1/2 in"),
        (25.4 * 2.99, "3 in", "3 in"),  # 2 15.84/16
        (0.1, "0 in", "1/16 in"),
        (0.0, "0 in", "0 in"),
    ],
)
def test_what_a_ruler_is_laid_to_is_said_in_sixteenths(length_mm: float, near: str, at_least: str) -> None:
    assert format_ruled(length_mm, "in") == near
    assert format_ruled(length_mm, "in", at_least=True) == at_least


def test_a_ruler_in_millimetres_shows_tenths() -> None:
    assert format_ruled(138.16, "mm") == format_ruled(138.16, "mm", at_least=True) == "138.2 mm"


@given(length_mm=st.floats(min_value=0, max_value=3000))
def test_a_size_that_must_do_is_never_said_too_small(length_mm: float) -> None:
    words = format_ruled(length_mm, "in", at_least=True).removesuffix(" in").split()
    said_mm = 25.4 * float(sum(map(Fraction, words)))
    assert -0.02 <= said_mm - length_mm <= 25.4 / 16 + 0.02
