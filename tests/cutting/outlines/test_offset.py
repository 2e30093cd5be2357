"""The line moved out or in; corners, ease, notches and under-laps as the rules say."""

from __future__ import annotations

import math

import numpy as np
import pytest

from piecewright.cutting import geometry as geo
from piecewright.cutting.geometry import FloatArray, Region, frozen
from piecewright.cutting.outlines.line import Line, line_of
from piecewright.cutting.outlines.offset import notched, offset_region, top_of
from tests.cutting import sewing
from tests.cutting.outlines.pieces_by_hand import Bench, rules


def line(curve: FloatArray, *holes: FloatArray) -> Line:
    drawn = line_of(Bench().add(sewing.run(curve), holes=[sewing.run(hole) for hole in holes]))
    assert drawn is not None
    return drawn


SQUARE = sewing.rectangle(0, 0, 40, 40)


def test_a_rounded_corner_is_nowhere_farther_from_the_line_than_the_offset() -> None:
    star = line(sewing.star(5, 40, 16))
    (cut,) = offset_region(star, 1.5, rules())
    assert -geo.distances_to_edge(star.region, cut.exterior).min() == pytest.approx(1.5, abs=1e-3)


def test_a_right_angle_may_stay_sharp_and_a_sharper_one_may_not() -> None:
    (cut,) = offset_region(line(SQUARE), 1.5, rules(corners="sharp"))
    assert geo.area(cut) == pytest.approx(43.0**2)
    star = line(sewing.star(5, 40, 16))
    assert geo.area(offset_region(star, 1.5, rules(corners="sharp"))[0]) == pytest.approx(
        geo.area(offset_region(star, 1.5, rules())[0])
    )


def test_inside_corners_stay_sharp_either_way() -> None:
    #  +--+
    #  |  |___      the corner inside the L is met by two lines, not by an arc
    #  |______|
    shape = sewing.polygon((0, 0), (20, 0), (20, 30), (45, 30), (45, 50), (0, 50))
    (cut,) = offset_region(line(shape), 1.5, rules())
    assert np.hypot(*(cut.exterior - (21.5, 28.5)).T).min() < 1e-6


def test_holes_shrink_and_a_negative_offset_opens_them() -> None:
    ring = line(sewing.circle(30), sewing.circle(12))
    (out,), (inwards,) = offset_region(ring, 1.5, rules()), offset_region(ring, -2.0, rules())
    assert geo.area(out) == pytest.approx(math.pi * (31.5**2 - 10.5**2), rel=1e-3)
    assert geo.area(inwards) == pytest.approx(math.pi * (28.0**2 - 14.0**2), rel=1e-3)


def test_without_an_offset_the_line_itself_is_cut() -> None:
    (cut,) = offset_region(line(SQUARE), 0.0, rules())
    assert geo.area(cut) == pytest.approx(1600.0)


def test_ease_cuts_the_tip_of_a_sharp_outside_corner_only() -> None:
    plain, eased = (offset_region(line(SQUARE), 1.5, rules(corner_ease=ease))[0] for ease in (0, "0.5 mm"))
    half_angle = math.acos((1.5 - 0.5) / 1.5)
    segment = 1.5**2 * (half_angle - math.sin(half_angle) * math.cos(half_angle))
    assert geo.area(plain) - geo.area(eased) == pytest.approx(4 * segment, rel=0.01)
    circle = line(sewing.circle(20))
    assert geo.area(offset_region(circle, 1.5, rules(corner_ease="0.5 mm"))[0]) == pytest.approx(
        geo.area(offset_region(circle, 1.5, rules())[0])
    )


def test_ease_measures_from_the_tip_of_a_corner_that_stays_sharp() -> None:
    (eased,) = offset_region(line(SQUARE), 1.5, rules(corners="sharp", corner_ease="1 mm"))
    assert geo.area(eased) == pytest.approx(43.0**2 - 4 * 1.0)  # four right triangles 1 mm high


def test_a_notch_is_cut_at_the_top() -> None:
    region = Region(exterior=frozen(geo.spaced(np.array([(0.0, 0), (40, 0), (40, 40), (0, 40)]), 0.2)))
    cut = notched(region, 2.0, np.array([(20.0, 0.0)]))
    assert geo.area(region) - geo.area(cut) == pytest.approx(2.0 * 2.0 / 2, rel=0.1)
    assert geo.distances_to_edge(cut, np.array([(20.0, 1.5)]))[0] < 0
    assert top_of(region)[0, 1] == 0.0


def test_an_under_lap_reaches_farther_only_under_the_later_piece() -> None:
    #   [ A ][ B over A's right edge ]
    later = Region(exterior=frozen([(35, -10), (80, -10), (80, 50), (35, 50)]))
    (plain,) = offset_region(line(SQUARE), 1.5, rules(), [later])
    (lapped,) = offset_region(line(SQUARE), 1.5, rules(under_lap="3 mm"), [later])
    assert geo.bounds(lapped)[2] == pytest.approx(44.5, abs=0.05)
    assert geo.bounds(lapped)[0] == pytest.approx(geo.bounds(plain)[0])
    assert geo.contains(lapped, plain, slack_mm=1e-3)


def test_a_piece_may_vanish_or_fall_apart() -> None:
    assert offset_region(line(sewing.circle(4)), -5.0, rules()) == ()
    dumbbell = sewing.polygon(
        (0, 0),
        (20, 0),
        (20, 8),
        (30, 8),
        (30, 0),
        (50, 0),
        (50, 20),
        (30, 20),
        (30, 12),
        (20, 12),
        (20, 20),
        (0, 20),
    )
    assert len(offset_region(line(dumbbell), -2.5, rules())) == 2


