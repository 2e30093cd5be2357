"""The line of a piece: which way round it goes and what happens at its corners."""

from __future__ import annotations

import numpy as np
import pytest

from piecewright.cutting import geometry as geo
from piecewright.cutting.outlines.line import line_of
from tests.analytic_shapes import needle_points, shapes
from tests.cutting import sewing
from tests.cutting.outlines.pieces_by_hand import Bench

OUTER = {(0, 0), (40, 0), (40, 30), (0, 30)}
INNER = {(10, 10), (25, 10), (25, 20), (10, 20)}
"""Corners of a frame:

    +--------------+
    |  +-----+     |
    |  +-----+     |
    +--------------+
"""


@pytest.mark.parametrize("around", [1, -1])
@pytest.mark.parametrize("inside", [1, -1])
def test_fabric_lies_on_the_right_hand_whichever_way_a_line_and_its_hole_were_sewn(
    around: int, inside: int
) -> None:
    hole = sewing.run(sewing.rectangle(10, 10, 15, 10))[::inside]
    piece = Bench().add(sewing.run(sewing.rectangle(0, 0, 40, 30))[::around], holes=[hole])
    line = line_of(piece)
    assert line is not None
    assert geo.ring_area(line.region.exterior) > 0 > geo.ring_area(line.region.holes[0])
    corners = line.corners
    juts_out = {
        (round(x), round(y)): turn > 0
        for (x, y), turn in zip(corners.tips.tolist(), corners.turns_deg.tolist(), strict=True)
    }
    assert juts_out == {**dict.fromkeys(OUTER, True), **dict.fromkeys(INNER, False)}
    assert np.abs(corners.turns_deg) == pytest.approx(90.0, abs=0.5)
    assert np.hypot(*corners.before.T) == pytest.approx(1.0)
    assert np.hypot(*corners.after.T) == pytest.approx(1.0)
    right_hand = np.column_stack([-corners.after[:, 1], corners.after[:, 0]])  # y down
    assert geo.contains_points(line.region, geo.frozen(corners.tips + corners.after + right_hand)).all()


@pytest.mark.parametrize("around", [1, -1])
def test_a_corner_is_reached_and_left_along_the_line_at_the_angle_that_it_turns_by(around: int) -> None:
    half_disc = next(shape for shape in shapes() if shape.name == "half disc")
    line = line_of(Bench().add(needle_points(half_disc, 2.5, 0.3)[::around]))
    assert line is not None
    corners = line.corners
    apart = np.hypot(*(corners.tips[:, None] - half_disc.corners).transpose(2, 0, 1))
    assert apart.min(axis=1).max() < 0.1
    assert len(corners.tips) == 2
    for step in (corners.before, corners.after):
        assert np.hypot(*step.T) == pytest.approx(1.0)
    (bx, by), (ax, ay) = corners.before.T, corners.after.T
    assert np.degrees(np.arctan2(bx * ay - by * ax, bx * ax + by * ay)) == pytest.approx(corners.turns_deg)
    along = np.sort(np.abs(np.concatenate([corners.before[:, 0], corners.after[:, 0]])))
    assert along[:2].max() < 0.15  # the arc stands upright on the straight side
    assert along[2:].min() > 0.99


def test_a_hole_that_goes_round_nothing_is_none() -> None:
    slit = np.array([(10.0, 10.0), (14.0, 10.0), (18.0, 10.0), (14.0, 10.0)])
    line = line_of(Bench().add(sewing.run(sewing.rectangle(0, 0, 40, 30)), holes=[slit]))
    assert line is not None
    assert line.region.holes == ()
