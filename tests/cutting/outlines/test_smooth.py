"""The curve through rounded needle points: as smooth as rounding allows, wherever and however it is sewn."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from piecewright.cutting.outlines.polyline import NEEDLE_SIGMA_MM
from piecewright.cutting.outlines.smooth import FEWEST_POINTS, smoothed
from tests.analytic_shapes import needle_points, shapes

if TYPE_CHECKING:
    from piecewright.cutting.geometry import FloatArray, IntArray

NONE = np.zeros(0, dtype=np.int64)
SHAPES = {shape.name: shape for shape in shapes()}
DROP = needle_points(SHAPES["leaf"], 2.3, 0.35)
"""A leaf's needle points, with a corner at each tip."""


def tips_of(ring: FloatArray, tips: FloatArray) -> IntArray:
    """Indices of the needle points next to some places."""
    return np.sort([int(np.argmin(np.hypot(*(ring - tip).T))) for tip in tips])


TIPS = tips_of(DROP, SHAPES["leaf"].corners)


@pytest.mark.parametrize("shift", [1, 2, 3, 17])
def test_where_sewing_starts_makes_no_difference(shift: int) -> None:
    moved = smoothed(np.roll(DROP, shift, axis=0), np.sort((TIPS + shift) % len(DROP)))
    assert moved == pytest.approx(np.roll(smoothed(DROP, TIPS), shift, axis=0), abs=1e-6)


def test_which_way_round_it_goes_and_a_mirror_make_no_difference() -> None:
    plain = smoothed(DROP, TIPS)
    assert smoothed(DROP[::-1], np.sort(len(DROP) - 1 - TIPS))[::-1] == pytest.approx(plain, abs=1e-6)
    assert smoothed(DROP[:, ::-1], TIPS)[:, ::-1] == pytest.approx(plain, abs=1e-6)


def test_where_it_lies_makes_no_difference() -> None:
    away = np.array([500.0, -300.0])
    assert smoothed(DROP + away, TIPS) == pytest.approx(smoothed(DROP, TIPS) + away, abs=1e-5)


@pytest.mark.parametrize("name", ["circle r 8", "circle r 20", "ellipse 2:1", "egg", "kidney", "flower of 5"])
@pytest.mark.parametrize("stitch", [1.0, 2.5, 3.5])
def test_no_point_is_moved_farther_than_rounding_explains(name: str, stitch: float) -> None:
    """Rounding moves a point by 0.07 mm at most; a little more is left to points that move along the line."""
    needles = needle_points(SHAPES[name], stitch, 0.3)
    assert np.hypot(*(smoothed(needles, NONE) - needles).T).max() < 0.12


@pytest.mark.parametrize(("radius", "stitch"), [(20.0, 2.5), (40.0, 1.5), (60.0, 3.5), (120.0, 2.5)])
def test_a_circle_is_drawn_much_truer_than_it_is_stored(radius: float, stitch: float) -> None:
    angles = np.arange(0.1, 2 * np.pi + 0.1 - stitch / radius / 2, stitch / radius)
    needles = np.round(radius * np.column_stack([np.cos(angles), np.sin(angles)]), 1)
    stored, drawn = (np.hypot(*points.T) - radius for points in (needles, smoothed(needles, NONE)))
    assert np.sqrt(np.mean(drawn**2)) < np.sqrt(np.mean(stored**2)) / 1.7


def test_one_needle_point_that_is_out_of_line_is_met_and_its_far_neighbours_do_not_feel_it() -> None:
    #   ___.___     0.3 mm out is no rounding
    angles = np.linspace(0, 2 * np.pi, 120, endpoint=False)
    needles = 40 * np.column_stack([np.cos(angles), np.sin(angles)])
    needles[30] *= 40.3 / 40
    off = np.hypot(*smoothed(needles, NONE).T) - 40
    assert off[30] > 0.2
    assert np.abs(np.delete(off, range(22, 39))).max() < NEEDLE_SIGMA_MM


@pytest.mark.parametrize("out_mm", [0.13, 0.2])
def test_a_gentle_swelling_of_many_needle_points_is_kept(out_mm: float) -> None:
    angles = np.linspace(0, 2 * np.pi, 120, endpoint=False)
    swelling = out_mm * np.exp(-(((angles - 2.0) / 0.25) ** 2))
    truth = (40 + swelling)[:, None] * np.column_stack([np.cos(angles), np.sin(angles)])
    drawn = np.hypot(*smoothed(np.round(truth, 1), NONE).T) - 40
    assert np.abs(drawn - swelling).max() < 0.06


def test_a_corner_is_neither_rounded_nor_felt_round_it() -> None:
    #  two arcs that meet in a sharp tip; unrounded needle points stay where they are
    t = np.linspace(-1, 1, 41)[:-1]
    upper = np.column_stack([30 * t, 10 * (1 - t**2)])
    ring = np.vstack([upper, -upper])
    corners = np.array([0, 40])
    assert np.abs(smoothed(ring, corners) - ring).max() < NEEDLE_SIGMA_MM


def test_fewer_than_five_points_are_left_alone() -> None:
    square = np.array([(0.0, 0.0), (6.1, 0.2), (6.0, 6.3), (0.1, 6.0)])
    assert len(square) == FEWEST_POINTS - 1
    assert smoothed(square, NONE) is square
    five = np.round(10 * np.column_stack([np.cos(a := np.arange(5) * 1.2566), np.sin(a)]), 1)
    assert np.hypot(*(smoothed(five, NONE) - five).T).max() < 0.12
