"""Nearest points, against distances between all of them."""

from __future__ import annotations

import numpy as np
import pytest

from piecewright.cutting import geometry as geo

# 0---1---2           10 apart, and one far off to the right
POINTS = np.array([(0.0, 0.0), (10.0, 0.0), (20.0, 0.0), (100.0, 0.0)])

SCATTERED = np.random.default_rng(8).uniform(0, 50, (60, 2))
OTHERS = np.random.default_rng(9).uniform(0, 50, (40, 2))


def all_distances(one: geo.FloatArray, other: geo.FloatArray) -> geo.FloatArray:
    return np.asarray(np.hypot(*(one[:, None] - other[None]).transpose(2, 0, 1)))


def test_the_nearest_point_comes_with_its_distance() -> None:
    away, which = geo.nearest(SCATTERED, OTHERS)
    expected = all_distances(SCATTERED, OTHERS)
    assert away == pytest.approx(expected.min(axis=1))
    assert which.tolist() == expected.argmin(axis=1).tolist()


def test_neighbours_come_nearest_first_and_missing_ones_are_infinitely_far() -> None:
    away, which = geo.neighbours(np.array([(9.0, 0.0), (100.0, 0.0)]), POINTS, 3, within_mm=12.0)
    assert away.tolist() == [[1.0, 9.0, 11.0], [0.0, np.inf, np.inf]]
    assert which.tolist() == [[1, 0, 2], [3, 0, 0]]


def test_pairs_within_a_distance_are_each_given_once_lower_index_first() -> None:
    pairs = geo.pairs_within(SCATTERED, 6.0)
    near = np.argwhere(np.triu(all_distances(SCATTERED, SCATTERED) <= 6.0, k=1))
    assert sorted(pairs.tolist()) == sorted(near.tolist())


def test_no_pairs_are_given_where_there_are_more_than_wanted() -> None:
    # four points with themselves, and two pairs in both orders: 8
    assert geo.pairs_within(POINTS, 10.0, most=8).tolist() == [[0, 1], [1, 2]]
    too_many = geo.pairs_within(POINTS, 10.0, most=7)
    assert too_many.shape == (0, 2)
    assert too_many.dtype == np.int64


def test_pairs_between_two_sets_are_all_that_are_near() -> None:
    one, other = geo.pairs_between(SCATTERED, OTHERS, 5.0)
    near = np.argwhere(all_distances(SCATTERED, OTHERS) <= 5.0)
    assert sorted(zip(one.tolist(), other.tolist(), strict=True)) == [(a, b) for a, b in near.tolist()]


def test_nothing_near_gives_no_pairs() -> None:
    one, other = geo.pairs_between(POINTS, POINTS + 50.0, 1.0)
    assert (one.shape, other.shape) == ((0,), (0,))
    assert one.dtype == other.dtype == np.int64


def test_points_within_a_distance_are_counted() -> None:
    counts = geo.count_within(SCATTERED, OTHERS, 8.0)
    assert counts.tolist() == (all_distances(SCATTERED, OTHERS) <= 8.0).sum(axis=1).tolist()


def test_pairs_are_counted_without_being_listed() -> None:
    near = all_distances(SCATTERED, OTHERS) <= 5.0
    assert geo.count_pairs(SCATTERED, OTHERS, 5.0) == int(near.sum())
