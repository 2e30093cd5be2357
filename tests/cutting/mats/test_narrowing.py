"""A mat with little on it takes a narrower rectangle of fabric."""

from __future__ import annotations

import numpy as np
import pytest

from piecewright.cutting.geometry import bounds
from piecewright.cutting.mats import Layout, lay
from piecewright.cutting.mats.narrowing import LONGER
from tests.cutting.mats.support import demand, laid_ids, mixed, rectangle, rules, used_length


def used_width(layout: Layout) -> float:
    return max(bounds(piece.curve)[2] for piece in layout.mats[-1].laid)


def test_low_pieces_beside_a_high_one_lie_below_each_other_instead_of_in_a_row() -> None:
    #   |  - - - -        |  - -      the row is as high as one piece alone,
    #   |           ->    |  - -      two rows are no higher
    pieces = [demand(rectangle(20, 63)), *(demand(rectangle(50, 30), f"B{n}") for n in range(4))]
    layout = lay(pieces, rules(gap="3 mm", turning="none"))
    assert used_length(layout.mats[0]) == pytest.approx(5 + 63, abs=0.01)
    assert used_width(layout) == pytest.approx(5 + 20 + 3 + 50 + 3 + 50, abs=0.01)


def test_a_rectangle_does_not_get_much_longer_to_be_narrower() -> None:
    # Four boards in a row are 30 mm high; two rows would be 63 mm, more than a quarter longer.
    boards = demand([(0, 0), (60, 0), (60, 6), (6, 6), (6, 30), (0, 30)], copies=4)
    layout = lay([boards], rules(gap="3 mm", turning="none"))
    assert used_length(layout.mats[0]) - 5 <= LONGER * 30
    assert used_width(layout) == pytest.approx(5 + 4 * 60 + 3 * 3, abs=0.01)


def test_what_is_used_well_stays_as_short_as_it_can_be() -> None:
    layout = lay([demand(rectangle(50, 40), copies=5)], rules(gap="3 mm", turning="none"))
    assert used_length(layout.mats[0]) == pytest.approx(45.0, abs=0.01)


def test_nothing_is_lost_where_all_mats_but_the_last_are_full() -> None:
    pieces = [*mixed(40, seed=9), demand(rectangle(20, 63))]
    wide, narrow = (lay(pieces, rules(gap="3 mm", turning=turning)) for turning in ("none", "free"))
    assert laid_ids(wide) == laid_ids(narrow)
    assert len(set(laid_ids(wide))) == len(pieces)


def test_a_nested_mat_is_narrowed_too_and_keeps_within_the_width_that_it_had() -> None:
    leaf = [(0.0, 0.0), (25.0, -14.0), (50.0, 0.0), (25.0, 14.0)]
    high = [(0.0, 0.0), (12.0, -32.0), (24.0, 0.0), (12.0, 32.0)]
    layout = lay([demand(high), demand(leaf, "B", copies=4)], rules(turning="half", effort=1, gap="3 mm"))
    boxes = [bounds(piece.curve) for piece in layout.mats[0].laid]
    right, bottom = np.array(boxes)[:, 2:].max(axis=0)
    assert bottom <= 5 + LONGER * 64.1
    assert right < 5 + 24 + 2 * (3 + 50) + 5
