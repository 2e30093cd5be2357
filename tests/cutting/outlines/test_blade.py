"""What a blade or a hand cannot do is said, with its place; what they can is not."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from piecewright.cutting.geometry import CurvedRegion, Region, curved, frozen
from piecewright.cutting.outlines import cut_outlines
from piecewright.cutting.outlines.blade import blade_findings
from tests.analytic_shapes import needle_points, shapes
from tests.cutting import sewing
from tests.cutting.outlines.pieces_by_hand import Bench, rules

if TYPE_CHECKING:
    from piecewright.cutting.findings import Finding
    from piecewright.cutting.geometry import FloatArray
    from tests.analytic_shapes import Shape


def looked_at(*rings: list[tuple[float, float]], **options: object) -> list[Finding]:
    exterior, *holes = map(frozen, rings)
    return blade_findings("A", curved(Region(exterior=exterior, holes=tuple(holes))), rules(**options))


def codes(findings: list[Finding]) -> set[str]:
    return {finding.code for finding in findings}


def outlined(line: FloatArray, *holes: FloatArray, **options: object) -> set[str]:
    bench = Bench()
    bench.add(line, holes=holes)
    return {finding.code for finding in cut_outlines(bench.understanding(), rules(**options)).findings}


@pytest.mark.parametrize("shape", shapes(), ids=lambda shape: shape.name)
def test_nothing_is_said_of_good_shapes(shape: Shape) -> None:
    assert outlined(needle_points(shape, 2.5, 0.3)) == set()


def test_a_neck_is_found_in_its_middle() -> None:
    #   ____    ____
    #  |    |__|    |     a bridge of 1 mm between two squares
    #  |____|  |____|
    (neck,) = looked_at(
        [
            (0, 0),
            (20, 0),
            (20, 9.5),
            (30, 9.5),
            (30, 0),
            (50, 0),
            (50, 20),
            (30, 20),
            (30, 10.5),
            (20, 10.5),
            (20, 20),
            (0, 20),
        ]
    )
    assert neck.code == "neck"
    assert neck.place == pytest.approx((25.0, 10.0), abs=0.6)


def test_a_spike_is_found_at_its_tip() -> None:
    (spike,) = looked_at([(0, 0), (20, 0), (20, 9.5), (32, 9.5), (32, 10.5), (20, 10.5), (20, 20), (0, 20)])
    assert spike.code == "spike"
    assert spike.place is not None
    assert spike.place[0] == pytest.approx(32.0, abs=0.1)


def test_a_thin_wall_between_a_hole_and_the_edge_is_a_neck() -> None:
    (neck,) = looked_at([(0, 0), (30, 0), (30, 30), (0, 30)], [(20, 10), (29, 10), (29, 20), (20, 20)])
    assert neck.code == "neck"
    assert neck.place is not None
    assert neck.place[0] == pytest.approx(29.5, abs=0.1)


def test_a_ribbon_is_narrow_all_over() -> None:
    assert codes(looked_at([(0, 0), (60, 0), (60, 1.5), (0, 1.5)])) == {"narrow"}
    assert looked_at([(0, 0), (60, 0), (60, 1.5), (0, 1.5)], least_width="1 mm") == []
    assert looked_at([(0, 0), (60, 0), (60, 1.5), (0, 1.5)], least_width=0) == []


def test_a_piece_too_small_to_lift_is_found() -> None:
    assert codes(looked_at([(0, 0), (4, 0), (4, 4), (0, 4)])) == {"piece-small"}


def test_a_corner_sharper_than_the_blade_turns_is_found() -> None:
    thin = [(0.0, 0.0), (60.0, 0.0), (60.0, 18.0)]
    found = looked_at(thin)
    assert "corner-sharp" in codes(found)
    assert looked_at(thin, least_corner_deg=10, least_width=0) == []


def test_an_outline_that_crosses_itself_is_found() -> None:
    knot = np.array(
        [[(0, 0), (30, 40), (30, -40), (0, 0)], [(0, 0), (-10, 5), (-10, -5), (0, 0)]], dtype=float
    )
    assert "outline-crosses" in codes(blade_findings("A", CurvedRegion(exterior=frozen(knot)), rules()))
    hourglass = [(0.0, 0.0), (20.0, 0.0), (0.0, 20.0), (20.0, 20.0)]
    assert "outline-crosses" in codes(looked_at(hourglass))


def test_a_hole_that_reaches_out_of_the_piece_is_a_crossing() -> None:
    assert "outline-crosses" in codes(
        looked_at([(0, 0), (30, 0), (30, 30), (0, 30)], [(20, 10), (35, 10), (35, 20), (20, 20)])
    )


def test_a_piece_that_vanishes_is_said_and_not_cut() -> None:
    bench = Bench()
    bench.add(sewing.run(sewing.circle(3)))
    made = cut_outlines(bench.understanding(), rules(offset="-4 mm"))
    assert made.outlines == ()
    assert [finding.code for finding in made.findings] == ["piece-vanishes"]


def test_a_piece_that_falls_apart_keeps_its_largest_part() -> None:
    dumbbell = sewing.polygon(
        (0, 0),
        (20, 0),
        (20, 8),
        (30, 8),
        (30, 0),
        (60, 0),
        (60, 20),
        (30, 20),
        (30, 12),
        (20, 12),
        (20, 20),
        (0, 20),
    )
    assert outlined(sewing.run(dumbbell), offset="-2.5 mm") == {"piece-falls-apart"}


def test_a_hole_that_closes_is_said() -> None:
    assert outlined(sewing.run(sewing.circle(20)), sewing.run(sewing.circle(1.4), 1.0)) == {"hole-closes"}
    assert outlined(sewing.run(sewing.circle(20)), sewing.run(sewing.circle(6))) == set()


def test_a_line_that_crosses_itself_is_cut_in_its_larger_loop() -> None:
    #  a figure of eight, sewn in one go
    eight = np.vstack([sewing.circle(20), sewing.circle(10, (-30.0, 0.0), 0.0)])
    turn = np.vstack([sewing.circle(20, start_deg=180.0), sewing.circle(10, (-30.0, 0.0))[::-1]])
    for line in (eight, turn):
        bench = Bench()
        bench.add(sewing.run(line))
        made = cut_outlines(bench.understanding(), rules(offset=0))
        assert made.outlines[0].area_mm2 > np.pi * 18**2


def test_a_thin_wall_between_two_holes_is_a_neck_in_its_middle() -> None:
    holes = [
        [(10.0, 10.0), (19.6, 10.0), (19.6, 20.0), (10.0, 20.0)],
        [(20.4, 12.0), (30.0, 12.0), (30.0, 18.0), (20.4, 18.0)],
    ]
    (neck,) = looked_at([(0, 0), (40, 0), (40, 30), (0, 30)], *holes)
    assert (neck.code, neck.piece) == ("neck", "A")
    assert neck.place is not None
    assert neck.place[0] == pytest.approx(20.0, abs=0.1)
    assert 12.0 <= neck.place[1] <= 18.0


def test_the_corner_between_two_curves_is_measured_where_they_meet() -> None:
    """A leaf whose cubics leave their tips at 5 across and 4 down: 2 atan(4 / 5) = 77.3 degrees."""
    upper, lower = [(0, 0), (20, -16), (40, -16), (60, 0)], [(60, 0), (40, 16), (20, 16), (0, 0)]
    leaf = CurvedRegion(exterior=frozen([upper, lower]))
    sharp = [
        each for each in blade_findings("A", leaf, rules(least_corner_deg=78)) if each.code == "corner-sharp"
    ]
    assert sorted(each.place or (0.0, 0.0) for each in sharp) == [(0.0, 0.0), (60.0, 0.0)]
    assert all("corner of 77 degrees" in each.message for each in sharp)
    assert "corner-sharp" not in codes(blade_findings("A", leaf, rules(least_corner_deg=77)))


def test_where_curves_run_on_smoothly_there_is_no_corner_however_strict_the_rules() -> None:
    k = 4 / 3 * (np.sqrt(2) - 1)
    quarter = np.array([(1, 0), (1, k), (k, 1), (0, 1)]) * 30
    turn = np.array([(0, 1), (-1, 0)])
    ring = frozen([quarter @ np.linalg.matrix_power(turn, n) for n in range(4)])
    assert blade_findings("A", CurvedRegion(exterior=ring), rules(least_corner_deg=90)) == []


def test_a_spike_at_a_neck_is_said_once_and_one_elsewhere_too() -> None:
    #   ____    ____
    #  |    |__|    |___   a neck of 1 mm, and a tongue of 1 mm on the right
    #  |____|  |____|
    found = looked_at(
        [
            (0, 0), (20, 0), (20, 9.5), (30, 9.5), (30, 0), (50, 0), (50, 9.5), (62, 9.5),
            (62, 10.5), (50, 10.5), (50, 20), (30, 20), (30, 10.5), (20, 10.5), (20, 20), (0, 20),
        ]
    )  # fmt: skip
    assert [each.code for each in found] == ["neck", "spike"]
    assert [each.piece for each in found] == ["A", "A"]
    assert found[1].place == pytest.approx((62.0, 10.0), abs=0.6)
