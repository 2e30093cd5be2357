"""Placement lines are rebuilt from what is really sewn: gaps, laps, ties, travels, cuts."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from piecewright.cutting.geometry import Region, distances_to_edge
from piecewright.cutting.passes import find_runs
from piecewright.cutting.pieces.loops import traced
from piecewright.cutting.pieces.rings import find_lines
from piecewright.cutting.pieces.spurs import without_ties
from tests.cutting import sewing as sew
from tests.cutting.pieces.support import assert_cut, codes, understood
from tests.overlap import iou

if TYPE_CHECKING:
    from collections.abc import Callable

    from piecewright.cutting.geometry import FloatArray
    from piecewright.cutting.pieces.rings import Ring

CIRCLE = sew.circle(20.0)
STAR = sew.star(5, 20.0, 8.0)
SQUARE = sew.rectangle(0.0, 0.0, 40.0, 30.0)
CURVES = pytest.mark.parametrize("curve", [CIRCLE, STAR, SQUARE], ids=["circle", "star", "square"])
STITCHES = pytest.mark.parametrize("stitch", [1.5, 2.5, 3.5])


def rings_of(*parts: FloatArray) -> tuple[Ring, ...]:
    return find_lines(find_runs(sew.design(list(parts))), 15.0).rings


def overlap(ring: Ring, curve: FloatArray) -> float:
    return iou(Region(exterior=ring.points), Region(exterior=curve[:-1]))


def assert_one(curve: FloatArray, *parts: FloatArray, iou: float = 0.98, astray_mm: float = 0.5) -> Ring:
    (ring,) = rings_of(*parts)
    assert overlap(ring, curve) >= iou
    off = distances_to_edge(Region(exterior=curve[:-1]), ring.points)
    assert np.abs(off).max() <= astray_mm  # a spike has no area
    return ring


@CURVES
@STITCHES
def test_a_plain_ring(curve: FloatArray, stitch: float) -> None:
    ring = assert_one(curve, sew.run(curve, stitch))
    assert ring.gaps == ()


@CURVES
@STITCHES
def test_ties_and_a_lap_are_left_out(curve: FloatArray, stitch: float) -> None:
    path = sew.part(curve, 1.0, sew.length(curve) + 8.0)
    ring = assert_one(curve, sew.tied(sew.run(path, stitch)))
    assert ring.length_mm == pytest.approx(sew.length(curve), rel=0.01)


@CURVES
@STITCHES
def test_two_laps_are_one_ring(curve: FloatArray, stitch: float) -> None:
    ring = assert_one(curve, sew.run(sew.part(curve, 3.0, 3.0 + 2 * sew.length(curve)), stitch))
    assert ring.lapped > 0.9


@CURVES
@STITCHES
def test_a_travel_from_the_middle_and_back_is_no_part_of_the_ring(curve: FloatArray, stitch: float) -> None:
    middle = curve[:-1].mean(axis=0)
    way_in, way_out = sew.dense(np.vstack([middle, curve[0]])), sew.dense(np.vstack([curve[0], middle]))
    lap = sew.part(curve, 0.0, sew.length(curve) + 3.0)
    assert_one(curve, sew.run(np.vstack([way_in, lap]), stitch))
    assert_one(curve, sew.run(np.vstack([way_in, lap, way_out]), stitch))


@CURVES
@STITCHES
@pytest.mark.parametrize("gap", [1.0, 4.0, 8.0])
def test_a_gap_is_closed_as_the_line_goes_on(curve: FloatArray, stitch: float, gap: float) -> None:
    assert_one(curve, sew.run(sew.part(curve, 3.0, 3.0 + sew.length(curve) - gap), stitch))


@CURVES
def test_a_line_in_two_runs_is_put_together_in_either_direction(curve: FloatArray) -> None:
    half = sew.length(curve) / 2
    one, other = sew.run(sew.part(curve, 2.0, half)), sew.run(sew.part(curve, half + 1.0, 2 * half))
    assert assert_one(curve, one, sew.CUT, other).runs == (0, 1)
    assert assert_one(curve, one, sew.CUT, other[::-1]).runs == (0, 1)


@CURVES
@STITCHES
def test_travels_sewn_as_stitches_part_two_rings(curve: FloatArray, stitch: float) -> None:
    beside = sew.part(curve + np.array([70.0, 0.0]), 5.0, 5.0 + sew.length(curve))
    path = np.vstack([sew.tied(sew.run(curve, stitch)), sew.tied(sew.run(beside, stitch))])
    one, other = rings_of(path)
    assert overlap(one, curve) > 0.98
    assert overlap(other, curve + np.array([70.0, 0.0])) > 0.98


def test_a_way_that_crosses_the_ring_it_leads_to_does_not_close_it() -> None:
    r"""The way crosses the ring at 25 degrees and starts it on the far side.

    way ---\
          _.-'' \''-._
    (        \     )
     '-.__    \_.-'
               start
    """
    ring = sew.circle(16.0, start_deg=20.0)
    before = ring[0] + np.array([-45.0, -9.0])
    path = np.vstack([sew.dense(np.vstack([before, ring[0]])), ring])
    assert_one(ring, sew.run(path, 2.0))


def test_halves_that_share_an_edge_stay_two_rings_though_sewn_in_one_run() -> None:
    left, right = sew.rectangle(0, 0, 30, 40), sew.polygon((30, 0), (30, 40), (60, 40), (60, 0))
    one, other = rings_of(np.vstack([sew.run(left), sew.run(right)]))
    assert overlap(one, left) > 0.98
    assert overlap(other, right) > 0.98


def test_leaves_begun_and_ended_on_the_way_between_them_are_rings() -> None:
    """Sewn in one run without cuts or laps; the way enters and leaves each leaf at its tip.

       __              __
    --<__>------------<__>--
    """
    t = np.linspace(-np.pi, np.pi, 800)
    leaf = np.column_stack([10 + 10 * np.cos(t), 6 * np.sin(t) * np.sin(np.abs(t) / 2)])
    other = leaf + np.array([45.0, 8.0])
    path = sew.dense(np.vstack([[-12.0, 3.0], leaf, other, [40.0, 20.0]]))
    one, two = rings_of(sew.run(path, 2.2))
    assert overlap(one, leaf) > 0.97
    assert overlap(two, other) > 0.97


def test_a_spur_out_and_straight_back_is_left_out() -> None:
    spur = sew.dense(np.array([(20.0, 0.0), (32.0, 0.0), (20.0, 0.0)]))
    half = sew.length(CIRCLE) / 2
    path = np.vstack([sew.part(CIRCLE, half, 2 * half), spur, sew.part(CIRCLE, 0, half - 2.0)])
    assert_one(CIRCLE, sew.run(path, 2.0))


def test_only_ties_are_cut_not_a_first_stitch_round_a_corner() -> None:
    line = sew.run(SQUARE, 2.5)
    assert np.array_equal(without_ties(line), line)
    assert len(without_ties(sew.tied(line))) == pytest.approx(len(line), abs=2)


TIES = {
    "star": [(0, 0), (0.7, 0), (0, 0), (0, 0.7), (0, 0), (-0.7, 0), (0, 0), (0, -0.7), (0, 0)],
    "cross": [(0, 0), (0.5, 0.5), (-0.5, -0.5), (0, 0), (0.5, -0.5), (-0.5, 0.5), (0, 0)],
    "triangle": [(0, 0), (0.7, 0.1), (0.3, 0.7), (0, 0)],
}


@pytest.mark.parametrize("tie", TIES.values(), ids=TIES)
@pytest.mark.parametrize("sewn", [sew.run, sew.bean], ids=["run", "bean"])
def test_a_tie_of_any_shape_leaves_nothing_beside_the_line(
    tie: list[tuple[float, float]], sewn: Callable[[FloatArray], FloatArray]
) -> None:
    points = sewn(CIRCLE)
    path = np.vstack([points[0] + tie, points[1:-1], points[-1] + tie])
    ring = assert_one(CIRCLE, path, iou=0.99)
    assert np.abs(np.hypot(*ring.points.T) - 20.0).max() < 0.1


def test_a_line_that_never_closes_is_a_trail() -> None:
    found = traced(sew.run(sew.part(CIRCLE, 0.0, 60.0)))
    assert found.loops == ()
    assert len(found.trails) == 1


def test_a_wide_gap_is_closed_along_the_tack_down_that_goes_over_it() -> None:
    """A star's tip is not sewn by the placement line; the tack-down knows it."""
    line = sew.part(STAR, 12.0, sew.length(STAR) - 12.0)
    found = understood(sew.design(sew.run(line), sew.run(STAR), sew.satin(STAR)))
    assert_cut(found, STAR, iou=0.985)
    assert "gap-closed" in codes(found)


