"""Few cubics, smoothly joined, within the tolerance."""

from __future__ import annotations

import numpy as np
import pytest

from piecewright.cutting import geometry as geo
from piecewright.cutting.geometry import FloatArray, Region, frozen
from piecewright.cutting.outlines.cubics import FIT_TOLERANCE_MM, fit_curve, most_nodes
from tests.analytic_shapes import Shape, shapes


def joint_turns(curve: FloatArray) -> FloatArray:
    """Turn where each cubic meets the next, degrees."""
    arrive, leave = curve[:, 3] - curve[:, 2], np.roll(curve[:, 1] - curve[:, 0], -1, axis=0)
    cross = arrive[:, 0] * leave[:, 1] - arrive[:, 1] * leave[:, 0]
    return np.asarray(np.abs(np.degrees(np.arctan2(cross, (arrive * leave).sum(axis=1)))))


def sampled(shape: Shape) -> FloatArray:
    """A ring every 0.1 mm, corners included."""
    return np.concatenate([section[:-1:5] for section in shape.sections])


def deviation(curve: FloatArray, ring: FloatArray) -> float:
    """Greatest distance between a curve and a ring, both ways."""
    flat = geo.flatten(curve, 1e-4)
    there = geo.distances_to_edge(Region(exterior=frozen(ring)), flat)
    back = geo.distances_to_edge(Region(exterior=flat), ring)
    return float(max(np.abs(there).max(), np.abs(back).max()))


@pytest.mark.parametrize("shape", shapes(), ids=lambda shape: shape.name)
def test_every_shape_is_drawn_closely_with_few_nodes_and_no_kink(shape: Shape) -> None:
    ring = sampled(shape)
    curve = fit_curve(ring)
    loosest = 2.5 if shape.name in {"rounded star", "flower of 8"} else 1.0
    assert deviation(curve, ring) < loosest * FIT_TOLERANCE_MM + 0.005
    assert len(curve) <= most_nodes(len(shape.corners), geo.ring_length(ring))
    assert (joint_turns(curve) > 1).sum() == len(shape.corners)


def test_a_circle_takes_four_cubics_and_a_square_four_lines() -> None:
    angle = np.linspace(0, 2 * np.pi, 900, endpoint=False)
    assert len(fit_curve(40 * np.column_stack([np.cos(angle), np.sin(angle)]))) == 4
    square = fit_curve(np.array([(0.0, 0.0), (50.0, 0.0), (50.0, 50.0), (0.0, 50.0)]))
    assert len(square) == 4
    assert deviation(square, square[:, 0]) < 1e-9


def test_the_chain_is_closed_without_gaps() -> None:
    curve = fit_curve(shapes()[3].ring[::7])
    assert np.array_equal(curve[:, 3], np.roll(curve[:, 0], -1, axis=0))


def test_a_round_corner_between_lines_keeps_both_lines_straight() -> None:
    (grown,) = geo.grow(Region(exterior=frozen([(0, 0), (50, 0), (50, 30), (0, 30)])), 1.5)
    curve = fit_curve(grown.exterior)
    assert deviation(curve, grown.exterior) < 0.005
    long = curve[np.hypot(*(curve[:, 3] - curve[:, 0]).T) > 20]
    assert len(long) == 4
    assert geo.straight(long).all()


def test_a_tighter_tolerance_takes_more_nodes_and_strays_less() -> None:
    ring = next(shape for shape in shapes() if shape.name == "blob 2").ring[::5]
    loose, tight = fit_curve(ring, 0.1), fit_curve(ring, 0.01)
    assert len(loose) < len(tight)
    assert deviation(tight, ring) < 0.012 < deviation(loose, ring) < 0.105


def test_the_start_of_the_ring_does_not_matter_to_the_nodes() -> None:
    ring = next(shape for shape in shapes() if shape.name == "heart").ring[::5]
    assert len(fit_curve(ring)) == len(fit_curve(np.roll(ring, 333, axis=0)))


def test_a_long_straight_ring_stays_small() -> None:
    strip = fit_curve(np.array([(0.0, 0.0), (400.0, 0.0), (400.0, 8.0), (0.0, 8.0)]))
    assert len(strip) == 4


def test_nearly_repeated_points_are_no_corners() -> None:
    angle = np.linspace(0, 2 * np.pi, 200, endpoint=False)
    ring = 20 * np.column_stack([np.cos(angle), np.sin(angle)])
    ragged = np.insert(ring, 50, ring[50] + (0.001, 0.004), axis=0)
    assert (joint_turns(fit_curve(ragged)) > 5).sum() == 0
