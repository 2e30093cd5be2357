"""Corners are told from bends by how far the line turns more there than its neighbours explain."""

from __future__ import annotations

from itertools import accumulate

import numpy as np
import pytest

from piecewright.cutting.outlines.corners import find_corners
from tests.analytic_shapes import needle_points, shapes


def walked(turns_deg: list[float], steps_mm: list[float]) -> np.ndarray:
    """Points of a way that goes a step, turns, goes a step ...; its first turn is at the second point."""
    headings = np.radians(list(accumulate(turns_deg, initial=0.0)))
    steps = np.array(steps_mm)[:, None] * np.column_stack([np.cos(headings), np.sin(headings)])
    return np.vstack([np.zeros(2), np.cumsum(steps, axis=0)])


@pytest.mark.parametrize("steps", [(6.0, 6.0), (5.0, 7.0), (7.0, 5.0)])
@pytest.mark.parametrize(("turn", "is_corner"), [(34.5, False), (38.5, True)])
def test_where_two_arcs_meet_only_the_angle_between_their_tangents_counts(
    steps: tuple[float, float], turn: float, is_corner: bool
) -> None:
    """On an arc each stitch turns by its length over the radius (here 30 degrees in 6 mm), however uneven.

    Forty degrees less what rounding may do to stitches of 5 to 6 mm: 36.5 to 37.1.
    """
    way = walked([30.0, 30.0, 30.0 + turn, 30.0, 30.0], [*steps, *steps, *steps])
    assert (3 in find_corners(way)) is is_corner


@pytest.mark.parametrize(("turn", "is_corner"), [(34.5, False), (38.5, True)])
@pytest.mark.parametrize("backwards", [False, True])
def test_where_a_straight_line_runs_into_an_arc_the_arc_explains_half_a_stitch(
    turn: float, is_corner: bool, backwards: bool
) -> None:
    turns = [0.0, 0.0, 15.0 + turn, 30.0, 30.0]
    way = walked(turns[::-1] if backwards else turns, [6.0] * 6)
    assert (3 in find_corners(way)) is is_corner


@pytest.mark.parametrize(("turn", "is_corner"), [(36.0, False), (38.5, True)])
def test_neighbours_that_bend_the_other_way_explain_nothing(turn: float, is_corner: bool) -> None:
    way = walked([0.0, -30.0, turn, -30.0, 0.0], [6.0] * 6)
    assert (3 in find_corners(way)) is is_corner


@pytest.mark.parametrize(("turn", "is_corner"), [(69.0, False), (71.0, True)])
def test_a_turn_of_more_than_70_degrees_is_a_corner_whatever_its_neighbours_do(
    turn: float, is_corner: bool
) -> None:
    way = walked([turn] * 5, [6.0] * 6)
    assert (3 in find_corners(way)) is is_corner


@pytest.mark.parametrize(("turn", "is_corner"), [(29.0, False), (31.0, True)])
def test_a_turn_of_less_than_30_degrees_is_none_though_short_stitches_may_hide_it(
    turn: float, is_corner: bool
) -> None:
    way = walked([0.0, 0.0, turn, 0.0, 0.0], [1.5] * 6)
    assert (3 in find_corners(way)) is is_corner


@pytest.mark.parametrize("name", ["star", "gear", "heart", "house", "leaf"])
def test_corners_are_the_same_wherever_sewing_starts_whichever_way_it_goes_and_in_the_mirror(
    name: str,
) -> None:
    shape = next(each for each in shapes() if each.name == name)
    ring = needle_points(shape, 2.7, 0.2)
    corners, count = find_corners(ring), len(ring)
    assert len(corners) == len(shape.corners)
    assert find_corners(np.roll(ring, 5, axis=0)).tolist() == sorted((corners + 5) % count)
    assert find_corners(ring[::-1]).tolist() == sorted(count - 1 - corners)
    assert find_corners(ring * (-1, 1)).tolist() == corners.tolist()
    assert find_corners(ring[:, ::-1]).tolist() == corners.tolist()
