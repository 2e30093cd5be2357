"""Turned, mirrored and moved designs give such pieces; nonsense ends in bounded time."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from piecewright.cutting import geometry as geo
from piecewright.cutting.design import Block, Design, Thread
from piecewright.cutting.passes import find_runs
from piecewright.cutting.pieces import find_pieces
from piecewright.cutting.rules import PassRules
from tests.cutting import sewing as sew
from tests.overlap import iou

if TYPE_CHECKING:
    from piecewright.cutting.geometry import FloatArray

OUTER, INNER, BESIDE = sew.star(5, 25.0, 11.0), sew.circle(5.0), sew.circle(14.0, (55.0, 3.0))


def _apart(*parts: FloatArray) -> list[FloatArray]:
    return [each for part in parts for each in (part, sew.CUT)]


DESIGN = sew.design(
    _apart(sew.run(OUTER), sew.run(INNER, 1.5), sew.run(sew.part(BESIDE, 2.0, sew.length(BESIDE) - 4.0))),
    _apart(sew.zigzag(OUTER), sew.run(INNER, 1.5), sew.run(BESIDE)),
    _apart(sew.satin(OUTER), sew.satin(INNER, 2.0), sew.satin(BESIDE)),
    [sew.fill(-30, 40, 40, 15), sew.CUT, sew.bean(sew.circle(9.0, (60.0, 45.0)))],
)
TRUTH = find_pieces(DESIGN, find_runs(DESIGN), PassRules())


def moved(design: Design, turned_deg: float, mirrored: bool, x: float, y: float) -> Design:
    """The design turned, turned over and moved, rounded as a file is."""
    blocks = []
    for block in design.blocks:
        points = np.round(geo.transformed_points(block.points, turned_deg, mirrored, x, y), 1)
        points.setflags(write=False)
        blocks.append(replace(block, points=points))
    return replace(design, blocks=tuple(blocks))


@settings(max_examples=25)
@given(st.floats(0, 359.9), st.booleans(), st.floats(-150, 150), st.floats(-150, 150))
def test_a_turned_mirrored_moved_design_gives_such_pieces(
    turn: float, mirrored: bool, x: float, y: float
) -> None:
    design = moved(DESIGN, turn, mirrored, x, y)
    found = find_pieces(design, find_runs(design), PassRules())
    assert [piece.cut for piece in found.pieces] == [piece.cut for piece in TRUTH.pieces]
    for piece, true in zip(found.pieces, TRUTH.pieces, strict=True):
        assert iou(piece.line, geo.transformed(true.line, turn, mirrored, x, y)) > 0.97
        assert abs(piece.confidence - true.confidence) < 0.1


far = st.floats(-1500, 1500).map(lambda value: round(value, 1))
"""The widest field that is read is 3 m."""
near = st.floats(-6, 6).map(lambda value: round(value, 1))


@st.composite
def nonsense(draw: st.DrawFn) -> Design:
    """One point, many halts, all jumps, metres long, scribbles, the same place again and again."""
    place = draw(st.sampled_from([far, near, st.just(0.0), st.sampled_from([0.0, 3.0, 6.0])]))
    blocks = []
    for number in range(1, draw(st.sampled_from([1, 2, 5, 300])) + 1):
        size = draw(st.integers(0, 6 if number > 5 else 120))
        points = np.array(
            draw(st.lists(st.tuples(place, place), min_size=size, max_size=size)), dtype=np.float64
        )
        flags = np.array(draw(st.lists(st.booleans(), min_size=size, max_size=size)), dtype=np.bool_)
        travel = np.ones(size, dtype=np.bool_) if draw(st.booleans()) else flags
        blocks.append(
            Block(
                number=number,
                thread=Thread(),
                points=points.reshape(-1, 2),
                cut_before=flags,
                travel_before=travel,
            )
        )
    return Design(name="nonsense.dst", format="DST", blocks=tuple(blocks))


@settings(max_examples=40)
@given(nonsense())
def test_nonsense_is_understood_as_far_as_it_goes(design: Design) -> None:
    runs = find_runs(design)
    found = find_pieces(design, runs, PassRules())
    assert sum(len(run.points) for run in runs) == design.stitches
    assert sum(len(one.runs) for one in found.passes) == len(runs)
    for piece in found.pieces:
        assert np.isfinite(piece.line.exterior).all()
        assert 0.0 <= piece.confidence <= 1.0


def test_a_long_scribble_and_a_ring_sewn_a_hundred_times_end() -> None:
    rng = np.random.default_rng(7)
    scribble = np.cumsum(rng.normal(0, 2.0, (8_000, 2)), axis=0) % 40.0
    laps = np.vstack([sew.run(OUTER)] * 100)
    design = sew.design(scribble, laps, laps)
    found = find_pieces(design, find_runs(design), PassRules())
    assert sum(len(run.points) for one in found.passes for run in one.runs) == design.stitches
