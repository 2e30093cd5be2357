"""The self-check lets true files pass and stops every other."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, get_args

import pytest

from piecewright.cutting.cutfiles import CutFile, Kind, paper_templates, write_cut_files
from piecewright.cutting.errors import SelfCheckFailed
from piecewright.cutting.formats import pdf
from piecewright.cutting.geometry import CurvedRegion, transformed
from piecewright.cutting.matformats import MAT_FORMATS
from piecewright.cutting.rules import Writable
from piecewright.cutting.selfcheck import check
from piecewright.cutting.selfcheck.paper import check_templates
from tests.cutting.formats.mats_by_hand import (
    demand,
    laid,
    layout,
    leaf,
    mat,
    rectangle,
    ring,
    rules,
    sampler,
    star,
)

if TYPE_CHECKING:
    from piecewright.cutting.mats import LaidPiece, MatLayout

KINDS: tuple[Writable, ...] = tuple(MAT_FORMATS)
ALL = rules(formats=get_args(Writable), pen_labels=True)


def written(one: MatLayout, kind: Kind) -> CutFile:
    return next(file for file in write_cut_files(layout(one), (), ALL) if file.kind == kind)


def with_piece(one: MatLayout, index: int, piece: LaidPiece) -> MatLayout:
    return replace(one, laid=(*one.laid[:index], piece, *one.laid[index + 1 :]))


def test_what_the_program_writes_passes() -> None:
    demands = [demand(ring(30, 10)), demand(star(400), "B"), demand(leaf(240), "C", face_down=True)]
    templates = paper_templates(demands, {}, ALL)
    files = write_cut_files(layout(sampler()), templates, ALL)
    assert [file.kind for file in files] == [*KINDS, "pen", "pdf"]
    check(files, layout(sampler()), templates)


@pytest.mark.parametrize("kind", KINDS)
def test_a_mat_full_of_small_and_large_curves_passes(kind: Writable) -> None:
    pieces = [
        laid(transformed(leaf(8.0 + 7 * n), 17.0 * n, bool(n % 2), 40.0 + 23 * n, 150.0), f"P{n}")
        for n in range(10)
    ]
    check([written(mat(*pieces), kind)], layout(mat(*pieces)))


@pytest.mark.parametrize("kind", KINDS)
def test_a_piece_moved_by_a_twentieth_of_a_millimetre_is_stopped(kind: Writable) -> None:
    one = sampler()
    moved = transformed(one.laid[2].curve, 0.0, False, 0.05, 0.0)
    other = with_piece(one, 2, replace(one.laid[2], curve=moved))
    with pytest.raises(SelfCheckFailed, match="off"):
        check([written(other, kind)], layout(one))


@pytest.mark.parametrize("kind", KINDS)
def test_a_mat_scaled_by_72_to_96_is_stopped(kind: Writable) -> None:
    """The classic fault: a program that counts 72 px to the inch reads what counts 96."""
    one = sampler()
    small = replace(
        one,
        laid=tuple(
            replace(
                piece,
                curve=CurvedRegion(
                    exterior=piece.curve.exterior * 0.75,
                    holes=tuple(hole * 0.75 for hole in piece.curve.holes),
                ),
            )
            for piece in one.laid
        ),
    )
    with pytest.raises(SelfCheckFailed):
        check([written(small, kind)], layout(one))


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize(
    "change",
    [
        lambda pieces: pieces[:-1],  # one is missing
        lambda pieces: (*pieces, pieces[0]),  # one is cut twice
        lambda pieces: pieces[::-1],  # another order of cutting
    ],
)
def test_missing_doubled_and_swapped_pieces_are_stopped(kind: Writable, change: object) -> None:
    assert callable(change)
    one = sampler()
    with pytest.raises(SelfCheckFailed):
        check([written(replace(one, laid=change(one.laid)), kind)], layout(one))


@pytest.mark.parametrize("kind", KINDS)
def test_a_missing_hole_is_stopped(kind: Writable) -> None:
    one = mat(laid(ring(30, 10, 100, 100)))
    filled = mat(laid(CurvedRegion(exterior=one.laid[0].curve.exterior)))
    with pytest.raises(SelfCheckFailed, match="1 lines instead of 2"):
        check([written(filled, kind)], layout(one))


def test_an_outline_run_through_twice_is_stopped_though_it_lies_right() -> None:
    one = mat(laid(rectangle(20, 20, 10, 10)))
    file = written(one, "svg")
    data = file.data.decode()
    start, end = data.index(" L"), data.index(" Z")
    twice = data[:end] + data[start:end] + data[end:]
    with pytest.raises(SelfCheckFailed, match="mm2"):
        check([replace(file, data=twice.encode())], layout(one))


@pytest.mark.parametrize("kind", [*KINDS, "pen"])
@pytest.mark.parametrize("share", [0.0, 0.3, 0.9])
def test_a_file_cut_short_is_stopped(kind: Writable, share: float) -> None:
    file = written(sampler(), kind)
    with pytest.raises(SelfCheckFailed, match="does not say what was laid"):
        check([replace(file, data=file.data[: int(len(file.data) * share)])], layout(sampler()))


def test_a_letter_outside_its_piece_is_stopped() -> None:
    file = written(mat(laid(rectangle(40, 40, 100, 100))), "pen")
    with pytest.raises(SelfCheckFailed, match="letter"):
        check([file], layout(mat(laid(rectangle(40, 40, 10, 10)))))


@pytest.mark.parametrize(
    "place", [(50.0, 50.0), (24.0, 24.0)], ids=["in the hole", "in the corner of its box"]
)
def test_a_letter_that_only_lies_in_the_box_of_its_piece_is_stopped(place: tuple[float, float]) -> None:
    x, y = place
    file = written(mat(laid(rectangle(6, 6, x - 3, y - 3))), "pen")
    with pytest.raises(SelfCheckFailed, match="letter"):
        check([file], layout(mat(laid(ring(30.0, 12.0, 50.0, 50.0)))))


def test_every_letter_of_a_mat_is_looked_at_in_its_own_piece() -> None:
    pieces = [laid(rectangle(20, 20, 10 + 30 * n, 10 + 20 * (n % 2)), "ABC"[n]) for n in range(3)]
    file = written(mat(*pieces), "pen")
    check([file], layout(mat(*pieces)))
    for n in range(3):
        with pytest.raises(SelfCheckFailed, match="letter"):
            check([file], layout(mat(*pieces[:n], *pieces[n + 1 :])))


def test_templates_that_are_missing_doubled_or_of_another_size_are_stopped() -> None:
    demands = [demand(ring(30, 10)), demand(star(400), "B")]
    templates = paper_templates(demands, {}, ALL)
    (file,) = write_cut_files(layout(), templates, ALL)
    larger = paper_templates([demand(ring(30.05, 10)), demands[1]], {}, ALL)
    more = paper_templates([*demands, demand(leaf(50), "C")], {}, ALL)
    for wanted in (templates[:1], templates[1:], larger, more):
        with pytest.raises(SelfCheckFailed):
            check([file], layout(), wanted)
    check([file], layout(), templates)


def test_a_missing_tile_is_stopped() -> None:
    templates = paper_templates([demand(star(400), "B")], {}, ALL)
    (file,) = write_cut_files(layout(), templates, ALL)
    shown = pdf.read_back(file.data)
    check_templates(shown, templates)
    for missing in range(len(shown)):
        with pytest.raises(SelfCheckFailed, match="do not cover"):
            check_templates(shown[:missing] + shown[missing + 1 :], templates)
