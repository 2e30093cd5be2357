"""Mats as DXF."""

from __future__ import annotations

import numpy as np
import pytest

from piecewright.cutting.errors import SelfCheckFailed
from piecewright.cutting.formats import dxf
from piecewright.cutting.formats.dxf.arcs import STRAYS_MM, polylines
from piecewright.cutting.formats.dxf.writer import layer_names
from piecewright.cutting.geometry import CurvedRegion, flatten, frozen, ring_area, stays_near
from tests.cutting.formats.mats_by_hand import HOSTILE, circle, laid, leaf, mat, rectangle, ring, sampler


def test_straight_lines_become_their_corners_with_y_up() -> None:
    text = dxf.write(mat(laid(rectangle(10, 20, 5, 7)), size=(100, 50)), "x").decode()
    entity = text[text.index("LWPOLYLINE") : text.index("ENDSEC", text.index("LWPOLYLINE"))]
    pairs = entity.split("\n")
    ys = [float(value) for code, value in zip(pairs[1::2], pairs[2::2], strict=False) if code.strip() == "20"]
    assert ys == [43.0, 43.0, 23.0, 23.0]
    assert " 42\n" not in entity


def test_a_hole_comes_before_its_outline() -> None:
    hole, outline = dxf.read_back(dxf.write(mat(laid(ring(30.0, 10.0, 150.0, 70.0))), "x"), 305.0)
    assert abs(ring_area(hole)) < abs(ring_area(outline))


def test_reading_back_gives_the_layout_within_a_hundredth_of_a_millimetre() -> None:
    layout = sampler()
    wanted = [
        flatten(curve, 0.0005)
        for piece in layout.laid
        for curve in (*piece.curve.holes, piece.curve.exterior)
    ]
    found = dxf.read_back(dxf.write(layout, "x"), layout.height_mm)
    assert len(found) == len(wanted)
    for line, other in zip(found, wanted, strict=True):
        assert stays_near(line, other, 0.01)
        assert stays_near(other, line, 0.01)


def test_arcs_meet_without_kinks_where_the_curve_has_none() -> None:
    """An arc's bulge is tan(sweep / 4); it leaves its chord by half the sweep."""
    (corners,) = polylines([frozen(circle(30.0) * (1.0, 0.6))])
    points, bulges = corners[:, 0] + 1j * corners[:, 1], corners[:, 2]
    chords = np.angle(np.roll(points, -1) - points)
    leaves, arrives = chords - 2 * np.arctan(bulges), chords + 2 * np.arctan(bulges)
    kinks = np.angle(np.exp(1j * (leaves - np.roll(arrives, 1))))
    assert np.degrees(np.abs(kinks)).max() < 0.01


def test_a_curve_takes_few_arcs() -> None:
    """A circle of four cubics, each within 0.005 mm of two arcs at most, needs no halving."""
    assert [len(corners) for corners in polylines([circle(10.0), circle(5.0)])] == [8, 8]


@pytest.mark.parametrize(
    "cubic",
    [
        [(0, 0), (0, 0), (10, 10), (10, 10)],  # control points on the ends: straight
        [(0, 0), (0, 0), (10, 5), (10, 10)],
        [(0, 0), (0, 5), (10, 10), (10, 10)],
        [(0, 0), (20, 0), (-10, 10), (10, 10)],  # an S
        [(0, 0), (30, 30), (-30, 30), (0, 0.5)],  # a loop
        [(0, 0), (10, 0), (10, 0), (0, 0.001)],  # there and back
    ],
)
def test_odd_curves_are_followed_too(cubic: list[tuple[float, float]]) -> None:
    end = cubic[3]
    back = [end, (end[0] - 20, end[1] + 20), (-20, 20), (0, 0)]
    curve = frozen([cubic, back])
    (corners,) = polylines([curve])
    assert np.isfinite(corners).all()
    assert corners[0, :2].tolist() == list(cubic[0])
    assert len(corners) < 200
    (line,) = dxf.read_back(dxf.write(mat(laid(CurvedRegion(exterior=curve))), "x"), 305.0)
    assert stays_near(line, flatten(curve, 0.0002), 0.01)
    assert stays_near(flatten(curve, 0.0002), line, 0.01)


def test_a_curve_that_no_arcs_follow_ends_after_the_most_halvings() -> None:
    """There and back over 100 km: every half is as flat and as sharp, however often it is halved."""
    huge = np.array([[(0, 0), (4e8, 3e8), (-3e8, 4e8), (1, 0)], [(1, 0), (1, 1), (0, 1), (0, 0)]])
    (corners,) = polylines([frozen(huge)])
    assert np.isfinite(corners).all()
    assert len(corners) > 2 * 2**10


def test_halving_keeps_arcs_within_their_tolerance() -> None:
    curve = leaf(60.0).exterior
    rebuilt = dxf.read_back(dxf.write(mat(laid(leaf(60.0, 100, 100))), "x"), 305.0)[0] - 100
    assert stays_near(rebuilt, flatten(curve, 0.0002), STRAYS_MM + 0.002)
    assert 8 <= len(polylines([curve])[0]) <= 40


def test_the_same_mat_gives_the_same_bytes() -> None:
    assert dxf.write(sampler(), "x") == dxf.write(sampler(), "x")


def test_each_fabric_has_a_layer_and_names_that_dxf_takes_for_one_stay_apart() -> None:
    assert layer_names(["moss", "Moss", "moss", "a/b", "a|b", "", "0", "Defpoints"]) == {
        "moss": "cut moss",
        "Moss": "cut Moss 2",
        "a/b": "cut a b",
        "a|b": "cut a b 2",
        "": "cut",
        "0": "cut 0",
        "Defpoints": "cut Defpoints",
    }


@pytest.mark.parametrize("name", HOSTILE)
def test_names_never_become_tags(name: str) -> None:
    data = dxf.write(mat(laid(leaf(60.0, 50, 50), fabric=name)), name)
    assert len(dxf.read_back(data, 305.0)) == 1
    assert data.count(b"\n  0\nENDSEC\n") == 6  # header, classes, tables, blocks, entities, objects


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (b"$INSUNITS\n 70\n4", b"$INSUNITS\n 70\n1"),
        (b"  0\nLWPOLYLINE", b"  0\nTEXT"),
        (b" 90\n4\n 70\n1\n", b" 90\n4\n 70\n0\n"),
    ],
)
def test_the_reader_refuses_what_a_cut_file_must_not_hold(old: bytes, new: bytes) -> None:
    data = dxf.write(mat(laid(rectangle(10, 10))), "x")
    assert old in data
    with pytest.raises(SelfCheckFailed):
        dxf.read_back(data.replace(old, new), 305.0)
