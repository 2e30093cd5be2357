"""Rectangles on mats."""

from __future__ import annotations

import pytest

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
