"""Inner before outer, a short way, starts away from corners."""

from __future__ import annotations

from itertools import combinations, pairwise, permutations, product
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from piecewright.cutting.geometry import CurvedRegion, Region, curve_area, curve_length, curved
from piecewright.cutting.mats import LaidPiece, lay
from piecewright.cutting.mats.cut_order import cut_order
from piecewright.cutting.mats.starts import CLEAR_MM, starts_of
from tests.cutting.mats.support import Points, demand, ellipse, rectangle, rules

if TYPE_CHECKING:
    from collections.abc import Iterable

    from piecewright.cutting.geometry import FloatArray


def piece(name: str, exterior: Points, *holes: Points) -> LaidPiece:
    region = Region(exterior=np.array(exterior), holes=tuple(np.array(hole) for hole in holes))
    return LaidPiece(
        id=name,
        piece=name,
        design="d",
        curve=curved(region),
        x_mm=0.0,
        y_mm=0.0,
        turned_deg=0.0,
        mirrored=False,
        patch=None,
        fabric="",
    )


def names(*pieces: LaidPiece) -> list[str]:
    return [piece.id for piece in cut_order(pieces).pieces]


def test_a_piece_in_a_hole_is_cut_before_its_host_and_that_before_its_own_host() -> None:
    # A ring, in its hole a smaller ring, in that a disc; they stand in the wrong order.
    outer = piece("outer", ellipse(200, 200), ellipse(160, 160))
    middle = piece("middle", ellipse(120, 120), ellipse(80, 80))
    inner = piece("inner", ellipse(40, 40))
    assert names(outer, middle, inner) == ["inner", "middle", "outer"]


def test_pieces_go_from_the_upper_left_corner_to_the_nearest_next_one() -> None:
    # 1 . 2
    # 4 . 3   turned round at the right
    squares = [piece(n, rectangle(20, 20, x, y)) for n, x, y in (("3", 100, 100), ("1", 5, 5), ("4", 5, 110))]
    assert names(*squares, piece("2", rectangle(20, 20, 100, 5))) == ["1", "2", "3", "4"]


def test_the_way_is_not_longer_than_the_best_of_all_orders_by_more_than_a_tenth() -> None:
    places = [(10, 200), (150, 30), (220, 220), (60, 90), (250, 110), (120, 160)]
    squares = [piece(str(n), rectangle(6, 6, x, y)) for n, (x, y) in enumerate(places)]
    middles = np.array(places) + 3.0

    def way(order: tuple[int, ...]) -> float:
        return length_through(middles[i] for i in order)

    best = min(way(order) for order in permutations(range(len(places))))
    ours = tuple(int(p.id) for p in cut_order(squares).pieces)
    assert way(ours) <= 1.1 * best


def length_through(stops: Iterable[FloatArray]) -> float:
    """Length of the way from the mat's upper left corner through some places."""
    return sum(float(np.hypot(*(b - a))) for a, b in pairwise([np.zeros(2), *stops]))


places_on_a_mat = st.lists(
    st.tuples(st.integers(0, 290), st.integers(0, 290)), min_size=2, max_size=9, unique=True
)


@settings(max_examples=60)
@given(places=places_on_a_mat)
def test_no_part_of_the_way_could_be_turned_round_to_shorten_it(places: list[tuple[int, int]]) -> None:
    """Which is what 2-opt promises (G. A. Croes, A method for solving traveling-salesman problems, 1958)."""
    squares = [piece(str(n), rectangle(6, 6, x, y)) for n, (x, y) in enumerate(places)]
    middles = [np.array(places[int(one.id)]) + 3.0 for one in cut_order(squares).pieces]
    ours = length_through(middles)
    for first, last in combinations(range(len(middles)), 2):
        turned = middles[:first] + middles[first : last + 1][::-1] + middles[last + 1 :]
        assert length_through(turned) > ours - 1e-5


@settings(max_examples=30)
@given(places=st.lists(st.tuples(st.integers(0, 200), st.integers(0, 200)), min_size=1, max_size=3))
def test_no_other_choice_of_starts_makes_the_way_shorter(places: list[tuple[int, int]]) -> None:
    shapes = [rectangle(60, 40), ellipse(40, 40, 12), rectangle(30, 80)]
    pieces = [
        piece(str(n), [(x + a, y + b) for a, b in shape])
        for n, ((x, y), shape) in enumerate(zip(places, shapes, strict=False))
    ]
    route = cut_order(pieces)
    whole = {one.id: one.curve.exterior for one in pieces}
    choices = [starts_of(whole[one.id]).points for one in route.pieces]
    best = min(length_through(chosen) for chosen in product(*choices))
    assert route.travel_mm == pytest.approx(best)
    assert length_through(one.curve.exterior[0, 0] for one in route.pieces) == pytest.approx(best)


