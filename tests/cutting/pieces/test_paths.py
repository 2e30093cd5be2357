"""Paths as bare arrays: samples along them, their lengths, gaps closed as they go on."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from piecewright.cutting.pieces.closing import bridged, trimmed
from piecewright.cutting.pieces.paths import SAMPLE_MM, arc_lengths, finely, without_repeats

ways = st.lists(
    st.tuples(st.integers(-400, 400), st.integers(-400, 400)), min_size=2, max_size=12, unique=True
).map(lambda points: np.array(points, dtype=np.float64) / 10)


@given(ways)
def test_places_lie_half_a_sample_apart_from_one_end_to_the_other(path: np.ndarray) -> None:
    places = finely(path)
    assert places[0] == pytest.approx(path[0])
    assert places[-1] == pytest.approx(path[-1])
    whole = arc_lengths(path)[-1]
    assert len(places) == pytest.approx(whole / (SAMPLE_MM / 2) + 1, abs=1.01)
    apart = np.hypot(*np.diff(places, axis=0).T)
    assert apart.max(initial=0.0) <= max(whole / max(len(places) - 1, 1), 1e-9) * (1 + 1e-9)


@given(ways)
def test_needle_points_in_one_place_are_one(path: np.ndarray) -> None:
    assert without_repeats(np.repeat(path, 3, axis=0)) == pytest.approx(path)


@pytest.mark.parametrize(("radius", "gap_mm"), [(20.0, 5.0), (40.0, 12.0), (40.0, 20.0)])
def test_a_gap_in_a_circle_is_closed_along_the_circle(radius: float, gap_mm: float) -> None:
    """As nearly as the last two stitches show where their arc is going; straight it would be 1.24 mm off."""
    half = gap_mm / radius / 2
    angles = np.linspace(half, 2 * np.pi - half, int(2 * np.pi * radius / 2.0))
    path = radius * np.column_stack([np.cos(angles), np.sin(angles)])
    between = bridged(path, path)
    off = np.hypot(*between.T) - radius
    assert len(between) == int(2 * radius * np.sin(half) / 2.0) - 1
    assert np.abs(off).max() < 0.25
    along = np.unwrap(np.arctan2(between[:, 1], between[:, 0]))
    assert (np.diff(along) > 0).all()
    assert np.ptp(np.diff(np.r_[-half, along, half])) < 0.25 * 2 * half / (len(between) + 1)


def test_straight_ends_that_point_at_one_corner_meet_there() -> None:
    before = np.array([(0.0, 0.0), (2.5, 0.0), (5.0, 0.0), (7.5, 0.0)])
    after = np.array([(10.0, 4.0), (10.0, 6.5), (10.0, 9.0), (10.0, 11.5)])
    assert bridged(before, after) == pytest.approx(np.array([(10.0, 0.0)]))


def test_ends_that_point_elsewhere_are_joined_straight_about_a_stitch_apart() -> None:
    before = np.array([(0.0, 9.0), (0.0, 6.0), (0.0, 3.0), (0.0, 0.0)])
    after = np.array([(10.0, 0.0), (10.0, 3.0), (10.0, 6.0), (10.0, 9.0)])
    assert bridged(before, after) == pytest.approx(np.array([(x, 0.0) for x in (2.0, 4.0, 6.0, 8.0)]))


def test_no_point_is_put_into_a_gap_of_one_stitch() -> None:
    path = np.array([(0.0, 0.0), (2.5, 0.0), (5.0, 0.0)])
    for gap, points in ((3.0, 0), (3.9, 0), (4.1, 1), (7.0, 2)):
        assert len(bridged(path, path + np.array([5.0 + gap, 0.0]))) == points


@pytest.mark.parametrize("centre", [(0.0, 0.0), (90.0, -40.0)])
def test_an_end_that_runs_beside_the_start_is_taken_off(centre: tuple[float, float]) -> None:
    #  a spiral: it comes round a millimetre outside where it began and goes on for 12 mm
    angles = np.arange(0.0, 2 * np.pi + 0.6, 0.1)
    radius = 20 + angles / (2 * np.pi)
    path = radius[:, None] * np.column_stack([np.cos(angles), np.sin(angles)]) + centre
    kept = trimmed(path)
    assert len(kept) == pytest.approx(2 * np.pi / 0.1 + 1, abs=1.01)
    assert np.array_equal(kept, path[: len(kept)])


def test_an_end_that_comes_back_against_the_start_is_no_lap() -> None:
    #  out and back a millimetre aside:   o-------.
    #                                     <-------'
    out = np.column_stack([np.arange(0.0, 60.0, 2.0), np.zeros(30)])
    path = np.vstack([out, out[::-1] + np.array([0.0, 1.0])])
    assert trimmed(path) is path
