"""The gaps of a placement line are closed along what is sewn over them later."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from piecewright.cutting.geometry import frozen, ring_area
from piecewright.cutting.passes import Stitch
from piecewright.cutting.pieces.bridging import rebridged
from piecewright.cutting.pieces.chains import Gap
from piecewright.cutting.pieces.rings import Ring
from tests.cutting import sewing as sew
from tests.cutting.pieces.lines_by_hand import follower_of, run_of

if TYPE_CHECKING:
    from piecewright.cutting.geometry import FloatArray
    from piecewright.cutting.passes import Run

RADIUS = 20.0
CIRCLE = sew.circle(RADIUS)
ROUND = sew.length(CIRCLE)
GAP_MM = 16.0
SAGITTA = RADIUS - np.sqrt(RADIUS**2 - (GAP_MM / 2) ** 2)
"""How far the straight way over the gap lies inside the circle: 1.67 mm."""


BULGE = 1.5
"""The line was closed as if it went on round a larger bend."""


def broken(*, backwards: bool = False) -> Ring:
    """The circle without its last 16 mm, closed in a bulge; the ring is clockwise however it was sewn."""
    chord = 2 * np.arcsin(GAP_MM / 2 / RADIUS) * RADIUS
    sewn = sew.run(sew.part(CIRCLE, 0.0, ROUND - chord))
    closing = sew.run(sew.part(CIRCLE, ROUND - chord, ROUND))[1:-1]
    sewn, closing = (sewn[::-1], closing[::-1]) if backwards else (sewn, closing)
    gap = Gap(start=tuple(sewn[-1].tolist()), end=tuple(sewn[0].tolist()))
    ring = np.vstack([sewn, closing * (1 + BULGE / RADIUS)])
    points = frozen(ring[::-1] if backwards else ring)
    return Ring(block=1, runs=(0,), points=points, gaps=(gap,), lapped=0.0, stitch=Stitch.SINGLE_RUN)


def later(points: FloatArray) -> Run:
    """A line sewn later."""
    return run_of(points)


def wide(points: FloatArray) -> Run:
    """A band whose middle the points are, and whose bites lie far from it."""
    return run_of(points + np.array([50.0, 50.0]), Stitch.SATIN, spacing_mm=0.4, spine=points)


def closed(*runs: Run, away: tuple[float, ...] = (0.1, 0.2), backwards: bool = False) -> Ring:
    followers = [follower_of(k, np.ones(10, dtype=np.bool_), away[k]) for k in range(len(runs))]
    return rebridged(broken(backwards=backwards), followers, runs)


def inside_mm(ring: Ring) -> float:
    """How far the ring falls short of the circle at its worst place, corner or edge."""
    middles = (ring.points + np.roll(ring.points, -1, axis=0)) / 2
    return float(RADIUS - np.hypot(*np.vstack([ring.points, middles]).T).min())


def outside_mm(ring: Ring) -> float:
    """How far the ring reaches over the circle at its worst place."""
    return float(np.hypot(*ring.points.T).max() - RADIUS)


@pytest.mark.parametrize("backwards", [False, True])
def test_a_tack_down_over_the_gap_closes_it_as_the_designer_drew_it(backwards: bool) -> None:
    ring = closed(later(sew.run(CIRCLE)), backwards=backwards)
    assert inside_mm(ring) < 0.15
    assert outside_mm(ring) < 0.1
    assert ring.gaps[0].sewn_later
    assert ring_area(ring.points) == pytest.approx(np.pi * RADIUS**2, rel=0.01)


@pytest.mark.parametrize("start", [0.0, 0.3, 0.47, 0.9, 0.97])
@pytest.mark.parametrize("turn", [1, -1])
def test_it_may_begin_anywhere_and_go_either_way(start: float, turn: int) -> None:
    ring = closed(later(sew.run(sew.part(CIRCLE, start * ROUND, (start + 1) * ROUND))[::turn]))
    assert inside_mm(ring) < 0.15
    assert outside_mm(ring) < 0.1


def test_the_middle_of_a_cover_closes_it_as_well() -> None:
    ring = closed(wide(sew.run(CIRCLE)))
    assert inside_mm(ring) < 0.15
    assert ring.gaps[0].sewn_later


def test_a_line_knows_better_than_a_cover_and_a_near_one_better_than_a_far_one() -> None:
    larger = later(sew.run(sew.circle(RADIUS + 1.5)))
    exact = later(sew.run(CIRCLE))
    band = wide(sew.run(sew.circle(RADIUS + 1.5)))
    for ring in (closed(band, exact, away=(0.1, 0.2)), closed(larger, exact, away=(0.2, 0.1))):
        assert np.hypot(*ring.points.T).max() < RADIUS + 0.1
        assert inside_mm(ring) < 0.15


def test_its_ends_are_moved_onto_the_line() -> None:
    ring = closed(later(sew.run(sew.circle(RADIUS + 1.0))))
    radii = np.hypot(*ring.points.T)
    assert radii.max() < RADIUS + 0.15
    assert inside_mm(ring) < 0.15


def test_a_pass_that_leaves_the_same_gap_has_it_closed_straight() -> None:
    sewn = broken().points[np.hypot(*broken().points.T) < RADIUS + 0.5]
    ring = closed(later(sewn))
    assert inside_mm(ring) == pytest.approx(SAGITTA, abs=0.1)
    assert outside_mm(ring) < 0.1
    assert not ring.gaps[0].sewn_later


def test_a_pass_elsewhere_and_a_short_one_have_it_closed_straight_and_none_leaves_it_as_it_was() -> None:
    elsewhere = later(sew.run(sew.circle(RADIUS, (70.0, 0.0))))
    short = later(np.array([(20.0, 0.0), (19.0, -3.0), (18.0, -6.0)]))
    for ring in (closed(elsewhere), closed(short)):
        assert inside_mm(ring) == pytest.approx(SAGITTA, abs=0.1)
        assert not ring.gaps[0].sewn_later
    assert np.array_equal(closed().points, broken().points)
