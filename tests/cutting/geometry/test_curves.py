"""Chains of cubics and bare rings: flattening, area, length, straightness, moving about."""

from __future__ import annotations

import math

import numpy as np
import pytest

from piecewright.cutting import geometry as geo
from piecewright.cutting.geometry import CurvedRegion, FloatArray, Region, frozen

SQUARE = Region(exterior=frozen([(0, 0), (10, 0), (10, 10), (0, 10)]))
FRAME = Region(
    exterior=frozen([(0, 0), (20, 0), (20, 20), (0, 20)]),
    holes=(frozen([(5, 5), (15, 5), (15, 15), (5, 15)]),),
)

KAPPA = 4 / 3 * (math.sqrt(2) - 1)
"""Control distance of the usual four-cubic circle; its radius is at most 0.02725 % too large."""


def circle(radius: float, x: float = 0.0, y: float = 0.0) -> FloatArray:
    quarter = np.array([(1, 0), (1, KAPPA), (KAPPA, 1), (0, 1)]) * radius
    turns = [np.array([[c, s], [-s, c]]) for c, s in ((1, 0), (0, 1), (-1, 0), (0, -1))]
    return frozen(np.stack([quarter @ turn for turn in turns]) + np.array([x, y]))


def test_a_flattened_curve_strays_no_farther_than_asked_and_stops_near_it() -> None:
    for tolerance in (0.5, 0.05, 0.005):
        ring = geo.flatten(circle(30.0), tolerance)
        middles = (ring + np.roll(ring, -1, axis=0)) / 2
        sagitta = 30.0 - np.hypot(*middles.T).min()
        assert tolerance / 4 < sagitta < tolerance


def test_straight_cubics_flatten_to_their_corners() -> None:
    ring = geo.flatten(geo.curved(FRAME).exterior, 0.01)
    assert np.array_equal(ring, FRAME.exterior)


def test_area_of_a_curve_agrees_with_its_flattened_ring() -> None:
    curve = circle(30.0, 100.0, -40.0)
    assert geo.curve_area(curve) == pytest.approx(geo.ring_area(geo.flatten(curve, 1e-5)), rel=1e-6)
    assert geo.curve_area(curve[::-1, ::-1]) == pytest.approx(-geo.curve_area(curve))


def test_length_of_a_curve_agrees_with_its_flattened_ring() -> None:
    curve = circle(30.0)
    assert geo.curve_length(curve) == pytest.approx(geo.ring_length(geo.flatten(curve, 1e-6)), rel=1e-6)


def test_the_turn_is_clockwise_on_the_page_and_comes_after_the_mirror() -> None:
    right = np.array([1.0, 0.0])
    assert geo.transformed_points(right, 90.0, False, 0.0, 0.0).tolist() == [0.0, 1.0]
    assert geo.transformed_points(right, 90.0, True, 5.0, 7.0).tolist() == [5.0, 6.0]
    assert geo.transformed_points(right, 30.0, False, 0.0, 0.0) == pytest.approx([math.sqrt(3) / 2, 0.5])


def test_a_moved_region_keeps_its_kind_area_and_holes() -> None:
    moved = geo.transformed(FRAME, 33.0, True, 5.0, 7.0)
    turned = geo.transformed(CurvedRegion(exterior=circle(4.0)), 33.0, True, 5.0, 7.0)
    assert isinstance(moved, Region)
    assert isinstance(turned, CurvedRegion)
    assert geo.area(moved) == pytest.approx(300.0)
    assert geo.curve_area(turned.exterior) == pytest.approx(-geo.curve_area(circle(4.0)))


def test_spaced_points_begin_at_the_first_and_are_even() -> None:
    ring = geo.spaced(SQUARE.exterior, 3.0)
    assert ring[0].tolist() == [0.0, 0.0]
    assert len(ring) == 14
    assert np.hypot(*np.diff(ring, axis=0).T).max() <= 40 / 14 + 1e-9


def test_scaling_leaves_its_centre_in_place() -> None:
    wide = geo.scaled(geo.curved(FRAME), 1.1, 0.9, (10.0, 10.0))
    assert geo.bounds(wide) == pytest.approx((-1.0, 1.0, 21.0, 19.0))
    assert geo.area(wide) == pytest.approx(300.0 * 0.99)


