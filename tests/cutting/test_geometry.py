"""Plane geometry: curves, regions and the engine behind them."""

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
HOURGLASS = Region(exterior=frozen([(0, 0), (10, 0), (0, 10), (10, 10)]))

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


def test_a_region_with_a_hole_has_the_area_and_edges_of_both_rings() -> None:
    assert geo.area(FRAME) == 300.0
    assert geo.perimeter(FRAME) == 120.0
    assert geo.bounds(FRAME) == (0.0, 0.0, 20.0, 20.0)


def test_a_ring_that_crosses_itself_counts_both_lobes() -> None:
    assert geo.area(HOURGLASS) == pytest.approx(50.0)
    assert not geo.ring_is_simple(HOURGLASS.exterior)
    assert geo.ring_is_simple(SQUARE.exterior)


def test_rings_without_area_are_empty_and_no_error() -> None:
    for points in ([(0, 0)], [(0, 0), (1, 1)], [(0, 0), (1, 1), (2, 2)]):
        assert geo.area(Region(exterior=frozen(points))) == 0.0
        assert geo.grow(Region(exterior=frozen(points)), -1.0) == ()


def test_growing_moves_the_exterior_out_and_holes_in() -> None:
    (grown,) = geo.grow(FRAME, 1.0, joins="mitre")
    assert geo.bounds(grown) == (-1.0, -1.0, 21.0, 21.0)
    assert geo.area(grown) == pytest.approx(22.0**2 - 8.0**2)
    assert geo.ring_area(grown.exterior) > 0 > geo.ring_area(grown.holes[0])


def test_a_region_that_vanishes_or_falls_apart_says_so() -> None:
    barbell = geo.union([SQUARE, geo.transformed(SQUARE, 0.0, False, 20.0, 0.0)])
    bridge = Region(exterior=frozen([(9, 4.5), (21, 4.5), (21, 5.5), (9, 5.5)]))
    (joined,) = geo.union([*barbell, bridge])
    assert len(geo.grow(joined, -1.0)) == 2
    assert geo.grow(joined, -6.0) == ()


def test_distances_are_between_edges_and_signed_for_points() -> None:
    far = geo.transformed(SQUARE, 0.0, False, 13.0, 14.0)
    assert geo.distance(SQUARE, far) == pytest.approx(5.0)
    inside_outside_in_the_hole = np.array([(5.0, 5.0), (5.0, -2.0)])
    assert geo.distances_to_edge(SQUARE, inside_outside_in_the_hole).tolist() == [5.0, -2.0]
    assert geo.distances_to_edge(FRAME, np.array([(10.0, 10.0)])).tolist() == [-5.0]


def test_shared_over_joint_area() -> None:
    half = geo.transformed(SQUARE, 0.0, False, 5.0, 0.0)
    assert geo.iou(SQUARE, half) == pytest.approx(1 / 3)
    assert geo.iou(SQUARE, SQUARE) == 1.0


def test_containing_allows_for_slack() -> None:
    wide = Region(exterior=frozen([(0, 0), (10.05, 0), (10.05, 10), (0, 10)]))
    assert geo.contains(wide, SQUARE)
    assert not geo.contains(SQUARE, wide)
    assert geo.contains(SQUARE, wide, slack_mm=0.1)


def test_loose_rings_become_regions_by_even_and_odd() -> None:
    island = frozen([(8, 8), (12, 8), (12, 12), (8, 12)])
    big, small = geo.regions_of([FRAME.exterior, FRAME.holes[0], island])
    assert geo.area(big) == 300.0
    assert len(big.holes) == 1
    assert geo.area(small) == 16.0


def test_combining_gives_parts_largest_first() -> None:
    bar = Region(exterior=frozen([(-1, 6), (30, 6), (30, 8), (-1, 8)]))
    assert [geo.area(part) for part in geo.common(FRAME, bar)] == [10.0, 10.0]
    assert [geo.area(part) for part in geo.difference(bar, SQUARE)] == [40.0, 2.0]
    assert geo.largest(geo.common(FRAME, bar)) is not None
    assert geo.largest([]) is None


def test_a_strip_around_a_path_is_as_wide_as_asked() -> None:
    (belt,) = geo.strip(np.array([(0.0, 0.0), (10.0, 0.0)]), 1.0)
    assert geo.area(belt) == pytest.approx(20 + math.pi, rel=1e-3)
    (ring,) = geo.strip(SQUARE.exterior, 1.0, closed=True)
    assert len(ring.holes) == 1


