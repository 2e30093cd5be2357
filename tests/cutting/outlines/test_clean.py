"""Ties, laps and repeats go; corners stay."""

from __future__ import annotations

import numpy as np
import pytest

from piecewright.cutting.geometry import FloatArray, ring_area, ring_length
from piecewright.cutting.outlines.clean import clean_ring
from tests.cutting import sewing


def ring(points: FloatArray) -> FloatArray:
    return np.round(points[:-1], 1)


def test_a_clean_ring_is_left_alone() -> None:
    needles = ring(sewing.run(sewing.rectangle(0, 0, 30, 20)))
    assert np.array_equal(clean_ring(needles), needles)


def test_needle_points_on_one_spot_become_one() -> None:
    needles = ring(sewing.run(sewing.circle(20)))
    doubled = np.repeat(needles, 2, axis=0) + np.tile([[0.0, 0.0], [0.1, 0.0]], (len(needles), 1))
    assert len(clean_ring(doubled)) == len(needles)


@pytest.mark.parametrize("radius", [8, 20])
def test_ties_at_both_ends_leave_no_spike(radius: int) -> None:
    #   ..<->o----o----   the thread goes to and fro twice at the start and at the end
    tied = clean_ring(np.round(sewing.tied(sewing.run(sewing.circle(radius))), 1))
    assert np.hypot(*tied.T).max() < radius + 0.1
    assert ring_length(tied) == pytest.approx(2 * np.pi * radius, rel=0.015)


@pytest.mark.parametrize("radius", [8, 20])
def test_a_lap_is_cut_where_the_line_comes_round(radius: int) -> None:
    around = sewing.circle(radius)
    lapped = np.round(sewing.run(sewing.part(around, 0, sewing.length(around) + 9)), 1)
    clean = clean_ring(lapped)
    assert ring_length(clean) == pytest.approx(2 * np.pi * radius, rel=0.015)
    assert ring_area(clean) == pytest.approx(np.pi * radius**2, rel=0.04)


def test_a_lap_sewn_into_the_same_holes_leaves_each_of_them_once() -> None:
    needles = ring(sewing.run(sewing.circle(20)))
    assert np.array_equal(clean_ring(np.vstack([needles, needles[:5]])), needles)


def test_a_line_that_passes_near_its_start_before_it_has_gone_round_is_not_cut_there() -> None:
    #  a horseshoe: its ends come within half a millimetre after the whole way, and not before
    around = sewing.circle(20)
    shape = np.round(sewing.run(sewing.part(around, 0.4, sewing.length(around))), 1)
    assert ring_length(clean_ring(shape)) == pytest.approx(2 * np.pi * 20, rel=0.01)
    #  a figure of eight whose first loop is a third of it
    small, large = sewing.circle(10, (-10.0, 0.0)), sewing.circle(20, (20.0, 0.0), 180.0)
    eight = ring(sewing.run(np.vstack([small, large])))
    assert ring_length(clean_ring(eight)) == pytest.approx(2 * np.pi * 30, rel=0.02)


def test_a_short_step_in_the_middle_is_no_tie() -> None:
    #  ____/\____   a small tooth of 0.9 mm edges that the design really has
    tooth = np.array([(0, 0), (10, 0), (20, 0), (28, 0), (28.4, -0.8), (28.8, 0), (38, 0), (50, 0)])
    rest = np.array(
        [(50, 10), (50, 20), (50, 30), (40, 30), (30, 30), (20, 30), (10, 30), (0, 30), (0, 20), (0, 10)]
    )
    needles = np.vstack([tooth, rest]).astype(float)
    assert len(clean_ring(needles)) == len(needles)


@pytest.mark.parametrize("count", [1, 2, 3])
def test_rings_of_few_points_survive(count: int) -> None:
    needles = np.array([(0.0, 0.0), (10.0, 0.0), (5.0, 8.0)])[:count]
    assert len(clean_ring(needles)) == count


def test_no_two_points_are_left_on_one_spot_after_a_tie_is_cut() -> None:
    out_and_back = np.array([(0.0, 0.0), (0.6, 0.0), (0.0, 0.0), (0.6, 0.0), (0.0, 0.0)])
    needles = np.vstack([out_and_back, np.round(sewing.run(sewing.circle(20) - (20, 0))[1:-1], 1)])
    steps = np.diff(np.vstack([(clean := clean_ring(needles)), clean[:1]]), axis=0)
    assert np.hypot(*steps.T).min() > 0.2


def test_a_line_that_begins_just_beside_a_sharp_tip_keeps_the_tip() -> None:
    r"""The start lies 0.8 mm behind the tip, on the way back.

    ----____
             ----> tip
        ____--x   start
    ----
    """
    tip = [(24.9, -16.7)]
    there = [(12.0, -18.0), (18.8, -17.9), (20.3, -17.8), (21.9, -17.6), (23.4, -17.2)]
    back = [(24.1, -16.6), (22.5, -16.1), (21.1, -15.5), (19.7, -14.8), (18.4, -13.9), (17.1, -12.9)]
    rest = [(16.0, -11.8), (15.0, -10.6), (14.1, -9.3), (13.4, -7.9), (8.0, -8.0), (4.0, -12.0), (8.0, -16.0)]
    ring = np.array([*back, *rest, *there, *tip])
    assert (clean_ring(ring) == tip[0]).all(axis=1).any()


def test_a_sharp_tip_between_two_short_stitches_is_kept_where_all_stitches_are_short() -> None:
    r"""Sewing begins 2 mm behind the tip, and all stitches are 0.9 mm.

    ----____
        ____>--- x start behind the tip
    ----
    """
    out = [(20 - 0.9 * k, 0.0) for k in range(23)]
    back = [(20 - 0.87 * k, 0.22 * k) for k in range(1, 24)]
    ring = np.array([*back[1:], *reversed(out), back[0]])
    assert (clean_ring(ring) == (20.0, 0.0)).all(axis=1).any()
