"""What is sewn along one line, one after the other: tack-down, underlay, cover, finish."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from piecewright.cutting.passes import Role, Stitch
from piecewright.cutting.pieces.succession import follower_roles
from tests.cutting.pieces.lines_by_hand import follower_of, run_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.passes import Run
    from piecewright.cutting.pieces.following import Follower

TACK, UNDER, COVER, FINISH = Role.TACK_DOWN, Role.UNDERLAY, Role.COVER, Role.DETAIL
LINE, SATIN, BLANKET, MOTIF = Stitch.SINGLE_RUN, Stitch.SATIN, Stitch.BLANKET, Stitch.MOTIF

Sewn = tuple[int, Stitch, float] | tuple[int, Stitch, float, slice]
"""Block, stitch, spacing in mm, and which hundredths of the line it follows, if not all."""


def zigzag(block: int, spacing: float) -> Sewn:
    return (block, Stitch.ZIGZAG, spacing)


def roles(*sewn: Sewn) -> list[Role]:
    runs, followers = [], []
    for index, (block, stitch, spacing, *part) in enumerate(sewn):
        runs.append(run_of(np.array([(0.0, 0.0), (1.0, 0.0)]), stitch, block=block, spacing_mm=spacing))
        on = np.zeros(100, dtype=np.bool_)
        on[part[0] if part else slice(None)] = True
        followers.append(follower_of(index, on))
    return _in_order(followers[::-1], runs)


def _in_order(followers: Sequence[Follower], runs: Sequence[Run]) -> list[Role]:
    found = dict(follower_roles(followers, runs))
    return [found[index] for index in range(len(followers))]


@pytest.mark.parametrize("cover", [SATIN, BLANKET, MOTIF])
def test_a_line_holds_and_a_stitch_with_a_width_covers(cover: Stitch) -> None:
    assert roles((2, LINE, 0.0), (3, cover, 0.4)) == [TACK, COVER]


def test_a_line_after_the_last_cover_is_a_finish() -> None:
    assert roles((2, LINE, 0.0), (3, SATIN, 0.4), (3, LINE, 0.0), (4, LINE, 0.0)) == [
        TACK,
        COVER,
        FINISH,
        FINISH,
    ]


def test_a_line_after_a_cover_that_nothing_precedes_is_a_finish() -> None:
    assert roles((2, SATIN, 0.4), (2, LINE, 0.0)) == [COVER, FINISH]


def test_without_a_cover_every_line_holds() -> None:
    assert roles((2, LINE, 0.0), (3, LINE, 0.0), (4, LINE, 0.0)) == [TACK, TACK, TACK]


def test_what_precedes_the_cover_in_its_block_is_underlay_if_the_piece_is_held() -> None:
    assert roles((2, LINE, 0.0), (3, LINE, 0.0), (3, SATIN, 0.4)) == [TACK, UNDER, COVER]
    assert roles((2, LINE, 0.0), (3, LINE, 0.0), (4, SATIN, 0.4)) == [TACK, TACK, COVER]
    assert roles((3, LINE, 0.0), (3, LINE, 0.0), (3, SATIN, 0.4)) == [TACK, UNDER, COVER]


def test_a_line_between_two_covers_is_underlay_of_the_second_if_the_piece_is_held() -> None:
    halves = slice(0, 50), slice(50, 100)
    first, second = (3, SATIN, 0.4, halves[0]), (5, SATIN, 0.4, halves[1])
    assert roles((2, LINE, 0.0), first, (4, LINE, 0.0), second) == [TACK, COVER, UNDER, COVER]
    assert roles(first, (4, LINE, 0.0), second) == [COVER, TACK, COVER]


def test_satin_along_a_quarter_of_the_line_is_its_cover_and_less_is_none_beside_a_blanket() -> None:
    blanket = (3, BLANKET, 2.5, slice(0, 90))
    assert roles((2, LINE, 0.0), blanket, (4, SATIN, 0.4, slice(0, 25))) == [TACK, TACK, COVER]
    assert roles((2, LINE, 0.0), blanket, (4, SATIN, 0.4, slice(0, 24))) == [TACK, COVER, FINISH]


def test_satin_in_parts_counts_together() -> None:
    parts = [(4, SATIN, 0.4, slice(0, 15)), (4, SATIN, 0.4, slice(50, 65))]
    assert roles((3, BLANKET, 2.5), *parts) == [TACK, COVER, COVER]


def test_the_stitch_along_more_of_the_line_is_the_cover() -> None:
    few, many = slice(0, 30), slice(0, 80)
    assert roles((2, LINE, 0.0), (3, MOTIF, 3.0, few), (3, BLANKET, 2.5, many)) == [TACK, UNDER, COVER]
    assert roles((2, LINE, 0.0), (3, MOTIF, 3.0, many), (3, BLANKET, 2.5, few)) == [TACK, COVER, FINISH]


def test_an_open_zigzag_holds_and_covers_only_what_is_held_before() -> None:
    assert roles(zigzag(2, 2.0)) == [TACK]
    assert roles((2, LINE, 0.0), zigzag(3, 2.0)) == [TACK, COVER]


def test_a_zigzag_of_a_millimetre_and_a_half_does_both() -> None:
    assert roles(zigzag(2, 1.5)) == [COVER]
    assert roles(zigzag(2, 1.51)) == [TACK]


def wide_roles(*sewn: tuple[int, Stitch, float, float]) -> list[Role]:
    """Block, stitch, width and spacing of what goes along the whole line."""
    path, on = np.array([(0.0, 0.0), (1.0, 0.0)]), np.ones(100, dtype=np.bool_)
    runs = [
        run_of(path, stitch, block=block, width_mm=width, spacing_mm=spacing)
        for block, stitch, width, spacing in sewn
    ]
    return _in_order([follower_of(index, on) for index in range(len(runs))], runs)


def test_satin_that_grows_open_is_one_cover_and_a_narrower_zigzag_in_its_block_lies_under_it() -> None:
    tack, satin, zigzag = (2, LINE, 0.0, 0.0), (3, SATIN, 4.0, 0.8), Stitch.ZIGZAG
    assert wide_roles(tack, satin, (3, zigzag, 3.4, 1.5)) == [TACK, COVER, COVER]
    assert wide_roles(tack, (3, zigzag, 3.3, 1.5), satin) == [TACK, UNDER, COVER]
    assert wide_roles(tack, (3, zigzag, 3.4, 1.6), satin) == [TACK, UNDER, COVER]
    assert wide_roles(tack, satin, (4, zigzag, 3.4, 1.5)) == [TACK, COVER, FINISH]


def test_of_zigzags_those_of_the_last_block_cover_and_more_open_ones_lie_under_them() -> None:
    assert roles((2, LINE, 0.0), zigzag(3, 1.0), zigzag(4, 1.0)) == [TACK, TACK, COVER]
    assert roles((2, LINE, 0.0), zigzag(4, 1.61), zigzag(4, 1.0)) == [TACK, UNDER, COVER]
    assert roles((2, LINE, 0.0), zigzag(4, 1.6), zigzag(4, 1.0)) == [TACK, COVER, COVER]
