"""The designer's curve through rounded needle points: true corners, straight lines, smooth bends."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from piecewright.cutting.outlines.corners import find_corners
from piecewright.cutting.outlines.polyline import turns_deg
from piecewright.cutting.outlines.spans import dense_ring
from tests.analytic_shapes import Shape, needle_points, shapes

if TYPE_CHECKING:
    from piecewright.cutting.geometry import FloatArray

SHAPES = {shape.name: shape for shape in shapes()}
PHASES = (0.0, 0.31, 0.62)


def shape(name: str) -> Shape:
    return SHAPES[name]


def farthest(points: FloatArray, truth: FloatArray) -> float:
    """Greatest distance of points from dense truth."""
    return float(max(np.hypot(*(truth - point).T).min() for point in points))


@pytest.mark.parametrize("name", ["star", "L", "house", "gear", "heart", "leaf", "small disc with a flat"])
@pytest.mark.parametrize("stitch", [1.5, 2.5, 3.5])
def test_every_corner_of_40_degrees_and_more_is_found_and_no_other(name: str, stitch: float) -> None:
    for phase in PHASES:
        dense = dense_ring(needle_points(shape(name), stitch, phase))
        truth = shape(name).corners
        assert len(dense.tips) == len(truth)
        assert farthest(dense.tips, truth) < 0.2


@pytest.mark.parametrize(
    "name", ["circle r 8", "ellipse 3:1", "rounded rectangle r 5", "flower of 5", "kidney"]
)
def test_bends_are_not_corners(name: str) -> None:
    for stitch in (1.5, 2.5, 3.5):
        if shape(name).least_radius_mm > 1.2 * stitch:
            assert len(dense_ring(needle_points(shape(name), stitch, 0.4)).tips) == 0


def test_a_wiggle_of_rounding_is_no_corner() -> None:
    ring = np.round(
        np.array([(k * 1.5, 0.05 * (-1) ** k) for k in range(12)] + [(16.5, 10.0), (0.0, 10.0)]), 1
    )
    assert set(find_corners(ring)) == {0, 11, 12, 13}


def test_lines_are_straight_and_cross_at_the_corner() -> None:
    #  a turned square whose rounded needle points wobble around its sides
    dense = dense_ring(needle_points(shape("turned rectangle"), 2.5, 0.3))
    assert len(dense.ring) == 4
    assert farthest(dense.tips, shape("turned rectangle").corners) < 0.08


def test_a_triangle_of_three_needle_points_a_side_keeps_its_tips() -> None:
    corners = np.array([(0.0, 0.0), (9.0, 0.0), (4.5, 7.8)])
    sides = [
        corners[k] + share * (corners[k - 2] - corners[k]) for k in range(3) for share in (0, 1 / 3, 2 / 3)
    ]
    dense = dense_ring(np.round(np.array(sides), 1))
    assert farthest(corners, dense.ring) < 0.1
    assert len(dense.ring) == 3


def test_four_needle_points_are_a_square() -> None:
    square = np.array([(0.0, 0.0), (6.0, 0.0), (6.0, 6.0), (0.0, 6.0)])
    assert np.allclose(dense_ring(square).ring, square)


def test_a_curve_turns_evenly_between_its_points() -> None:
    ring = dense_ring(needle_points(shape("circle r 20"), 3.5, 0.2)).ring
    turns = turns_deg(ring)
    assert turns.min() > 0
    assert turns.max() < 2.5 * np.median(turns)


def test_smoothing_beats_the_rounding_of_the_file() -> None:
    needles = needle_points(shape("circle r 60"), 2.5, 0.7)
    off = np.abs(np.hypot(*needles.T) - 60)
    smooth_off = np.abs(np.hypot(*dense_ring(needles).ring.T) - 60)
    assert smooth_off.max() < off.max()
    assert smooth_off.mean() < off.mean() / 1.5


def test_uneven_stitches_do_no_harm() -> None:
    truth = shape("ellipse 2:1").ring
    chance = np.random.default_rng(5)
    index = np.cumsum(chance.integers(25, 150, 200))
    needles = np.round(truth[index[index < len(truth)]], 1)
    assert farthest(dense_ring(needles).ring, truth) < 0.15


def test_a_piece_of_six_millimetres_is_still_round() -> None:
    angle = np.linspace(0, 2 * np.pi, 13)[:-1]
    needles = np.round(3 * np.column_stack([np.cos(angle), np.sin(angle)]), 1)
    assert np.abs(np.hypot(*dense_ring(needles).ring.T) - 3).max() < 0.15
