"""Small and narrow pieces with raw edges, held well inside their lines."""

from __future__ import annotations

import numpy as np
import pytest

from tests.cutting import sewing as sew
from tests.cutting.pieces.support import assert_cut, understood


@pytest.mark.parametrize("inside", [1.8, 2.2])
def test_a_dot_is_a_piece_though_its_tack_down_lies_nearly_half_way_to_its_middle(inside: float) -> None:
    dot, beside = sew.circle(5.0), sew.circle(20.0, (40.0, 0.0))
    held = sew.circle(5.0 - inside)
    found = understood(
        sew.design(
            sew.run(dot, 1.8), sew.bean(held, 1.5), sew.run(beside), sew.bean(sew.circle(18.0, (40.0, 0.0)))
        )
    )
    assert_cut(found, dot, beside)


#    ___
#   |.-.|     straight strokes: the tack-down of such a letter goes to and fro in two directions
#   | | |____
#   | '----.|
#   |_______|
def test_a_bean_along_the_strokes_of_a_letter_is_no_fill_of_it() -> None:
    letter = sew.polygon((0, 0), (9, 0), (9, 51), (36, 51), (36, 60), (0, 60))
    inside = sew.polygon((2.5, 2.5), (6.5, 2.5), (6.5, 53.5), (33.5, 53.5), (33.5, 57.5), (2.5, 57.5))
    found = understood(sew.design(sew.run(letter), sew.bean(inside)))
    assert_cut(found, np.asarray(letter))


@pytest.mark.parametrize("stitches", [1, 2, 3])
def test_no_needle_point_of_a_dot_is_lost_with_a_lock_that_goes_back_over_its_first_and_last_stitches(
    stitches: int,
) -> None:
    """Eight needle points; each that is lost takes a tenth of the dot with it."""
    angles = np.arange(9) * np.pi / 4
    dot = 4.5 * np.column_stack([np.cos(angles), np.sin(angles)])
    back = np.arange(stitches, 0, -1)
    path = np.vstack([dot[: stitches + 1], dot[back[1:]], dot, dot[-2 : -stitches - 2 : -1], dot[-stitches:]])
    found = understood(sew.design(path, sew.bean(sew.circle(3.5), 1.5)))
    (piece,) = found.pieces
    assert len(piece.line.exterior) == 8
    assert_cut(found, dot)


#    .-.     .-----------.
#   ( o )    | .-------. |     the small one alone might be a dot with a ring drawn in it; its neighbour
#    '-'     |_'-------'_|     tells how this hand holds its pieces
def test_a_dot_is_held_as_far_inside_as_its_larger_neighbours_are() -> None:
    dot, beside = sew.circle(3.2), sew.circle(20.0, (40.0, 0.0))
    small, large = sew.bean(sew.circle(1.3), 1.2), sew.bean(sew.circle(18.1, (40.0, 0.0)))
    together = understood(sew.design(sew.run(dot, 1.5), small, sew.run(beside), large))
    assert_cut(together, dot, beside, iou=0.95)
    alone = understood(sew.design(sew.run(dot, 1.5), small))
    assert not any(piece.cut for piece in alone.pieces)


def test_no_needle_point_of_a_dot_is_lost_where_its_second_lap_passes_between_the_holes_of_the_first() -> (
    None
):
    """Eight stitches and a half to a lap, so that the second lap has holes of its own."""
    angles = np.arange(11) * 2 * np.pi / 8.5
    path = 4.5 * np.column_stack([np.cos(angles), np.sin(angles)])
    found = understood(sew.design(path, sew.bean(sew.circle(3.5), 1.5)))
    (piece,) = found.pieces
    assert len(piece.line.exterior) == 9
    assert_cut(found, np.vstack([path[:9], path[:1]]))