def regular(sides: int, apothem: float) -> FloatArray:
    """Corners of a regular polygon whose sides lie an apothem from the origin."""
    turns = 2 * np.pi * np.arange(sides) / sides
    corners = np.column_stack([np.cos(turns), np.sin(turns)]) * apothem / np.cos(np.pi / sides)
    return sewing.polygon(*map(tuple, corners.tolist()))


@pytest.mark.parametrize("sides", [4, 5, 8])
@pytest.mark.parametrize("offset", [0.8, 2.0])
def test_a_polygon_with_sharp_corners_grows_to_the_polygon_with_sides_an_offset_farther(
    sides: int, offset: float
) -> None:
    """The area of a regular polygon with apothem a is n a^2 tan(180 / n)."""
    drawn = line(regular(sides, 20.0))
    (cut,) = offset_region(drawn, offset, rules(corners="sharp"))
    apothem = math.sqrt(geo.area(drawn.region) / sides / math.tan(math.pi / sides))
    assert geo.area(cut) == pytest.approx(
        sides * (apothem + offset) ** 2 * math.tan(math.pi / sides), rel=2e-4
    )
    (smaller,) = offset_region(drawn, -offset, rules(corners="sharp"))
    assert geo.area(smaller) == pytest.approx(
        sides * (apothem - offset) ** 2 * math.tan(math.pi / sides), rel=2e-4
    )


def test_two_sharp_corners_of_a_piece_with_a_round_end_are_filled_and_nothing_else() -> None:
    #  +------.
    #  |       )   two right angles on the left, each with offset^2 (1 - pi / 4) beyond its arc
    #  +------'
    angle = np.linspace(-np.pi / 2, np.pi / 2, 200)
    end = np.column_stack([40 + 10 * np.cos(angle), 10 + 10 * np.sin(angle)])
    shape = sewing.dense(np.vstack([[(0.0, 0.0)], end, [(0.0, 20.0), (0.0, 0.0)]]))
    rounded, sharp = (offset_region(line(shape), 2.0, rules(corners=how))[0] for how in ("round", "sharp"))
    assert geo.area(sharp) - geo.area(rounded) == pytest.approx(2 * 4.0 * (1 - math.pi / 4), rel=0.02)


def test_ease_cuts_a_triangle_as_high_as_it_says_off_each_corner_of_a_pentagon() -> None:
    """With 108 degrees at the tip a triangle e high has the area e^2 tan(54)."""
    drawn = line(regular(5, 20.0))
    for ease in (0.8, 2.0):
        plain, eased = (
            offset_region(drawn, 1.5, rules(corners="sharp", corner_ease=depth))[0]
            for depth in (0, f"{ease} mm")
        )
        cut_off = 5 * ease**2 * math.tan(math.radians(54))
        assert geo.area(plain) - geo.area(eased) == pytest.approx(cut_off, rel=0.02)


def test_corners_that_turn_less_than_60_degrees_are_not_eased() -> None:
    octagon = line(regular(8, 20.0))
    plain, eased = (offset_region(octagon, 1.5, rules(corner_ease=depth))[0] for depth in (0, "1 mm"))
    assert geo.area(eased) == pytest.approx(geo.area(plain))


def test_a_long_under_lap_ends_a_millimetre_inside_the_piece_that_hides_it() -> None:
    #   [ A ][ B over A's right edge, 10 mm wide ]
    strip = Region(exterior=frozen([(35, -10), (45, -10), (45, 50), (35, 50)]))
    (lapped,) = offset_region(line(SQUARE), 0.0, rules(under_lap="30 mm"), [strip])
    assert geo.bounds(lapped)[2] == pytest.approx(44.0, abs=0.05)
    (short,) = offset_region(line(SQUARE), 0.0, rules(under_lap="0.8 mm"), [strip])
    assert geo.bounds(short)[2] == pytest.approx(40.8, abs=0.05)
    (none,) = offset_region(line(SQUARE), 0.0, rules(), [strip])
    assert geo.bounds(none)[2] == pytest.approx(40.0, abs=0.05)


@pytest.mark.parametrize("place", [(40.0, 20.0), (20.0, 40.0), (0.0, 20.0), (20.0, 0.0)])
def test_a_notch_goes_into_the_fabric_on_every_side(place: tuple[float, float]) -> None:
    region = Region(exterior=frozen(geo.spaced(np.array([(0.0, 0), (40, 0), (40, 40), (0, 40)]), 0.2)))
    cut = notched(region, 2.0, np.array([place]))
    assert geo.area(region) - geo.area(cut) == pytest.approx(2.0 * 2.0 / 2, rel=0.1)
    inwards = (np.array([20.0, 20.0]) - place) / 20.0
    assert geo.contains_points(cut, np.array([place + inwards * depth for depth in (1.8, 2.2)])).tolist() == [
        False,
        True,
    ]


def test_the_top_is_the_point_that_lies_highest_on_the_page() -> None:
    region = Region(exterior=frozen([(0, 10), (7, 2), (20, 5), (10, 30)]))
    assert top_of(region).tolist() == [[7.0, 2.0]]


def test_no_slit_is_left_where_an_under_lap_meets_the_edge_that_it_lengthens() -> None:
    #  B goes round A; 1 mm outside A's edge and 1 mm inside B's lie on each other but for rounding
    disc = line(sewing.circle(20))
    around = Region(exterior=frozen(sewing.circle(60)), holes=(frozen(sewing.circle(20.0)),))
    (lapped,) = offset_region(disc, 1.0, rules(under_lap="4 mm"), [around])
    assert lapped.holes == ()
    assert geo.area(lapped) == pytest.approx(math.pi * 25.0**2, rel=1e-2)