def test_the_hull_of_points_in_line_is_no_triangle() -> None:
    assert len(geo.convex_hull(FRAME.exterior)) == 4
    assert len(geo.convex_hull(np.array([(0.0, 0.0), (1.0, 1.0), (2.0, 2.0)]))) == 2


def test_a_label_has_most_room_in_the_wide_part_of_a_region_and_beside_its_hole() -> None:
    # Of a 40 x 20 rectangle with a 4 mm tail, the largest disc lies in the rectangle: radius 10.
    spade = Region(
        exterior=frozen([(0, 0), (40, 0), (40, 8), (90, 8), (90, 12), (40, 12), (40, 20), (0, 20)])
    )
    x, y, radius = geo.roomiest_point(spade)
    assert 9.0 <= radius <= 10.5
    assert 9.0 <= x <= 32.0
    assert 9.0 <= y <= 11.0
    x, y, radius = geo.roomiest_point(FRAME)
    assert 2.0 <= radius <= 5 / math.sqrt(2) + 1e-9
    assert not (5 < x < 15 and 5 < y < 15)


def test_what_zigzag_stitches_sweep_is_the_band_between_their_turns() -> None:
    #  /\/\/\  teeth 2 mm wide and 4 mm high
    zigzag = np.array([(float(k), 4.0 * (k % 2)) for k in range(101)])
    (band,) = geo.swept(zigzag)
    assert geo.area(band) == pytest.approx(99 * 4.0)
    assert geo.swept(zigzag[:2]) == ()


def test_what_prongs_sweep_reaches_from_edge_to_tips() -> None:
    prongs = np.array([(2.5 * k, y) for k in range(21) for y in (0.0, 3.0, 0.0)])
    (band,) = geo.swept(prongs)
    assert geo.area(band) == pytest.approx(50 * 3.0, rel=0.03)


def test_a_run_along_one_line_sweeps_nothing() -> None:
    assert geo.swept(np.array([(float(k), 0.0) for k in range(30)])) == ()


def test_closing_fills_narrow_gaps_and_leaves_wide_ones() -> None:
    halves = [geo.transformed(SQUARE, 0.0, False, x, 0.0) for x in (0.0, 10.3)]
    assert len(geo.closed_up(tuple(halves), 0.1)) == 2
    (joined,) = geo.closed_up(tuple(halves), 0.2)
    assert geo.area(joined) == pytest.approx(203.0, rel=1e-3)


def test_nearest_points_lie_on_either_edge() -> None:
    far = geo.transformed(SQUARE, 0.0, False, 13.0, 2.0)
    ours, theirs = geo.nearest_points(SQUARE, far)
    assert (ours[0], theirs[0]) == (10.0, 13.0)
    assert ours[1] == theirs[1]


def test_spaced_points_begin_at_the_first_and_are_even() -> None:
    ring = geo.spaced(SQUARE.exterior, 3.0)
    assert ring[0].tolist() == [0.0, 0.0]
    assert len(ring) == 14
    assert np.hypot(*np.diff(ring, axis=0).T).max() <= 40 / 14 + 1e-9


def test_scaling_leaves_its_centre_in_place() -> None:
    wide = geo.scaled(geo.curved(FRAME), 1.1, 0.9, (10.0, 10.0))
    assert geo.bounds(wide) == pytest.approx((-1.0, 1.0, 21.0, 19.0))
    assert geo.area(wide) == pytest.approx(300.0 * 0.99)


def test_several_regions_count_as_one_area() -> None:
    pair = (SQUARE, geo.transformed(SQUARE, 0.0, False, 20.0, 0.0))
    assert geo.area(pair) == 200.0
    assert geo.bounds(pair) == (0.0, 0.0, 30.0, 10.0)
    assert geo.bounds(()) == (0.0, 0.0, 0.0, 0.0)
    assert geo.contains_points(pair, np.array([(5.0, 5.0), (15.0, 5.0), (25.0, 5.0)])).tolist() == [
        True,
        False,
        True,
    ]
    assert geo.distances_to_edge((), np.array([(0.0, 0.0)])).tolist() == [-np.inf]
