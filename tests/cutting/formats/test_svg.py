"""Mats as SVG, and piece letters for a pen."""

from __future__ import annotations

from typing import TYPE_CHECKING
from xml.etree import ElementTree as ET

import numpy as np
import pytest

from piecewright.cutting.errors import SelfCheckFailed
from piecewright.cutting.formats import svg
from piecewright.cutting.geometry import contains_points, flatten, ring_area, stays_near
from tests.cutting.formats.mats_by_hand import HOSTILE, laid, leaf, mat, rectangle, ring, sampler

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

SVG = "{http://www.w3.org/2000/svg}"


def tree(data: bytes) -> Element[str]:
    return ET.fromstring(data)  # noqa: S314 - what our own writer has just made


def test_the_page_is_as_large_as_the_mat_and_one_user_unit_is_a_millimetre() -> None:
    root = tree(svg.write(mat(size=(304.8, 609.6)), "x"))
    assert (root.attrib["width"], root.attrib["height"]) == ("304.8mm", "609.6mm")
    assert root.attrib["viewBox"] == "0 0 304.8 609.6"


def test_each_piece_is_one_path_with_id_and_title_and_nothing_else_is_drawn() -> None:
    root = tree(svg.write(sampler(), "Herb bed"))
    paths = root.findall(f".//{SVG}path")
    assert [path.attrib["id"] for path in paths] == ["piece-A-1", "piece-B-1", "piece-C-1", "piece-D-1"]
    assert [path.findtext(f"{SVG}title") for path in paths][:1] == ["A-1 · moss · bed.dst"]
    drawn = {element.tag.removeprefix(SVG) for element in root.iter()} - {"svg", "title", "defs", "g"}
    assert drawn == {"path"}


def test_lines_are_thin_and_not_filled() -> None:
    (group,) = tree(svg.write(sampler(), "x")).findall(f"{SVG}g")
    assert group.attrib["fill"] == "none"
    assert float(group.attrib["stroke-width"]) <= 0.1


def test_a_hole_is_in_the_path_of_its_piece_and_comes_before_the_outline() -> None:
    hole, outline = svg.read_back(svg.write(mat(laid(ring(30.0, 10.0, 150.0, 70.0))), "x"))
    assert abs(ring_area(hole)) < abs(ring_area(outline))


def test_curves_stay_curves_and_straight_lines_stay_straight() -> None:
    root = tree(svg.write(mat(laid(rectangle(10, 10)), laid(leaf(60.0))), "x"))
    square, curve = (path.attrib["d"] for path in root.iter(f"{SVG}path"))
    assert square == "M0,0 L10,0 L10,10 L0,10 L0,0 Z"
    assert curve.count("C") == 2
    assert "L" not in curve


def test_reading_back_what_was_written_gives_the_layout() -> None:
    layout = sampler()
    expected = [
        flatten(curve, 0.0005)
        for piece in layout.laid
        for curve in (*piece.curve.holes, piece.curve.exterior)
    ]
    for found, wanted in zip(svg.read_back(svg.write(layout, "x")), expected, strict=True):
        assert stays_near(found, wanted, 0.002)
        assert stays_near(wanted, found, 0.002)


def test_a_place_that_rounds_to_zero_is_no_minus_zero() -> None:
    root = tree(svg.write(mat(laid(rectangle(10, 10, -0.00001, -0.00001))), "x"))
    (path,) = root.iter(f"{SVG}path")
    assert path.attrib["d"] == "M0,0 L10,0 L10,10 L0,10 L0,0 Z"


def test_the_same_mat_gives_the_same_bytes() -> None:
    assert svg.write(sampler(), "x") == svg.write(sampler(), "x")


@pytest.mark.parametrize("name", HOSTILE)
def test_names_are_text_whatever_they_hold(name: str) -> None:
    data = svg.write(mat(laid(leaf(60.0, 50, 50), piece=name, fabric=name, design=name)), name)
    root = tree(data)
    assert len(list(root.iter(f"{SVG}path"))) == 1
    assert not list(root.iter(f"{SVG}script"))
    assert b"\x00" not in data


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (b"<defs />", b'<defs /><text x="5" y="5">A</text>'),
        (b"<defs />", b'<defs /><circle r="5"/>'),
        (b' fill="none"', b' fill="none" transform="scale(2)"'),
        (b" Z", b""),
        (b" L10,0 ", b" q1,1 2,2 "),
        (b'viewBox="0 0 305 305"', b'viewBox="0 0 305 300"'),
        (b'viewBox="0 0 305 305"', b'viewBox="5 0 305 305"'),
    ],
)
def test_the_reader_refuses_what_a_cut_file_must_not_hold(old: bytes, new: bytes) -> None:
    data = svg.write(mat(laid(rectangle(10, 10))), "x")
    assert old in data
    with pytest.raises(SelfCheckFailed):
        svg.read_back(data.replace(old, new))


def test_the_reader_counts_in_true_millimetres() -> None:
    data = svg.write(mat(laid(rectangle(10, 10))), "x")
    (half,) = svg.read_back(data.replace(b'viewBox="0 0 305 305"', b'viewBox="0 0 610 610"'))
    assert half.max() == 5.0


def test_letters_stand_inside_their_pieces_and_are_never_closed_lines() -> None:
    layout = sampler()
    lines = svg.read_pen(svg.write_pen(layout, "x"))
    for line in lines:
        assert any(contains_points(piece.curve, line).all() for piece in layout.laid)
    with pytest.raises(SelfCheckFailed):
        svg.read_back(svg.write_pen(layout, "x"))
    with pytest.raises(SelfCheckFailed):
        svg.read_pen(svg.write(layout, "x"))


def test_a_letter_is_upright_and_as_tall_as_can_be_read() -> None:
    (line,) = svg.read_pen(svg.write_pen(mat(laid(rectangle(40, 40), "L")), "x"))
    # an L: down, then to the right
    assert line[0, 1] < line[1, 1] == line[2, 1]
    assert line[1, 0] < line[2, 0]
    assert np.ptp(line[:, 1]) == pytest.approx(6.0, abs=0.002)
    assert line.mean(axis=0) == pytest.approx((20, 20), abs=4)


def test_a_piece_too_small_for_a_letter_gets_none() -> None:
    assert svg.read_pen(svg.write_pen(mat(laid(rectangle(2, 40))), "x")) == ()


def test_every_letter_of_the_font_differs_from_every_other() -> None:
    letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-"
    drawn = {svg.write_pen(mat(laid(rectangle(40, 40), letter)), "")[-2000:] for letter in letters}
    strokes = {data[data.index(b' d="') :].split(b'"')[1] for data in drawn}
    assert len(strokes) == len(letters)