def test_a_seam_of_one_long_stitch_goes_round_a_rounded_corner_as_the_tack_down_does() -> None:
    r"""Straight sides end at the rounded corner that the first stitch leaves out.

      ___ <- start
    .
    |   <- end
    """
    corner = np.array([(0.0, 6.0), (0.5, 3.5), (1.8, 1.8), (3.5, 0.5), (6.0, 0.0)])
    sides = np.array([(40.0, 0.0), (40.0, 30.0), (0.0, 30.0)])
    curve = np.vstack([corner, sides, corner[:1]])
    line = sew.run(sew.part(curve, sew.length(corner) - 1.5, sew.length(curve) + 3.0), 4.0)
    found = understood(sew.design(line, sew.run(curve, 2.0), sew.satin(curve)))
    whole = Region(exterior=curve[:-1])
    assert iou(found.pieces[0].line, whole) > 0.99
    assert distances_to_edge(whole, found.pieces[0].line.exterior).min() > -0.4
    assert codes(found) == []


def test_a_gap_that_every_pass_leaves_is_closed_straight() -> None:
    """A petal whose base will lie under the flower's middle."""
    t = np.linspace(0.3, np.pi * 2 - 0.3, 400)
    petal = sew.dense(np.column_stack([-30 * np.cos(t), 14 * np.sin(t)]))
    found = understood(sew.design(sew.run(petal), sew.run(petal), sew.satin(petal)))
    assert_cut(found, sew.dense(np.vstack([petal, petal[:1]])), iou=0.985)


