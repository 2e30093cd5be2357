"""Regions and the engine behind them."""

from __future__ import annotations

import math

import numpy as np
import pytest

from piecewright.cutting import geometry as geo
from piecewright.cutting.geometry import Region, frozen

SQUARE = Region(exterior=frozen([(0, 0), (10, 0), (10, 10), (0, 10)]))
FRAME = Region(
    exterior=frozen([(0, 0), (20, 0), (20, 20), (0, 20)]),
    holes=(frozen([(5, 5), (15, 5), (15, 15), (5, 15)]),),
)
HOURGLASS = Region(exterior=frozen([(0, 0), (10, 0), (0, 10), (10, 10)]))


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


def test_a_ring_stays_near_another_if_no_corner_and_no_edge_leaves_its_corridor() -> None:
    ring = SQUARE.exterior
    notched = frozen([(0, 0), (10, 0), (10, 10), (5, 9), (0, 10)])
    assert geo.stays_near(ring, ring + 0.09, 0.2)
    assert not geo.stays_near(ring, ring + 0.2, 0.2)  # the corners lie 0.28 apart
    assert geo.stays_near(notched, ring, 1.01)
    assert not geo.stays_near(notched, ring, 0.99)
    assert not geo.stays_near(ring, frozen([(0, 0), (10, 0), (10, 10)]), 5.0)  # a corner is cut off: 7.07


def test_the_corridor_lacks_half_a_percent_at_its_corners_at_most() -> None:
    spike = frozen([(0, 0), (10, 0), (10, 10), (0, 10), (-0.7, 10.7)])  # 0.99 beside the corner
    assert geo.stays_near(spike, SQUARE.exterior, 1.0)


def test_points_on_the_edge_are_inside_and_points_in_a_hole_are_not() -> None:
    points = np.array([(0.0, 0.0), (20.0, 7.0), (5.0, 10.0), (10.0, 10.0), (21.0, 10.0)])
    assert geo.contains_points(FRAME, points).tolist() == [True, True, True, False, False]
    assert geo.contains_points((), points).tolist() == [False] * 5


def test_regions_that_touch_intersect() -> None:
    beside, away = (geo.transformed(SQUARE, 0.0, False, x, 0.0) for x in (10.0, 10.1))
    assert geo.intersects(SQUARE, beside)
    assert not geo.intersects(SQUARE, away)


def test_distances_are_given_for_no_points_and_for_several_regions() -> None:
    pair = (SQUARE, geo.transformed(SQUARE, 0.0, False, 20.0, 0.0))
    points = np.array([(13.0, 5.0), (16.0, 5.0), (21.0, 5.0)])
    assert geo.distances_to_edge(pair, points).tolist() == [-3.0, -4.0, 1.0]
    assert geo.distances_to_edge((FRAME,), points + np.array([0.0, 2.0])).tolist() == [-2.0, 1.0, -1.0]
    assert geo.distances_to_edge(SQUARE, np.zeros((0, 2))).shape == (0,)


def test_outside_corners_grow_round_sharp_or_cut() -> None:
    (round_one,) = geo.grow(SQUARE, 2.0)
    (sharp,) = geo.grow(SQUARE, 2.0, joins="mitre")
    (cut,) = geo.grow(SQUARE, 2.0, joins="bevel")
    assert geo.area(round_one) == pytest.approx(100 + 4 * 20 + math.pi * 4, rel=1e-4)
    assert geo.area(sharp) == pytest.approx(196.0)
    assert geo.area(cut) == pytest.approx(196.0 - 4 * 2.0)
    # A square's mitre reaches 1.414 distances; a tip that needs more is cut where the limit says.
    (blunt,) = geo.grow(Region(exterior=frozen([(0, 0), (30, -3), (30, 3)])), 1.0, joins="mitre")
    assert -1.5 - 1e-6 <= geo.bounds(blunt)[0] <= -1.0


def test_arcs_round_corners_are_flattened_within_a_thousandth_of_a_millimetre() -> None:
    (grown,) = geo.grow(SQUARE, 3.0)
    corner = grown.exterior[(grown.exterior < 0).all(axis=1)]
    middles = (corner[1:] + corner[:-1]) / 2
    assert np.hypot(*corner.T) == pytest.approx(np.full(len(corner), 3.0))
    assert np.hypot(*middles.T).min() > 3.0 - 0.001


def test_the_strip_around_a_point_is_a_disc() -> None:
    (disc,) = geo.strip(np.array([(5.0, 5.0)]), 2.0)
    assert geo.area(disc) == pytest.approx(4 * math.pi, rel=1e-3)
    assert geo.bounds(disc) == pytest.approx((3.0, 3.0, 7.0, 7.0))


def test_an_open_path_has_no_strip_along_the_edge_that_would_close_it() -> None:
    path = np.array([(0.0, 0.0), (10.0, 0.0), (10.0, 10.0)])
    between = np.array([(5.0, 5.0)])
    assert not geo.contains_points(geo.strip(path, 0.5), between).any()
    assert geo.contains_points(geo.strip(path, 0.5, closed=True), between).all()


