"""What holds of outlines whatever the shape: turning, containing, never failing."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from piecewright.cutting import geometry as geo
from piecewright.cutting.geometry import FloatArray, Region, frozen
from piecewright.cutting.outlines import Outlines, cut_outlines
from piecewright.cutting.outlines.cubics import fit_curve
from tests.cutting.outlines.pieces_by_hand import Bench, rules

waves = st.lists(st.tuples(st.integers(2, 5), st.floats(0, 0.16), st.floats(0, 6.28)), min_size=1, max_size=3)
"""Frequency, size and phase of waves on a circle."""


def blob(radius: float, bumps: list[tuple[int, float, float]], stitch: float = 2.5) -> FloatArray:
    """Evenly stitched points of a wavy circle."""
    t = np.linspace(0, 2 * np.pi, 4000, endpoint=False)
    r = radius * (1 + sum(size * np.cos(count * t + phase) / count for count, size, phase in bumps))
    return geo.spaced(np.column_stack([r * np.cos(t), r * np.sin(t)]), stitch)


def outlined(line: FloatArray, **options: object) -> Outlines:
    bench = Bench()
    bench.add(line)
    return cut_outlines(bench.understanding(), rules(**options))


@settings(max_examples=40)
@given(radius=st.floats(8, 60), bumps=waves, offset=st.floats(0.3, 4))
def test_a_grown_outline_contains_its_line(
    radius: float, bumps: list[tuple[int, float, float]], offset: float
) -> None:
    (outline,) = outlined(blob(radius, bumps), offset=f"{offset} mm").outlines
    assert geo.contains(outline.curve, outline.line, slack_mm=0.01)
    points = geo.flatten(outline.curve.exterior, 0.05)
    assert np.abs(-geo.distances_to_edge(outline.line, points) - offset).max() < 0.15


@settings(max_examples=30)
@given(
    radius=st.floats(10, 50),
    bumps=waves,
    turned=st.sampled_from([90.0, 180.0, 270.0]),
    mirrored=st.booleans(),
)
def test_turning_the_design_turns_the_outline(
    radius: float, bumps: list[tuple[int, float, float]], turned: float, mirrored: bool
) -> None:
    """By quarters, which keep the 0.1 mm grid of the file."""
    line = np.round(blob(radius, bumps), 1)
    (plain,), (moved,) = (
        outlined(each).outlines
        for each in (line, geo.transformed_points(line, turned, mirrored, 30.0, -20.0))
    )
    expected = geo.transformed(plain.curve, turned, mirrored, 30.0, -20.0)
    ring = geo.flatten(moved.curve.exterior, 0.005)
    assert np.abs(geo.distances_to_edge(expected, ring)).max() < 0.08


@settings(max_examples=30)
@given(radius=st.floats(10, 50), bumps=waves, start=st.floats(0, 1))
def test_where_sewing_starts_hardly_matters(
    radius: float, bumps: list[tuple[int, float, float]], start: float
) -> None:
    line = np.round(blob(radius, bumps), 1)
    (one,), (other,) = (
        outlined(each).outlines for each in (line, np.roll(line, int(start * len(line)), axis=0))
    )
    assert np.abs(geo.distances_to_edge(one.curve, geo.flatten(other.curve.exterior, 0.005))).max() < 0.08


rings = st.lists(st.tuples(st.integers(-300, 300), st.integers(-300, 300)), min_size=3, max_size=40).map(
    lambda points: np.array(points, dtype=np.float64) / 10
)
"""Any closed line at all on the grid of a stitch file, crossing itself as it likes."""


@settings(max_examples=120)
@given(
    ring=rings,
    offset=st.sampled_from(["1.5 mm", "0 mm", "-1 mm", "fit"]),
    corners=st.sampled_from(["round", "sharp"]),
)
def test_no_line_however_tangled_takes_the_job_down(ring: FloatArray, offset: str, corners: str) -> None:
    """Each piece is outlined, or a finding says why not; and every number is a number."""
    made = outlined(ring, offset=offset, corners=corners)
    assert len(made.outlines) == 1 or "piece-vanishes" in {finding.code for finding in made.findings}
    for outline in made.outlines:
        assert np.isfinite(outline.curve.exterior).all()
        assert np.isfinite(outline.line.exterior).all()
        assert outline.area_mm2 > 0


@settings(max_examples=40)
@given(radius=st.floats(3, 100), bumps=waves)
def test_cubics_stay_within_their_tolerance(radius: float, bumps: list[tuple[int, float, float]]) -> None:
    ring = blob(radius, bumps, stitch=0.2)
    curve = fit_curve(ring)
    assert (
        np.abs(geo.distances_to_edge(Region(exterior=frozen(ring)), geo.flatten(curve, 0.002))).max() < 0.08
    )
    assert np.array_equal(curve[:, 3], np.roll(curve[:, 0], -1, axis=0))
