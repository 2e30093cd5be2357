"""Laying: whatever is asked for is laid once, on the mat, apart, and as the rules allow.

A second geometry engine (Clipper2 through pyclipr) confirms that nothing overlaps: it shares no code with
the one that laid and checked the pieces.
"""

from __future__ import annotations

from collections import Counter
from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np
import pyclipr
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from piecewright.cutting.geometry import area, curve_area, flatten
from piecewright.cutting.mats import lay
from tests.cutting.mats.support import demand, mixed, poses, rectangle, rules

if TYPE_CHECKING:
    from piecewright.cutting.geometry import FloatArray
    from piecewright.cutting.mats import Demand, LaidPiece, Layout
    from piecewright.cutting.rules import Turning

SCALE = 10_000
"""Clipper2 counts in whole numbers: a ten-thousandth of a millimetre each."""

TOUCHING_MM2 = 0.02
"""Area that rounding may show where two pieces 3 mm apart are grown by 1.5 mm each."""


@st.composite
def polygons(draw: st.DrawFn) -> list[tuple[float, float]]:
    """Star-shaped outlines of 4 to 12 corners, 6 to 50 mm from their middle."""
    radii = draw(st.lists(st.floats(6, 50), min_size=4, max_size=12))
    angles = np.arange(len(radii)) * 2 * np.pi / len(radii)
    return [(float(r * np.cos(a)), float(r * np.sin(a))) for r, a in zip(radii, angles, strict=True)]


@st.composite
def orders(draw: st.DrawFn) -> list[Demand]:
    """Up to five pieces from two fabrics, up to four copies of each."""
    shapes = draw(st.lists(polygons(), min_size=1, max_size=5))
    return [
        demand(
            shape,
            f"P{n}",
            copies=draw(st.integers(1, 4)),
            fabric=draw(st.sampled_from(["moss", "rust"])),
            face_down=draw(st.booleans()),
        )
        for n, shape in enumerate(shapes)
    ]


turnings = st.sampled_from(["free", "quarter", "half", "none"])
ways = st.sampled_from(["sheet", "patches"])


def overlap_mm2(one: FloatArray, other: FloatArray, grown_mm: float) -> float:
    """Area that two rings share after each is grown, by the second engine."""
    grown = []
    for ring in (one, other):
        offset = pyclipr.ClipperOffset()
        offset.scaleFactor = SCALE
        offset.addPath(ring, pyclipr.JoinType.Round, pyclipr.EndType.Polygon)
        grown.append(offset.execute(grown_mm))
    clip = pyclipr.Clipper()
    clip.scaleFactor = SCALE
    clip.addPaths(grown[0], pyclipr.Subject)
    clip.addPaths(grown[1], pyclipr.Clip)
    shared = clip.execute(pyclipr.Intersection, pyclipr.FillRule.NonZero)
    return sum(abs(_ring_area(np.asarray(ring))) for ring in shared)


def _ring_area(ring: FloatArray) -> float:
    x, y = ring[:, 0], ring[:, 1]
    return float(0.5 * (x @ np.roll(y, -1) - y @ np.roll(x, -1)))


def assert_apart(layout: Layout, gap_mm: float) -> None:
    for mat in layout.mats:
        rings = [flatten(piece.curve.exterior, 0.005) for piece in mat.laid]
        for one, other in combinations(rings, 2):
            assert overlap_mm2(one, other, gap_mm / 2) <= TOUCHING_MM2


@settings(max_examples=25)
@given(orders(), turnings, ways)
def test_every_copy_is_laid_once_with_its_area(order: list[Demand], turning: Turning, way: str) -> None:
    layout = lay(order, rules(turning=turning, way=way))
    laid = [piece for mat in layout.mats for piece in mat.laid]
    assert Counter(piece.piece for piece in laid) == {one.piece: one.copies for one in order}
    asked = sum(area(one.outline) * one.copies for one in order)
    assert sum(abs(curve_area(piece.curve.exterior)) for piece in laid) == pytest.approx(asked, rel=1e-6)
    assert sum(need.area_mm2 for need in layout.fabrics) == pytest.approx(asked, rel=1e-6)


@settings(max_examples=25)
@given(orders(), turnings, ways)
def test_the_second_engine_sees_no_overlap_and_nothing_nearer_than_the_gap(
    order: list[Demand], turning: Turning, way: str
) -> None:
    assert_apart(lay(order, rules(turning=turning, way=way, gap="3 mm")), 3.0)


