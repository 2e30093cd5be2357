"""The designer's curve through rounded needle points: true corners, straight lines, smooth bends."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from piecewright.cutting.outlines.corners import find_corners
from piecewright.cutting.outlines.polyline import edge_lengths, turns_deg
from piecewright.cutting.outlines.spans import LEAST_MM2, SAMPLE_MM, DenseRing, dense_ring
from tests.analytic_shapes import Shape, needle_points, shapes

if TYPE_CHECKING:
    from piecewright.cutting.geometry import FloatArray

SHAPES = {shape.name: shape for shape in shapes()}
PHASES = (0.0, 0.31, 0.62)


def shape(name: str) -> Shape:
    return SHAPES[name]


def drawn(needles: FloatArray) -> DenseRing:
    """The curve through needle points that go round something."""
    dense = dense_ring(needles)
    assert dense is not None
    return dense


def farthest(points: FloatArray, truth: FloatArray) -> float:
    """Greatest distance of points from dense truth."""
    return float(max(np.hypot(*(truth - point).T).min() for point in points))


@pytest.mark.parametrize("name", ["star", "L", "house", "gear", "heart", "leaf", "small disc with a flat"])
@pytest.mark.parametrize("stitch", [1.5, 2.5, 3.5])
def test_every_corner_of_40_degrees_and_more_is_found_and_no_other(name: str, stitch: float) -> None:
    for phase in PHASES:
        dense = drawn(needle_points(shape(name), stitch, phase))
        truth = shape(name).corners
        assert len(dense.tips) == len(truth)
        assert farthest(dense.tips, truth) < 0.2


@pytest.mark.parametrize(
    "name", ["circle r 8", "ellipse 3:1", "rounded rectangle r 5", "flower of 5", "kidney"]
)
def test_bends_are_not_corners(name: str) -> None:
    for stitch in (1.5, 2.5, 3.5):
        if shape(name).least_radius_mm > 1.2 * stitch:
            assert len(drawn(needle_points(shape(name), stitch, 0.4)).tips) == 0


def test_a_wiggle_of_rounding_is_no_corner() -> None:
    ring = np.round(
        np.array([(k * 1.5, 0.05 * (-1) ** k) for k in range(12)] + [(16.5, 10.0), (0.0, 10.0)]), 1
    )
    assert set(find_corners(ring)) == {0, 11, 12, 13}


def test_lines_are_straight_and_cross_at_the_corner() -> None:
    #  a turned square whose rounded needle points wobble around its sides
    dense = drawn(needle_points(shape("turned rectangle"), 2.5, 0.3))
    assert len(dense.ring) == 4
    assert farthest(dense.tips, shape("turned rectangle").corners) < 0.08


def test_a_triangle_of_three_needle_points_a_side_keeps_its_tips() -> None:
    corners = np.array([(0.0, 0.0), (9.0, 0.0), (4.5, 7.8)])
    sides = [
        corners[k] + share * (corners[k - 2] - corners[k]) for k in range(3) for share in (0, 1 / 3, 2 / 3)
    ]
    dense = drawn(np.round(np.array(sides), 1))
    assert farthest(corners, dense.ring) < 0.1
    assert len(dense.ring) == 3


def test_where_straight_sides_meet_the_corner_is_truer_than_its_needle_point() -> None:
    """A line through many needle points knows its place better than one point that is rounded."""
    truth = shape("turned rectangle").corners
    off, stored = [], []
    for phase in np.linspace(0, 1, 12):
        needles = needle_points(shape("turned rectangle"), 2.5, float(phase))
        off += [np.hypot(*(truth - tip).T).min() for tip in drawn(needles).tips]
        stored += [np.hypot(*(needles - corner).T).min() for corner in truth]
    assert len(off) == len(stored)
    assert np.sqrt(np.mean(np.square(off))) < 0.55 * np.sqrt(np.mean(np.square(stored)))


def test_a_corner_between_a_straight_side_and_a_bend_stays_at_its_needle_point() -> None:
    dense = drawn(needle_points(shape("half disc"), 2.5, 0.4))
    assert farthest(dense.tips, shape("half disc").corners) < 0.08


def test_of_three_corners_each_bend_ends_at_its_own() -> None:
    dense = drawn(needle_points(shape("quarter disc"), 2.5, 0.4))
    assert len(dense.tips) == 3
    assert farthest(dense.ring, shape("quarter disc").ring) < 0.12


def test_three_needle_points_are_a_triangle_with_three_corners() -> None:
    triangle = np.array([(0.0, 0.0), (3.0, 0.0), (1.5, 2.6)])
    dense = drawn(triangle)
    assert dense.ring == pytest.approx(triangle, abs=1e-9)
    assert dense.tips == pytest.approx(triangle, abs=1e-9)


@pytest.mark.parametrize("name", ["circle r 8", "ellipse 2:1", "leaf", "half disc"])
def test_a_bend_has_a_point_every_fifth_of_a_millimetre_and_no_more_than_it_needs(name: str) -> None:
    dense = drawn(needle_points(shape(name), 1.0, 0.3))
    steps = np.sort(edge_lengths(dense.ring))
    bends = steps[:-1] if name == "half disc" else steps  # whose straight side is one step
    assert bends.max() < 1.01 * SAMPLE_MM
    assert len(bends) == pytest.approx(bends.sum() / SAMPLE_MM, abs=1.4)


def test_a_bend_however_short_has_points_enough_to_be_one() -> None:
    #  a drop 1.2 mm wide: its round end is shorter than eight points a fifth of a millimetre apart
    t = np.linspace(-0.5 * np.pi, 0.5 * np.pi, 5)
    drop = np.vstack([[(-3.0, 0.0)], np.column_stack([0.6 * np.cos(t), 0.6 * np.sin(t)])])
    ring = drawn(drop).ring
    assert np.count_nonzero(ring[:, 0] > 0.01) >= 5


@pytest.mark.parametrize("name", ["circle r 8", "ellipse 3:1", "kidney"])
def test_the_seam_of_a_ring_without_corners_shows_nowhere(name: str) -> None:
    """Where sewing starts and ends the curve goes on as everywhere else."""
    needles = needle_points(shape(name), 2.5, 0.3)
    one, other = (drawn(np.roll(needles, shift, axis=0)).ring for shift in (0, len(needles) // 2))
    assert farthest(one[:5], np.vstack([other, (other + np.roll(other, 1, axis=0)) / 2])) < 0.06
    seam = turns_deg(one)[[-2, -1, 0, 1]]
    assert np.ptp(seam) < 0.3


@pytest.mark.parametrize(("side", "is_one"), [(0.69, False), (0.75, True)])
def test_what_goes_round_less_than_half_a_square_millimetre_is_no_fabric(side: float, is_one: bool) -> None:
    square = side * np.array([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)])
    assert (side**2 >= LEAST_MM2) is is_one
    assert (dense_ring(square) is not None) is is_one


def test_four_needle_points_are_a_square() -> None:
    square = np.array([(0.0, 0.0), (6.0, 0.0), (6.0, 6.0), (0.0, 6.0)])
    assert drawn(square).ring == pytest.approx(square, abs=1e-9)


def test_a_curve_turns_evenly_between_its_points() -> None:
    ring = drawn(needle_points(shape("circle r 20"), 3.5, 0.2)).ring
    turns = turns_deg(ring)
    assert turns.min() > 0
    assert turns.max() < 2.5 * np.median(turns)


def test_smoothing_beats_the_rounding_of_the_file() -> None:
    needles = needle_points(shape("circle r 60"), 2.5, 0.7)
    off = np.abs(np.hypot(*needles.T) - 60)
    smooth_off = np.abs(np.hypot(*drawn(needles).ring.T) - 60)
    assert smooth_off.max() < off.max()
    assert smooth_off.mean() < off.mean() / 1.5


def test_uneven_stitches_do_no_harm() -> None:
    truth = shape("ellipse 2:1").ring
    chance = np.random.default_rng(5)
    index = np.cumsum(chance.integers(25, 150, 200))
    needles = np.round(truth[index[index < len(truth)]], 1)
    assert farthest(drawn(needles).ring, truth) < 0.15


def test_a_piece_of_six_millimetres_is_still_round() -> None:
    angle = np.linspace(0, 2 * np.pi, 13)[:-1]
    needles = np.round(3 * np.column_stack([np.cos(angle), np.sin(angle)]), 1)
    assert np.abs(np.hypot(*drawn(needles).ring.T) - 3).max() < 0.15