def test_flattening_takes_as_many_steps_as_the_formula_says() -> None:
    """By hand: the arch's second differences are (12, -9) and (-12, -9), 15 long.

    sqrt(0.75 x 15 / 0.12) = 9.68: 10 steps.
    """
    arch = frozen([[(0, 0), (0, 9), (12, 9), (12, 0)], [(12, 0), (8, 0), (4, 0), (0, 0)]])
    ring = geo.flatten(arch, 0.12)
    assert len(ring) == 10 + 1  # the way back is straight
    assert ring[5].tolist() == [6.0, 6.75]  # the middle of the arch: 3/4 of its control height


def test_the_area_of_a_lopsided_curve_agrees_with_its_flattened_ring() -> None:
    curve = frozen(
        [
            [(3, 5), (8, -4), (15, 2), (20, 7)],
            [(20, 7), (26, 15), (9, 22), (11, 14)],
            [(11, 14), (13, 6), (-2, 12), (3, 5)],
        ]
    )
    assert geo.curve_area(curve) == pytest.approx(geo.ring_area(geo.flatten(curve, 1e-5)), rel=1e-6)


def test_straight_lines_are_told_from_curves_and_from_lines_run_through_twice() -> None:
    start, end = (0, 0), (9, 0)
    cases = {
        "thirds": ((3, 0), (6, 0), True),
        "uneven": ((1, 0), (2, 0), True),
        "all at the ends": ((0, 0), (9, 0), True),
        "a hair beside": ((3, 0.00009), (6, -0.00009), True),
        "bent": ((3, 0), (6, 0.001), False),
        "bent the other way": ((3, -0.001), (6, 0), False),
        "back behind its start": ((-1, 0), (6, 0), False),
        "past its end": ((3, 0), (10, 0), False),
        "to and fro": ((6, 0), (3, 0), False),
    }
    curve = frozen([[start, one, two, end] for one, two, _ in cases.values()])
    found = dict(zip(cases, geo.straight(curve).tolist(), strict=True))
    assert found == {name: wanted for name, (_, _, wanted) in cases.items()}


def test_a_slanted_line_is_straight_too_and_a_point_is_no_line() -> None:
    slanted = np.array([(0, 0), (3, 4), (6, 8), (9, 12)])
    curve = frozen([slanted, slanted + 50, slanted / 100, slanted * 0])
    assert geo.straight(curve).tolist() == [True, True, True, False]


def test_a_curve_runs_on_through_each_of_its_straight_edges() -> None:
    (edge, *_) = geo.curved(SQUARE).exterior
    assert edge == pytest.approx(np.array([(0, 0), (10 / 3, 0), (20 / 3, 0), (10, 0)]))
    assert geo.curved(SQUARE).exterior[:, 3].tolist() == [[10, 0], [10, 10], [0, 10], [0, 0]]


def test_flattened_holes_are_as_fine_as_the_exterior() -> None:
    disc = CurvedRegion(exterior=circle(30.0), holes=(circle(10.0, 2.0),))
    flat = geo.flattened(disc, 0.05)
    assert np.array_equal(flat.exterior, geo.flatten(circle(30.0), 0.05))
    (hole,) = flat.holes
    assert np.array_equal(hole, geo.flatten(circle(10.0, 2.0), 0.05))


def test_quarter_turns_are_exact_and_go_round() -> None:
    corner = np.array([0.1, 0.3])
    for turn, expected in ((0, [0.1, 0.3]), (90, [-0.3, 0.1]), (180, [-0.1, -0.3]), (270, [0.3, -0.1])):
        for whole in (-360.0, 0.0, 360.0):
            assert geo.transformed_points(corner, turn + whole, False, 0.0, 0.0).tolist() == expected


def test_holes_are_scaled_about_the_same_centre() -> None:
    wide = geo.scaled(geo.curved(FRAME), 1.1, 0.9, (10.0, 10.0))
    assert wide.holes[0][:, 0] == pytest.approx(
        np.array([(4.5, 5.5), (15.5, 5.5), (15.5, 14.5), (4.5, 14.5)])
    )


def test_the_area_of_a_ring_is_signed_and_its_closing_edge_counts() -> None:
    triangle = frozen([(100, 100), (104, 100), (104, 103)])  # 3, 4, 5
    assert geo.ring_area(triangle) == pytest.approx(6.0)
    assert geo.ring_area(triangle[::-1]) == pytest.approx(-6.0)
    assert geo.ring_length(triangle) == pytest.approx(12.0)


def test_a_small_ring_has_three_spaced_points_at_least() -> None:
    assert len(geo.spaced(SQUARE.exterior, 100.0)) == 3
    assert geo.spaced(SQUARE.exterior, 10.0).tolist() == SQUARE.exterior.tolist()