@settings(max_examples=25)
@given(orders(), turnings, ways, st.floats(0, 20))
def test_pieces_stay_inside_the_margins(
    order: list[Demand], turning: Turning, way: str, margin: float
) -> None:
    mat = {"width": "305 mm", "height": "305 mm", "margin": f"{margin:.3f} mm"}
    layout = lay(order, rules(turning=turning, way=way, mat=mat))
    for piece in (piece for one in layout.mats for piece in one.laid):
        assert piece.curve.exterior.min() >= round(margin, 3) - 0.001
        assert piece.curve.exterior.max() <= 305 - round(margin, 3) + 0.001


@settings(max_examples=25)
@given(orders(), turnings, st.floats(0, 12), st.floats(1, 60))
def test_a_piece_lies_in_the_middle_of_a_patch_of_whole_ruler_steps_and_no_step_too_many(
    order: list[Demand], turning: Turning, margin: float, step: float
) -> None:
    margin, step = round(margin, 2), round(step, 2)
    patches = {"handling_margin": f"{margin} mm", "ruler_step": f"{step} mm"}
    layout = lay(order, rules(turning=turning, way="patches", patches=patches))
    for piece in (piece for mat in layout.mats for piece in mat.laid):
        assert piece.patch is not None
        ring = flatten(piece.curve.exterior, 0.005)
        before = ring.min(axis=0) - piece.patch[:2]
        behind = np.array(piece.patch[2:]) - before - np.ptp(ring, axis=0)
        assert before == pytest.approx(behind, abs=0.01)
        assert (before >= margin - 0.01).all()
        assert (before < margin + step / 2 + 0.01).all()
        steps = np.array(piece.patch[2:]) / step
        assert steps == pytest.approx(np.round(steps), abs=1e-3)


@settings(max_examples=4)
@given(orders(), turnings, ways, st.integers(0, 1))
def test_the_same_pieces_are_laid_the_same_again(
    order: list[Demand], turning: Turning, way: str, effort: int
) -> None:
    job = rules(turning=turning, way=way, effort=effort)
    assert poses(lay(order, job)) == poses(lay(order, job))


@settings(max_examples=15)
@given(orders(), turnings)
def test_mirrored_is_what_lies_face_down_and_nothing_else(order: list[Demand], turning: Turning) -> None:
    layout = lay(order, rules(turning=turning))
    face_down = {one.piece: one.face_down for one in order}
    orientation = {one.piece: np.sign(curve_area(one.outline.exterior)) for one in order}
    for piece in (piece for mat in layout.mats for piece in mat.laid):
        assert piece.mirrored == face_down[piece.piece]
        turned_over = np.sign(curve_area(piece.curve.exterior)) != orientation[piece.piece]
        assert turned_over == piece.mirrored


@settings(max_examples=6)
@given(orders(), turnings, st.booleans())
def test_nested_mats_hold_to_the_same(order: list[Demand], turning: Turning, turn_over: bool) -> None:
    job = rules(turning=turning, turn_over=turn_over, effort=1, gap="3 mm")
    layout = lay(order, job)
    boxes = lay(order, job.model_copy(update={"product": _by_boxes(turning)}))
    assert len(layout.mats) <= len(boxes.mats)
    assert not layout.findings
    assert_apart(layout, 3.0)


@pytest.mark.parametrize("in_holes", [False, True])
def test_a_full_mat_of_mixed_pieces_is_sound_by_the_second_engine(in_holes: bool) -> None:
    frame = demand(rectangle(140, 140), "F", holes=[rectangle(100, 100, 20, 20)], copies=2)
    pieces = [frame, *mixed(20, seed=11)]
    layout = lay(pieces, rules(effort=1, gap="3 mm", in_holes=in_holes))
    for mat in layout.mats:
        for one, other in combinations(mat.laid, 2):
            if not in_holes or "F" not in {one.piece, other.piece}:
                assert overlap_mm2(_ring(one), _ring(other), 1.5) <= TOUCHING_MM2
            else:
                assert _shared_with_frame(one, other) == pytest.approx(0.0, abs=TOUCHING_MM2)


def _by_boxes(turning: Turning) -> object:
    return rules(turning=turning, effort=0, gap="3 mm").product


def _ring(piece: LaidPiece) -> FloatArray:
    return flatten(piece.curve.exterior, 0.005)


def _shared_with_frame(one: LaidPiece, other: LaidPiece) -> float:
    """Overlap of two pieces, holes taken off, by the second engine."""
    clip = pyclipr.Clipper()
    clip.scaleFactor = SCALE
    for kind, piece in ((pyclipr.Subject, one), (pyclipr.Clip, other)):
        clip.addPaths([_ring(piece), *(flatten(hole, 0.005) for hole in piece.curve.holes)], kind)
    shared = clip.execute(pyclipr.Intersection, pyclipr.FillRule.EvenOdd)
    return sum(_ring_area(np.asarray(ring)) for ring in shared)