def test_a_line_left_open_under_a_later_piece_is_closed_there() -> None:
    r"""An ear whose ends lie under a head that is placed after it; a whisker that only begins there.

      .-.
     | . |
    .-----.
    | ' ' |  head
    '-----'
    """
    head, ear = sew.circle(25.0), np.array([(-9.0, -20.0), (-14.0, -60.0), (14.0, -60.0), (9.0, -20.0)])
    inner = np.array([(-8.0, -20.0), (-13.0, -59.0), (13.0, -59.0), (8.0, -20.0)])
    blocks = [sew.run(ear), sew.run(inner), sew.run(head), sew.run(sew.circle(24.0)), sew.satin(head)]
    found = understood(sew.design(*blocks))
    assert_cut(found, np.vstack([ear, ear[:1]]), head)
    (gap,) = [finding for finding in found.findings if finding.code == "gap-closed"]
    assert "under a later piece" in gap.message
    whisker = sew.run(np.array([(0.0, 0.0), (60.0, 0.0)]))
    assert_cut(understood(sew.design(whisker, whisker, *blocks[2:])), head)


def test_a_wide_opening_is_closed_only_under_a_piece_that_is_placed_later() -> None:
    head = sew.circle(25.0)
    ear = np.array([(-17.0, -12.0), (-18.0, -50.0), (18.0, -50.0), (17.0, -12.0)])
    later = find_lines(find_runs(sew.design(sew.run(ear), sew.run(head))), 15.0).rings
    together = find_lines(find_runs(sew.design([sew.run(ear), sew.CUT, sew.run(head)])), 15.0).rings
    before = find_lines(find_runs(sew.design(sew.run(head), sew.run(ear))), 15.0).rings
    assert [(ring.block, [gap.hidden for gap in ring.gaps]) for ring in later] == [(1, [True]), (2, [])]
    assert later[0].gaps[0].width_mm == pytest.approx(34.0)
    assert later[0].gap_mm == 0.0
    assert len(together) == len(before) == 1


@pytest.mark.parametrize(("width", "is_line"), [(1.0, False), (1.8, True)])
def test_a_strip_narrower_than_any_dot_is_no_line(width: float, is_line: bool) -> None:
    """Rows of a fill go to and fro half a millimetre apart; a dot of 3 mm is 1.5 mm wide by this measure."""
    assert len(rings_of(sew.run(sew.rectangle(0.0, 0.0, 16.0, width)))) == is_line
