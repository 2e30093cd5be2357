"""Rectangles on mats."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from piecewright.cutting.mats.boxes import Box, pack_boxes


def boxes(*sizes: tuple[float, float], quarter: bool = True) -> list[Box]:
    return [Box(width=width, height=height, quarter=quarter) for width, height in sizes]


def test_a_puzzle_without_waste_is_solved() -> None:
    # 60 x 60 from 40x20, 20x40, 20x40, 40x20 around 20x20, the pinwheel
    [mat] = pack_boxes(boxes((40, 20), (40, 20), (40, 20), (40, 20), (20, 20)), 60, 60)
    assert len(mat) == 5


def test_rectangles_that_must_not_be_turned_are_not() -> None:
    mats = pack_boxes(boxes((60, 20), (60, 20), quarter=False), 60, 40)
    assert [(spot.y, spot.quarter) for spot in mats[0]] == [(0.0, False), (20.0, False)]


def test_the_order_is_found_in_which_the_last_mat_is_used_least() -> None:
    mats = pack_boxes(boxes((10, 30), (30, 10), (10, 10), (10, 10)), 30, 300)
    assert len(mats) == 1
    assert max(spot.y for spot in mats[0]) < 30


def test_no_rectangles_take_no_mat() -> None:
    assert pack_boxes([], 10, 10) == ()


def test_a_rectangle_larger_than_the_mat_is_a_mistake_of_the_caller() -> None:
    with pytest.raises(ValueError, match="larger than the mat"):
        pack_boxes(boxes((20, 5)), 10, 10)


def test_many_rectangles_are_packed_on_few_mats() -> None:
    mats = pack_boxes(boxes(*[(10, 10)] * 1000), 100, 100)
    assert [len(mat) for mat in mats] == [100] * 10


def test_a_rectangle_lies_as_high_as_it_goes_and_then_as_far_left() -> None:
    #  +-----+--+
    #  |  0  |1 |
    #  |     +--+
    #  |     |2 |
    #  +-----+--+
    #  |  3  |
    [mat] = pack_boxes(boxes((60, 60), (40, 30), (40, 30), (60, 20), quarter=False), 100, 80)
    assert {spot.index: (spot.x, spot.y) for spot in mat} == {
        0: (0.0, 0.0),
        1: (60.0, 0.0),
        2: (60.0, 30.0),
        3: (0.0, 60.0),
    }


def test_a_rectangle_that_only_fits_turned_is_turned() -> None:
    [mat] = pack_boxes(boxes((20, 50)), 60, 30)
    assert [(spot.x, spot.y, spot.quarter) for spot in mat] == [(0.0, 0.0, True)]


def test_a_rectangle_exactly_as_large_as_the_mat_fits_whatever_rounding_does() -> None:
    size = 0.1 * 3  # a little more than 0.3
    assert len(pack_boxes(boxes((size, size), (0.3, 0.3)), 0.3, 0.3)) == 2
    assert len(pack_boxes(boxes(*[(0.1, 0.3)] * 3, quarter=False), 0.3, 0.3)) == 1


sizes = st.tuples(st.integers(1, 40), st.integers(1, 40))


@settings(max_examples=60)
@given(st.lists(sizes, min_size=1, max_size=30), st.booleans())
def test_every_rectangle_lies_once_on_its_mat_and_on_no_other(
    some: list[tuple[int, int]], quarter: bool
) -> None:
    given_boxes = boxes(*some, quarter=quarter)
    mats = pack_boxes(given_boxes, 50, 45)
    assert sorted(spot.index for mat in mats for spot in mat) == list(range(len(some)))
    for mat in mats:
        taken = np.zeros((45, 50), dtype=np.int64)
        for spot in mat:
            box = given_boxes[spot.index]
            width, height = (box.height, box.width) if spot.quarter else (box.width, box.height)
            assert 0 <= spot.x <= 50 - width
            assert 0 <= spot.y <= 45 - height
            assert quarter or not spot.quarter
            taken[int(spot.y) : int(spot.y + height), int(spot.x) : int(spot.x + width)] += 1
        assert taken.max() == 1
