"""Small outlines of few stitches are lines, and small zigzags stay zigzags."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from piecewright.cutting.passes import Stitch, find_runs
from tests.cutting import sewing as sew

if TYPE_CHECKING:
    from piecewright.cutting.geometry import FloatArray

TRIANGLE = np.array([(0.0, -4.0), (-4.5, 3.5), (4.5, 3.5)])
STAR = np.array(
    [
        (radius * np.sin(angle), -radius * np.cos(angle))
        for radius, angle in zip([4.5, 1.9] * 5, np.arange(10) * np.pi / 5, strict=True)
    ]
)
FIGURES = pytest.mark.parametrize("corners", [TRIANGLE, STAR], ids=["triangle", "star"])


def sides(corners: FloatArray, stitches: int, laps: int = 1) -> FloatArray:
    """The needle points round a figure, so many to a side, and the first once more."""
    share = np.arange(stitches)[:, None] / stitches
    after = np.roll(corners, -1, axis=0)
    once = np.vstack([a * (1 - share) + b * share for a, b in zip(corners, after, strict=True)])
    return np.vstack([*[once] * laps, once[:1]])


def stitches_of(points: FloatArray) -> list[Stitch]:
    return [run.stitch for run in find_runs(sew.design(points))]


def spotted(points: FloatArray, size: float = 0.3) -> FloatArray:
    """The points with ties on the spot at both ends."""
    tie = np.array([(0.0, 0.0), (size, 0.0), (0.0, 0.0), (size, 0.0)])
    return np.vstack([points[0] + tie, points, points[-1] + tie])


@FIGURES
@pytest.mark.parametrize("stitches", [1, 2, 3])
def test_a_small_figure_is_a_line_though_it_turns_at_nearly_every_stitch(
    corners: FloatArray, stitches: int
) -> None:
    path = sides(corners, stitches)
    assert [stitches_of(each) for each in (path, spotted(path))] == [[Stitch.SINGLE_RUN]] * 2


@FIGURES
@pytest.mark.parametrize("stitches", [2, 3])
def test_it_is_one_though_its_last_stitch_is_left_out(corners: FloatArray, stitches: int) -> None:
    assert stitches_of(spotted(sides(corners, stitches)[:-1])) == [Stitch.SINGLE_RUN]


@FIGURES
def test_a_lap_over_the_first_stitches_belongs_to_the_line(corners: FloatArray) -> None:
    path = sides(corners, 2)
    assert stitches_of(np.vstack([path, path[1:3]])) == [Stitch.SINGLE_RUN]


def test_a_small_star_sewn_twice_is_a_double_run() -> None:
    assert stitches_of(sides(STAR, 1, laps=2)) == [Stitch.DOUBLE_RUN]


@pytest.mark.parametrize("radius", [3.5, 5.0, 8.0])
def test_a_zigzag_round_a_dot_is_no_figure(radius: float) -> None:
    assert stitches_of(sew.zigzag(sew.circle(radius), 2.0, 2.0)) == [Stitch.ZIGZAG]


def test_a_short_zigzag_that_comes_back_to_nothing_is_no_figure() -> None:
    column = np.array([(x * 1.2, 3.0 * (x % 2)) for x in range(12)])
    assert stitches_of(column) == [Stitch.ZIGZAG]