def test_simplifying_moves_no_point_and_keeps_what_matters() -> None:
    bumpy = frozen([(0, 0), (5, 0.05), (10, 0), (10, 5), (10, 10), (5, 8), (0, 10)])
    simple = geo.simplified(bumpy, 0.1)
    assert sorted(map(tuple, simple.tolist())) == [(0, 0), (0, 10), (5, 8), (10, 0), (10, 10)]


def test_a_ring_with_too_few_corners_to_be_a_hole_is_no_hole() -> None:
    slit = Region(
        exterior=SQUARE.exterior, holes=(frozen([(2, 2), (4, 4)]), frozen([(5, 5), (8, 5), (8, 8)]))
    )
    assert geo.area(slit) == pytest.approx(100 - 4.5)
    assert geo.perimeter(slit) == pytest.approx(40 + 6 + math.sqrt(18))


def test_crumbs_that_rounding_leaves_are_no_regions() -> None:
    thin = Region(exterior=frozen([(9.9999999, 0), (20, 0), (20, 10), (9.9999999, 10)]))
    assert geo.common(SQUARE, thin) == ()


def test_a_line_has_no_room_for_a_label_but_a_middle() -> None:
    assert geo.roomiest_point(Region(exterior=frozen([(0, 0), (4, 2), (8, 4)]))) == (4.0, 2.0, 0.0)


def test_the_largest_of_equals_is_the_first() -> None:
    first, second = (geo.transformed(SQUARE, 0.0, False, x, 0.0) for x in (0.0, 20.0))
    assert geo.largest([first, second]) is first
    assert geo.largest([second, first]) is second


def test_what_long_rows_of_stitches_sweep_has_no_seams() -> None:
    for count in (41, 42, 43, 81, 82, 83):
        zigzag = np.array([(float(k), 4.0 * (k % 2)) for k in range(count)])
        (band,) = geo.swept(zigzag)
        assert geo.area(band) == pytest.approx((count - 2) * 4.0)


def test_two_stitches_sweep_the_triangle_between_them() -> None:
    (band,) = geo.swept(np.array([(0.0, 0.0), (1.0, 4.0), (2.0, 0.0)]))
    assert geo.area(band) == pytest.approx(4.0)


def test_the_place_for_a_label_is_as_good_far_from_the_origin() -> None:
    # the largest disc in a right triangle with legs of 60 and 80 mm has the radius (60 + 80 - 100) / 2
    triangle = Region(exterior=frozen([(0, 0), (80, 0), (0, 60)]))
    for x, y in ((0.0, 0.0), (900.0, -700.0), (-900.0, 700.0)):
        *_, radius = geo.roomiest_point(geo.transformed(triangle, 0.0, False, x, y))
        assert 20.0 - 60 / 20 <= radius <= 20.0 + 1e-9


def test_containing_without_slack_is_exact() -> None:
    hair = Region(exterior=frozen([(0, 0), (10 + 1e-9, 0), (10, 10), (0, 10)]))
    assert geo.contains(hair, SQUARE)
    assert not geo.contains(SQUARE, hair)


def test_a_band_between_uneven_turns_goes_from_every_other_point_to_the_next() -> None:
    """Teeth of 4 and 2 mm by turns: the upper edge runs from tip to tip, 3 mm high in the middle."""
    tips = [4.0, 2.0]
    zigzag = np.array([(float(k), 0.0 if k % 2 == 0 else tips[(k // 2) % 2]) for k in range(41)])
    (band,) = geo.swept(zigzag)
    # 20 tips from x = 1 to 39: 19 trapezoids 2 mm wide, and a triangle 1 mm wide at either end
    assert geo.area(band) == pytest.approx(19 * 2 * 3.0 + (4.0 + 2.0) / 2)
    assert not geo.contains_points(band, np.array([(3.0, 2.5)]))[0]


def test_a_triangle_is_a_simple_ring_and_two_points_are_none() -> None:
    assert geo.ring_is_simple(SQUARE.exterior[:3])
    assert not geo.ring_is_simple(SQUARE.exterior[:2])


def test_simplifying_by_more_than_a_ring_is_wide_leaves_a_ring() -> None:
    thin = frozen([(7, 9), (11, 11), (9, 6), (1, 0), (6, 7), (5, 9)])
    simple = geo.simplified(thin, 2.0)
    assert len(simple) >= 3
    assert geo.ring_is_simple(simple)


def test_a_read_only_array_is_a_copy_of_numbers_that_nobody_changes() -> None:
    numbers = np.array([1, 2, 3])
    kept = frozen(numbers)
    numbers[0] = 9
    assert kept.tolist() == [1.0, 2.0, 3.0]
    assert kept.dtype == np.float64
    with pytest.raises(ValueError, match="read-only"):
        kept[0] = 5.0