def test_the_holes_of_a_piece_go_from_the_upper_left_corner_to_the_nearest_next_one() -> None:
    # bars with two and three holes that stand in no order
    for places in ((150, 30), (150, 30, 90)):
        holes = [rectangle(10, 10, x, 25) for x in places]
        (bar,) = cut_order([piece("bar", rectangle(200, 60), *holes)]).pieces
        middles = [float(np.mean(hole[:, 0, 0])) for hole in bar.curve.holes]
        assert middles == pytest.approx(sorted(x + 5 for x in places), abs=5)
        assert sum(abs(curve_area(hole)) for hole in bar.curve.holes) == pytest.approx(100.0 * len(places))


def test_a_shorter_way_never_puts_a_host_before_its_guest() -> None:
    # the disc in the ring lies farthest off; the short way would cut the ring on the way to the last square
    ring = piece("ring", ellipse(100, 100, x=150, y=150), ellipse(80, 80, x=150, y=150))
    disc = piece("disc", ellipse(20, 20, x=168, y=168))
    squares = [
        piece(str(n), rectangle(8, 8, x, y)) for n, (x, y) in enumerate([(10, 10), (240, 240), (60, 10)])
    ]
    order = names(ring, disc, *squares)
    assert order.index("disc") < order.index("ring")
    assert sorted(order) == ["0", "1", "2", "disc", "ring"]


def test_control_points_on_the_ends_of_a_side_do_not_hide_its_direction() -> None:
    square = piece("A", rectangle(40, 40)).curve.exterior
    doubled = square.copy()
    doubled[:, 1], doubled[:, 2] = square[:, 0], square[:, 3]
    assert starts_of(doubled).halfway
    assert starts_of(doubled).points == pytest.approx(starts_of(square).points)


def test_a_side_without_length_is_no_direction_and_no_crash() -> None:
    square = piece("A", rectangle(40, 40)).curve.exterior
    point = np.repeat(square[2:3, :1], 4, axis=1)
    starts = starts_of(np.concatenate([square[:2], point, square[2:]]))
    assert np.isfinite(starts.points).all()
    assert any(np.hypot(*(starts.points - corner).T).min() > CLEAR_MM for corner in square[:, 0])


def test_travel_and_cut_are_measured_on_what_is_cut() -> None:
    route = cut_order([piece("A", rectangle(40, 20, 10, 10)), piece("B", rectangle(40, 20, 10, 60))])
    assert route.cut_mm == pytest.approx(240.0)
    stops = (one.curve.exterior[0, 0] for one in route.pieces)
    assert route.travel_mm == pytest.approx(length_through(stops))


def test_the_time_is_cut_and_travel_at_their_speeds() -> None:
    layout = lay([demand(rectangle(100, 60))], rules(turning="none", cut_speed_mm_s=10, travel_speed_mm_s=50))
    mat = layout.mats[0]
    assert mat.seconds == pytest.approx(320 / 10 + mat.travel_mm / 50)


def test_a_square_is_started_in_the_middle_of_a_side() -> None:
    curve = cut_order([piece("A", rectangle(40, 40, 10, 10))]).pieces[0].curve.exterior
    assert tuple(curve[0, 0]) in {(30.0, 10.0), (10.0, 30.0)}


def test_a_start_on_a_smooth_ring_adds_no_node() -> None:
    ring = _circle(30.0)
    assert starts_of(ring).halfway is False
    one = LaidPiece(
        id="A", piece="A", design="d", curve=CurvedRegion(exterior=ring), x_mm=0.0, y_mm=0.0,
        turned_deg=0.0, mirrored=False, patch=None, fabric="",
    )  # fmt: skip
    assert len(cut_order([one]).pieces[0].curve.exterior) == len(ring)


def test_where_smooth_nodes_are_clear_of_corners_none_nearer_is_taken() -> None:
    # A drop: a tip at the top, smooth nodes round the belly.
    t = np.linspace(0.0, 1.0, 13)[:-1]
    angle = np.pi / 2 + 2 * np.pi * t
    drop = np.column_stack([30 * np.cos(angle), -30 * np.sin(angle)])
    drop[0] = (0.0, -60.0)
    starts = starts_of(curved(Region(exterior=drop)).exterior)
    tip = np.hypot(*(starts.points - drop[0]).T)
    assert (tip > CLEAR_MM).all()


def test_starting_elsewhere_leaves_the_curve_as_it_is() -> None:
    one = piece("A", ellipse(60, 40, 24), rectangle(10, 10, -5, -5))
    curve = cut_order([one]).pieces[0].curve
    assert curve_area(curve.exterior) == pytest.approx(curve_area(one.curve.exterior))
    assert curve_length(curve.holes[0]) == pytest.approx(40.0)
    for ring in (curve.exterior, *curve.holes):
        assert np.array_equal(ring[:, 3], np.roll(ring[:, 0], -1, axis=0))


def _circle(radius: float) -> np.ndarray:
    """Four cubics, the usual approximation with handles of 0.5523 radii."""
    k = 0.5522847498 * radius
    quarter = np.array([(radius, 0.0), (radius, k), (k, radius), (0.0, radius)])
    turn = np.array([(0.0, 1.0), (-1.0, 0.0)])
    return np.array([quarter @ np.linalg.matrix_power(turn, n) for n in range(4)])
