"""Mats as HP-GL."""

from __future__ import annotations

import re

import pytest

from piecewright.cutting.errors import SelfCheckFailed
from piecewright.cutting.formats import plt
from piecewright.cutting.geometry import flatten, ring_area, stays_near
from tests.cutting.formats.mats_by_hand import laid, mat, polygon, rectangle, ring, sampler


def test_an_inch_is_1016_plotter_units_and_y_points_up() -> None:
    """HP-GL counts 0.025 mm: 25.4 / 0.025 = 1016."""
    square = rectangle(25.4, 25.4, 25.4, 25.4)
    text = plt.write(mat(laid(square), size=(101.6, 101.6))).decode()
    assert text.split(";\n")[:5] == [
        "IN",
        "PA",
        "SP1",
        "PU1016,3048",
        "PD2032,3048,2032,2032,1016,2032,1016,3048",
    ]


def test_the_pen_is_up_at_the_end_and_put_away() -> None:
    assert plt.write(sampler()).endswith(b"PU0,0;\nSP0;\n")


def test_a_hole_is_cut_before_its_outline() -> None:
    hole, outline = plt.read_back(plt.write(mat(laid(ring(30.0, 10.0, 150.0, 70.0)))), 305.0)
    assert abs(ring_area(hole)) < abs(ring_area(outline))


def test_reading_back_gives_the_layout_within_two_hundredths_of_a_millimetre() -> None:
    layout = sampler()
    wanted = [
        flatten(curve, 0.0002)
        for piece in layout.laid
        for curve in (*piece.curve.holes, piece.curve.exterior)
    ]
    found = plt.read_back(plt.write(layout), layout.height_mm)
    assert len(found) == len(wanted)
    for line, other in zip(found, wanted, strict=True):
        assert stays_near(line, other, 0.02)
        assert stays_near(other, line, 0.02)


def test_no_command_is_longer_than_an_old_cutter_takes() -> None:
    assert max(map(len, re.split(b";\n", plt.write(sampler())))) < 1024


def test_a_speck_smaller_than_a_plotter_unit_is_a_point_and_no_crash() -> None:
    data = plt.write(mat(laid(rectangle(0.004, 0.004, 50.0, 50.0))))
    assert b"PU2000,10200;\nPD2000,10200;" in data
    (point,) = plt.read_back(data, 305.0)
    assert point.tolist() == [[50.0, 50.0]]


def test_the_blade_never_stands_still_and_goes_out_and_back_where_the_line_does() -> None:
    #  a step of 0.01 mm is none; the whisker at the right goes to a point and back to where it came from
    line = polygon((0, 0), (0.01, 0), (10, 0), (15, 0), (10, 0), (10, 10), (0, 10))
    (ring,) = plt.read_back(plt.write(mat(laid(line))), 305.0)
    assert ring.tolist() == [[0, 0], [10, 0], [15, 0], [10, 0], [10, 10], [0, 10]]


def test_a_number_without_its_partner_is_refused() -> None:
    data = plt.write(mat(laid(rectangle(10, 10)))).replace(b"PD400,12200", b"PD400,12200,7")
    with pytest.raises(ValueError, match="zip"):
        plt.read_back(data, 305.0)


def test_nothing_but_ascii_commands_is_written() -> None:
    assert re.fullmatch(rb"(?:(?:IN|PA|SP\d|PU-?\d+,-?\d+|PD[-\d,]+);\n)+", plt.write(sampler()))


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (b"SP0;", b"LBhello\x03;"),
        (b"SP0;", b"PA;rubbish"),
        (b",0,12200", b",0,12000"),
        (b"PD400,12200", b"PR400,12200"),
    ],
)
def test_the_reader_refuses_what_a_cut_file_must_not_hold(old: bytes, new: bytes) -> None:
    data = plt.write(mat(laid(rectangle(10, 10))))
    assert old in data
    with pytest.raises(SelfCheckFailed):
        plt.read_back(data.replace(old, new), 305.0)
