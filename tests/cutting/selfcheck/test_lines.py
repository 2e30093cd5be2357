"""The quick look at a line says yes to true files, and to nothing that the exact look would refuse."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from piecewright.cutting.formats import svg
from piecewright.cutting.geometry import flatten, frozen, ring_length, stays_near
from piecewright.cutting.matformats import MAT_FORMATS
from piecewright.cutting.selfcheck.lines import AGREE_MM, compare, follows, lines_of, same
from tests.cutting.formats.mats_by_hand import circle, laid, leaf, mat, rectangle, ring, sampler

WANTED = [line for piece in sampler().laid for line in lines_of(piece.curve)]


@pytest.mark.parametrize(
    "found",
    [one.read_back(one.write(sampler(), "x"), sampler()) for one in MAT_FORMATS.values()],
    ids=MAT_FORMATS.keys(),
)
def test_the_quick_look_is_enough_for_every_true_file(found: tuple[np.ndarray, ...]) -> None:
    for line, wanted in zip(found, WANTED, strict=True):
        assert follows(line, wanted)
        assert follows(wanted, line)


def test_the_quick_look_is_enough_whatever_the_number_of_corners() -> None:
    fine, coarse = flatten(circle(30.0), 0.0001), flatten(circle(30.0), 0.015)
    assert follows(fine, coarse)
    assert follows(coarse, fine)


def test_a_line_that_starts_elsewhere_is_left_to_the_exact_look_which_finds_it_right() -> None:
    line = WANTED[2]  # a disc
    later = np.roll(line, 50, axis=0)
    assert not follows(later, line)
    compare([later], [line])


@given(st.integers(0, 4), st.floats(0, 1), st.floats(0.03, 5), st.floats(0, 2 * np.pi))
def test_one_corner_out_of_place_is_never_let_through(
    which: int, share: float, off: float, turn: float
) -> None:
    wanted = WANTED[which]
    bent = wanted.copy()
    bent[int(share * (len(bent) - 1))] += off * np.array([np.cos(turn), np.sin(turn)])
    near = stays_near(frozen(bent), wanted, AGREE_MM * 1.1) and stays_near(
        wanted, frozen(bent), AGREE_MM * 1.1
    )
    assert near or not same([frozen(bent)], [wanted])


@pytest.mark.parametrize(("off", "fine"), [(0.018, True), (0.024, False), (-0.018, True), (-0.024, False)])
def test_a_line_may_lie_two_hundredths_of_a_millimetre_off_and_no_more(off: float, fine: bool) -> None:
    wanted = lines_of(ring(30.0, 10.0))
    moved = [flatten(circle(10.0 + off), 0.0001), flatten(circle(30.0 + off), 0.0001)]
    assert same(moved, wanted) is fine


def test_the_area_is_compared_by_the_length_of_the_line() -> None:
    (square,) = lines_of(rectangle(20, 20))
    twice = np.vstack([square, square])
    assert ring_length(twice) == 160.0
    with_area = f"{400.0:.2f} mm2"
    with pytest.raises(Exception, match=with_area):
        compare([twice], [square])


def test_lines_must_be_as_many() -> None:
    hole, outline = lines_of(ring(30.0, 10.0))
    assert not same([outline], [hole, outline])
    assert not same([hole, outline, outline], [hole, outline])
    assert same([], [])


def test_a_line_of_two_points_is_no_line() -> None:
    (line,) = lines_of(leaf(60.0))
    assert not same([line[:2]], [line])


def test_holes_are_expected_before_their_outline() -> None:
    hole, outline = lines_of(ring(30.0, 10.0))
    assert np.ptp(hole[:, 0]) < np.ptp(outline[:, 0])
    assert same(
        svg.read_back(svg.write(mat(laid(ring(30.0, 10.0, 50, 50))), "x")), lines_of(ring(30.0, 10.0, 50, 50))
    )
