"""Runs are told apart by how they are stitched, and measured."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from piecewright.cutting.passes import Stitch, find_runs
from tests.cutting import sewing as sew

if TYPE_CHECKING:
    from piecewright.cutting.geometry import FloatArray
    from piecewright.cutting.passes import Run

CIRCLE = sew.circle(20.0)
STAR = sew.star(5, 20.0, 8.0)
CURVES = pytest.mark.parametrize("curve", [CIRCLE, STAR], ids=["circle", "star"])


def only(points: FloatArray) -> Run:
    (run,) = find_runs(sew.design(points))
    return run


@CURVES
@pytest.mark.parametrize("stitch", [1.5, 2.5, 4.0])
def test_a_line_is_a_single_run_of_its_stitch_length(curve: FloatArray, stitch: float) -> None:
    run = only(sew.run(curve, stitch))
    assert run.stitch is Stitch.SINGLE_RUN
    assert run.stitch_length_mm == pytest.approx(stitch, rel=0.2)
    assert run.closed
    assert run.width_mm == run.spacing_mm == 0.0


@CURVES
def test_a_line_sewn_twice_is_a_double_run_however_it_is_gone_over(curve: FloatArray) -> None:
    twice_round = sew.run(sew.part(curve, 3.0, 3.0 + 2 * sew.length(curve)))
    there_and_back = np.vstack([sew.run(curve), sew.run(curve, 2.2)[::-1]])
    assert [only(path).stitch for path in (twice_round, there_and_back)] == [Stitch.DOUBLE_RUN] * 2


@CURVES
@pytest.mark.parametrize("stitch", [1.5, 2.5, 4.0])
def test_a_bean_goes_back_and_forward_along_the_line(curve: FloatArray, stitch: float) -> None:
    assert only(sew.bean(curve, stitch)).stitch is Stitch.BEAN


@CURVES
@pytest.mark.parametrize("width", [1.5, 3.0, 5.0, 7.0])
@pytest.mark.parametrize("density", [0.3, 0.4, 0.6])
def test_satin_has_its_width_and_spacing(curve: FloatArray, width: float, density: float) -> None:
    run = only(sew.satin(curve, width, density))
    assert run.stitch is Stitch.SATIN
    assert run.width_mm == pytest.approx(width, rel=0.1)
    assert run.spacing_mm == pytest.approx(density, rel=0.35)


@CURVES
@pytest.mark.parametrize("pieces", [2, 3, 4])
def test_satin_whose_long_stitches_are_broken_is_still_satin(curve: FloatArray, pieces: int) -> None:
    run = only(sew.split_satin(curve, 8.0, 0.4, pieces))
    assert run.stitch is Stitch.SATIN
    assert run.width_mm == pytest.approx(8.0, rel=0.1)


@CURVES
@pytest.mark.parametrize(("width", "spacing"), [(1.5, 1.5), (2.0, 2.0), (2.0, 3.0), (3.0, 2.0), (3.0, 4.0)])
def test_a_zigzag_shows_ground_between_its_bites(curve: FloatArray, width: float, spacing: float) -> None:
    run = only(sew.zigzag(curve, width, spacing))
    assert run.stitch is Stitch.ZIGZAG
    assert run.width_mm == pytest.approx(width, rel=0.15)
    assert run.spacing_mm == pytest.approx(spacing, rel=0.1)


@CURVES
@pytest.mark.parametrize(("width", "spacing"), [(1.5, 1.5), (2.5, 2.5), (3.0, 2.0), (4.0, 4.0)])
def test_blanket_stitch_bites_inwards_and_walks_along(
    curve: FloatArray, width: float, spacing: float
) -> None:
    run = only(sew.blanket(curve, width, spacing))
    assert run.stitch is Stitch.BLANKET
    assert run.width_mm == pytest.approx(width, rel=0.15)
    assert run.spacing_mm == pytest.approx(spacing, rel=0.15)


def test_rows_over_an_area_are_a_fill_with_the_distance_of_its_rows() -> None:
    runs = find_runs(sew.design(sew.fill(0, 0, 40, 30, row=0.4)))
    main = max(runs, key=lambda run: len(run.points))
    assert main.stitch is Stitch.FILL
    assert main.spacing_mm == pytest.approx(0.4, rel=0.15)


def test_a_wandering_line_is_a_meander_and_crosses_are_cross_stitch() -> None:
    assert only(sew.meander(0, 0, 80, 80)).stitch is Stitch.MEANDER
    assert only(sew.cross_stitch(0, 0, 3, 12)).stitch is Stitch.CROSS_STITCH


def test_figures_that_repeat_along_a_line_are_a_motif() -> None:
    leaf = np.array([(0, 0), (1, 1.6), (2.4, 2.2), (3.6, 1.2), (2.6, 0.4), (1.6, 0.3), (2.8, 0), (4.4, 0)])
    border = np.vstack([leaf + np.array([4.4 * number, 0.0]) for number in range(24)])
    assert only(border).stitch is Stitch.MOTIF


def test_underlay_zigzag_and_satin_without_a_cut_are_three_stretches() -> None:
    path = np.vstack([sew.run(CIRCLE), sew.zigzag(CIRCLE, 2.0, 2.4), sew.satin(CIRCLE, 3.0)])
    runs = find_runs(sew.design(path))
    assert [run.stitch for run in runs] == [Stitch.SINGLE_RUN, Stitch.ZIGZAG, Stitch.SATIN]
    assert [run.first for run in runs[1:]] == [run.last + 1 for run in runs[:-1]]
    assert (runs[0].first, runs[-1].last) == (0, len(path) - 1)


@pytest.mark.parametrize(
    ("before", "kind"),
    [
        (sew.satin(CIRCLE, 3.0), Stitch.SATIN),
        (sew.zigzag(CIRCLE, 3.0, 2.0), Stitch.ZIGZAG),
        (sew.fill(-10, -15, 30, 30), Stitch.FILL),
    ],
    ids=["satin", "zigzag", "fill"],
)
def test_a_line_after_other_stitches_without_a_cut_is_a_line(before: FloatArray, kind: Stitch) -> None:
    runs = find_runs(sew.design(np.vstack([before, sew.run(CIRCLE)])))
    assert runs[0].stitch is kind
    assert runs[-1].stitch is Stitch.SINGLE_RUN
    assert len(runs[-1].points) == pytest.approx(len(sew.run(CIRCLE)), abs=10)  # a last row may be a line too


def test_ties_do_not_change_what_a_line_is() -> None:
    assert only(sew.tied(sew.run(CIRCLE))).stitch is Stitch.SINGLE_RUN


def test_a_slender_leaf_is_a_line_not_two_rows_of_a_fill() -> None:
    t = np.linspace(0, np.pi, 200)
    upper = np.column_stack([30 * np.cos(t), 5 * np.sin(t) ** 2])
    leaf = sew.dense(np.vstack([upper, -upper]))
    assert only(sew.run(leaf, 2.0)).stitch is Stitch.SINGLE_RUN


def test_a_cut_ends_a_run_and_a_short_jump_inside_a_line_does_not() -> None:
    line = sew.run(CIRCLE)
    cut = sew.design([line[:20], sew.CUT, line[20:]])
    jumped = sew.design([line[:20], sew.JUMP, line[20:]])
    assert len(find_runs(cut)) == 2
    assert len(find_runs(jumped)) == 1


def test_a_long_jump_ends_a_run() -> None:
    far = sew.circle(10.0, (60.0, 0.0))
    assert len(find_runs(sew.design([sew.run(CIRCLE), sew.JUMP, sew.run(far)]))) == 2


def test_the_spine_of_satin_is_the_middle_of_the_column() -> None:
    run = only(sew.satin(CIRCLE, 4.0))
    assert np.hypot(*run.spine[2:-2].T) == pytest.approx(20.0, abs=0.1)


def test_every_needle_point_belongs_to_exactly_one_run() -> None:
    design = sew.design(
        [sew.tied(sew.run(CIRCLE)), sew.CUT, sew.satin(STAR)],
        [sew.fill(0, 0, 30, 20), sew.JUMP, sew.bean(STAR)],
    )
    for block in design.blocks:
        held = [
            i
            for run in find_runs(design)
            if run.block == block.number
            for i in range(run.first, run.last + 1)
        ]
        assert held == list(range(len(block.points)))


def test_a_run_has_the_needle_points_that_it_says() -> None:
    path = np.vstack([sew.run(CIRCLE), sew.zigzag(CIRCLE, 2.0, 2.4), sew.satin(CIRCLE, 3.0)])
    design = sew.design([path, sew.CUT, sew.bean(STAR)], [sew.fill(0, 0, 30, 20)])
    for run in find_runs(design):
        block = design.blocks[run.block - 1]
        assert np.array_equal(run.points, block.points[run.first : run.last + 1])


@pytest.mark.parametrize(("gap", "closed"), [(0.0, True), (4.5, True), (5.5, False), (40.0, False)])
def test_a_line_is_closed_if_its_ends_are_two_stitches_apart_at_most(gap: float, closed: bool) -> None:
    """Ends on a straight side, so that the gap is the distance between them; stitches of 2.5 mm."""
    square = sew.rectangle(0, 0, 50, 50)
    assert only(sew.run(sew.part(square, 10.0 + gap, 210.0))).closed is closed


def test_travels_sewn_as_long_stitches_end_a_line() -> None:
    """As cheap converters write them: o-- -- --o, each stitch as long as the format allows."""
    there = np.array([(20.0 + 10.0 * k, 0.0) for k in range(1, 4)])
    runs = find_runs(
        sew.design(np.vstack([sew.run(sew.circle(20.0)), there, sew.run(sew.circle(15.0, (65, 0)))]))
    )
    assert [len(run.points) for run in runs if run.stitch_length_mm < 3] == [51, 39]


def test_long_stitches_among_long_ones_are_no_travels() -> None:
    """Basting, and a satin 9 mm wide that goes to and fro."""
    assert only(sew.run(sew.rectangle(0, 0, 120, 90), 9.0)).stitch is Stitch.SINGLE_RUN
    assert only(sew.satin(sew.circle(30.0), 9.0)).stitch is Stitch.SATIN
