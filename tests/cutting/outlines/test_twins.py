"""Congruent pieces are found however they lie, and nothing else is."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from piecewright.cutting import geometry as geo
from piecewright.cutting.outlines import Outlines, Twin, cut_outlines
from tests.analytic_shapes import needle_points, shapes
from tests.cutting import sewing
from tests.cutting.outlines.pieces_by_hand import Bench, rules
from tests.overlap import iou

if TYPE_CHECKING:
    from piecewright.cutting.geometry import FloatArray

SHAPES = {shape.name: shape for shape in shapes()}


def sewn(name: str, phase: float = 0.0) -> FloatArray:
    """Needle points of a shape before they are rounded."""
    return needle_points(SHAPES[name], 2.5, phase, grid_mm=0.0)


def placed(
    points: FloatArray, turned: float, mirrored: bool = False, x: float = 0.0, y: float = 0.0
) -> FloatArray:
    return geo.transformed_points(points, turned, mirrored, x, y)


def outlined(*lines: FloatArray, **options: object) -> Outlines:
    bench = Bench()
    for line in lines:
        bench.add(line)
    return cut_outlines(bench.understanding(), rules(**options))


def twin_of(made: Outlines, index: int) -> Twin:
    twin = made.outlines[index].twin
    assert twin is not None
    return twin


@pytest.mark.parametrize("name", ["comma", "heart", "blob 1", "arrow", "puzzle piece", "quarter disc"])
@pytest.mark.parametrize("turned", [0.0, 37.0, -120.0, 180.0])
@pytest.mark.parametrize("mirrored", [False, True])
def test_a_twin_is_found_however_it_is_turned_and_turned_over(
    name: str, turned: float, mirrored: bool
) -> None:
    other = placed(sewn(name, 0.4), turned, mirrored, 120.0, -30.0)
    made = outlined(sewn(name), other)
    twin = twin_of(made, 1)
    moved = geo.transformed(made.outlines[0].line, twin.turned_deg, twin.mirrored, twin.x_mm, twin.y_mm)
    truth = geo.Region(exterior=geo.frozen(placed(SHAPES[name].ring[::5], turned, mirrored, 120.0, -30.0)))
    assert iou(moved, truth) > 0.985


def test_the_turn_and_the_place_are_those_of_the_design() -> None:
    made = outlined(sewn("comma"), placed(sewn("comma"), 60.0, True, 90.0, 5.0))
    twin = twin_of(made, 1)
    assert (twin.of, twin.turned_deg, twin.mirrored) == ("A", 60.0, True)
    assert (twin.x_mm, twin.y_mm) == pytest.approx((90.0, 5.0), abs=0.1)


def test_a_shape_that_is_its_own_mirror_image_is_not_turned_over() -> None:
    made = outlined(sewn("heart"), placed(sewn("heart"), 0.0, True, 100.0))
    assert (twin_of(made, 1).turned_deg, twin_of(made, 1).mirrored) == (0.0, False)


@pytest.mark.parametrize("name", ["circle r 20", "square", "star", "flower of 8"])
def test_where_many_turns_serve_it_is_not_turned(name: str) -> None:
    made = outlined(sewn(name), placed(sewn(name, 0.3), 0.0, False, 110.0, 4.0))
    assert twin_of(made, 1).turned_deg == 0.0


def test_twins_are_cut_from_one_outline() -> None:
    made = outlined(sewn("comma"), placed(sewn("comma", 0.3), 90.0, False, 90.0))
    first, second = (outline.curve for outline in made.outlines)
    twin = twin_of(made, 1)
    again = geo.transformed(first, twin.turned_deg, twin.mirrored, twin.x_mm, twin.y_mm)
    assert np.array_equal(again.exterior, second.exterior)
    assert made.outlines[1].area_mm2 == pytest.approx(made.outlines[0].area_mm2)


def test_all_twins_name_the_first_as_their_leader() -> None:
    made = outlined(*[placed(sewn("comma", k / 5), 72.0 * k, False, 100.0 * k) for k in range(4)])
    assert [outline.twin and outline.twin.of for outline in made.outlines] == [None, "A", "A", "A"]


def test_a_piece_half_a_millimetre_larger_is_no_twin() -> None:
    made = outlined(sewing.run(sewing.circle(20)), sewing.run(sewing.circle(20.5, (80, 0))))
    assert made.outlines[1].twin is None
    alike = outlined(
        sewing.run(sewing.circle(20)), sewing.run(sewing.circle(20.5, (80, 0))), twin_tolerance="0.7 mm"
    )
    assert twin_of(alike, 1).of == "A"


def test_the_same_size_and_another_shape_is_no_twin() -> None:
    side = np.sqrt(np.pi) * 20
    assert (
        outlined(sewing.run(sewing.circle(20)), sewing.run(sewing.rectangle(60, 0, side, side)))
        .outlines[1]
        .twin
        is None
    )


def test_holes_must_match_too() -> None:
    bench = Bench()
    outer, holes = sewing.run(sewing.circle(25)), [sewing.circle(6, (8.0, 0.0)), sewing.circle(6, (0.0, 8.0))]
    bench.add(outer, holes=[sewing.run(holes[0])])
    bench.add(outer + np.array([80, 0]), holes=[sewing.run(holes[1] + np.array([80, 0]))])
    bench.add(outer + np.array([160, 0]), holes=[sewing.run(sewing.circle(6, (160.0, 0.0)))])
    made = cut_outlines(bench.understanding(), rules())
    assert made.outlines[2].twin is None
    # the rim alone fits every turn, and only one of them brings hole onto hole
    assert twin_of(made, 1).turned_deg == pytest.approx(90.0, abs=1.0)


@pytest.mark.parametrize("turned", [40.0, 180.0, -110.0])
def test_discs_with_two_holes_are_turned_hole_onto_hole_wherever_they_lie(turned: float) -> None:
    #  (  o   )     the holes differ in size and in their distance from the middle,
    #  (    O )     so that one turn fits, and with the disc turned over another
    parts = [sewing.circle(25), sewing.circle(4, (-12.0, -3.0)), sewing.circle(6, (9.0, 10.0))]
    for mirrored in (False, True):
        bench = Bench()
        for move in ((0.0, False, 300.0, -200.0), (turned, mirrored, 150.0, 400.0)):
            rim, *holes = (placed(sewing.run(part), *move) for part in parts)
            bench.add(rim, holes=holes)
        made = cut_outlines(bench.understanding(), rules())
        twin = twin_of(made, 1)
        assert twin.mirrored is mirrored
        assert abs((twin.turned_deg - turned + 180.0) % 360.0 - 180.0) < 1.0
        moved = geo.transformed(made.outlines[0].line, twin.turned_deg, twin.mirrored, twin.x_mm, twin.y_mm)
        for hole, other in zip(moved.holes, made.outlines[1].line.holes, strict=True):
            assert hole.mean(axis=(0, 1)) == pytest.approx(other.mean(axis=(0, 1)), abs=0.2)


def test_a_half_turn_is_given_as_180_degrees() -> None:
    assert twin_of(outlined(sewn("comma"), placed(sewn("comma"), 180.0, x=90.0)), 1).turned_deg == 180.0


def test_a_base_layer_is_no_twin_of_a_piece() -> None:
    bench = Bench()
    bench.add(sewing.run(sewing.circle(20)))
    bench.add(sewing.run(sewing.circle(20, (60, 0))), kind="base")
    assert cut_outlines(bench.understanding(), rules()).outlines[1].twin is None


def test_fabric_that_gives_one_way_allows_only_half_turns() -> None:
    comma = sewn("comma")
    made = outlined(
        comma, placed(comma, 90.0, x=100.0), placed(comma, 180.0, x=200.0), stretch_along_grain=1.03
    )
    assert [outline.twin is None for outline in made.outlines] == [True, True, False]
