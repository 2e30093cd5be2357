"""How the raw edge lies between tack-down and cover, for every kind of cover."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest

from piecewright.cutting.outlines import CutOutline, Outlines, cut_outlines
from piecewright.cutting.passes import Role, Stitch
from tests.cutting import sewing
from tests.cutting.outlines.pieces_by_hand import Bench, Points, rules

if TYPE_CHECKING:
    from piecewright.cutting.geometry import FloatArray

CIRCLE = sewing.circle(25)


def outlined(bench: Bench, **options: object) -> Outlines:
    return cut_outlines(bench.understanding(), rules(**options))


def one(
    cover: Points | None = None,
    tack: Points | None = None,
    *,
    curve: FloatArray = CIRCLE,
    spacing_mm: float = 0.4,
    cover_stitch: Stitch = Stitch.SATIN,
    tack_stitch: Stitch = Stitch.SINGLE_RUN,
    **options: object,
) -> tuple[CutOutline, set[str]]:
    bench = Bench()
    bench.add(
        sewing.run(curve),
        cover=cover,
        tack=tack,
        cover_stitch=cover_stitch,
        tack_stitch=tack_stitch,
        spacing_mm=spacing_mm,
    )
    made = outlined(bench, **options)
    return made.outlines[0], {finding.code for finding in made.findings}


@pytest.mark.parametrize(
    ("width", "stitch", "spacing"),
    [(4.0, Stitch.SATIN, 0.4), (4.0, Stitch.ZIGZAG, 2.0), (9.0, Stitch.SATIN, 0.5)],
)
def test_a_band_on_the_line_covers_by_half_its_width_less_the_offset(
    width: float, stitch: Stitch, spacing: float
) -> None:
    outline, findings = one(sewing.satin(CIRCLE, width, spacing), cover_stitch=stitch, spacing_mm=spacing)
    assert outline.edge.median_cover_mm == pytest.approx(width / 2 - 1.5, abs=0.08)
    assert outline.edge.least_cover_mm == pytest.approx(width / 2 - 1.5, abs=0.15)
    assert outline.edge.uncovered_share == 0
    assert findings == set()


def test_wide_satin_of_split_stitches_is_one_band() -> None:
    outline, _ = one(sewing.split_satin(CIRCLE, 9.0))
    assert outline.edge.median_cover_mm == pytest.approx(3.0, abs=0.1)
    assert outline.edge.uncovered_share == 0


def test_blanket_stitch_reaches_from_its_edge_to_its_prongs() -> None:
    #  the edge of the blanket runs 0.5 mm outside the raw edge
    outline, findings = one(sewing.blanket(sewing.circle(27), 3.0), cover_stitch=Stitch.BLANKET, curve=CIRCLE)
    assert outline.edge.median_cover_mm == pytest.approx(0.5, abs=0.1)
    assert outline.edge.uncovered_share == 0
    assert findings == set()


def test_a_cover_that_is_too_narrow_shows_the_edge_and_says_where() -> None:
    outline, findings = one(sewing.satin(CIRCLE, 2.0))
    assert outline.edge.least_cover_mm == pytest.approx(-0.5, abs=0.1)
    assert outline.edge.uncovered_share == 1.0
    assert findings == {"edge-shows"}
    assert outline.edge.worst_place is not None
    assert np.hypot(*outline.edge.worst_place) == pytest.approx(26.5, abs=0.1)


def test_a_cover_round_half_the_piece_leaves_the_other_half_bare() -> None:
    half = sewing.part(CIRCLE, 0, sewing.length(CIRCLE) / 2)
    outline, findings = one(sewing.satin(half, 4.0))
    assert outline.edge.uncovered_share == pytest.approx(0.5, abs=0.03)
    assert outline.edge.least_cover_mm == pytest.approx(-1.5, abs=0.05)
    assert findings == {"edge-shows"}


def test_a_cover_of_two_runs_is_one_cover() -> None:
    length = sewing.length(CIRCLE)
    halves = [sewing.satin(sewing.part(CIRCLE, k * length / 2, (k + 1) * length / 2), 4.0) for k in (0, 1)]
    outline, findings = one(halves)
    assert outline.edge.uncovered_share == 0
    assert findings == set()


def test_without_a_cover_nothing_is_said_of_it() -> None:
    outline, findings = one(tack=sewing.run(sewing.circle(23)))
    assert outline.edge.least_cover_mm is None
    assert outline.edge.uncovered_share is None
    assert outline.edge.worst_place is None
    assert outline.edge.least_reach_mm == pytest.approx(3.5, abs=0.1)
    assert findings == set()


def test_an_edge_that_is_hardly_covered_is_a_finding() -> None:
    assert one(sewing.satin(CIRCLE, 3.2))[1] == {"edge-close"}


@pytest.mark.parametrize(
    ("radius", "reach", "findings"),
    [(25.0, 1.5, set()), (26.4, 0.1, {"reach-short"}), (28.0, -1.5, {"reach-short"})],
)
def test_reach_is_how_far_fabric_lies_beyond_a_running_tack_down(
    radius: float, reach: float, findings: set[str]
) -> None:
    outline, said = one(tack=sewing.run(sewing.circle(radius)))
    assert outline.edge.least_reach_mm == pytest.approx(reach, abs=0.12)
    assert said == findings


def test_a_zigzag_tack_down_holds_with_its_inner_needle_points() -> None:
    outline, findings = one(tack=sewing.zigzag(sewing.circle(26), 3.0), tack_stitch=Stitch.ZIGZAG)
    assert outline.edge.least_reach_mm == pytest.approx(26.5 - 24.5, abs=0.15)
    assert findings == set()


def two_overlapping(begin: float = 0.19, cover: Points | None = None) -> Outlines:
    r"""A disc, and a later square over its right third.

     ___
    /  +---+
    |  |   |     what is under the square needs no cover of its own
    \__+---+
    """
    bench = Bench()
    length = sewing.length(CIRCLE)
    left = sewing.part(CIRCLE, begin * length, (1 - begin) * length)
    bench.add(sewing.run(CIRCLE), cover=sewing.satin(left, 4.0))
    bench.add(sewing.run(sewing.rectangle(8, -40, 40, 80)), cover=cover)
    return outlined(bench)


def test_an_edge_under_a_later_piece_is_hidden_and_not_bare() -> None:
    made = two_overlapping()
    outline = made.outlines[0]
    assert outline.edge.uncovered_share == 0
    assert outline.edge.hidden_share == pytest.approx(np.arccos(8 / 26.5) / np.pi, abs=0.01)
    (stretch,) = outline.hidden
    assert stretch[:, 0].min() > 7.5
    assert np.abs(np.hypot(*stretch.T) - 26.5).max() < 0.15
    assert np.hypot(*np.diff(stretch, axis=0).T).max() < 1.1
    assert {finding.code for finding in made.findings} == set()


def test_the_later_piece_itself_is_not_hidden() -> None:
    assert two_overlapping().outlines[1].edge.hidden_share == 0
    assert two_overlapping().outlines[1].hidden == ()


def test_the_cover_of_a_later_piece_hides_as_well() -> None:
    cover = sewing.satin(sewing.rectangle(8, -40, 40, 80), 4.0)
    without, with_it = two_overlapping(0.208), two_overlapping(0.208, cover=cover)
    assert with_it.outlines[0].edge.hidden_share > without.outlines[0].edge.hidden_share + 0.01


def test_an_edge_all_hidden_has_no_cover_to_judge() -> None:
    bench = Bench()
    bench.add(sewing.run(sewing.circle(10)), cover=sewing.satin(sewing.circle(10), 1.0))
    bench.add(sewing.run(CIRCLE), cover=sewing.satin(CIRCLE, 4.0))
    edge = outlined(bench).outlines[0].edge
    assert edge.hidden_share == 1.0
    assert edge.least_cover_mm is None


def test_one_tack_down_of_two_pieces_is_told_apart() -> None:
    #  two discs side by side, held by one pass; the needle points of the other disc are no miss
    bench = Bench()
    curves = [sewing.circle(10, (x, 0.0)) for x in (0.0, 24.0)]
    for curve in curves:
        bench.add(sewing.run(curve))
    number = bench.sew(
        [sewing.run(curve) for curve in curves],
        role=bench.passes[0].role,
        stitch=Stitch.SINGLE_RUN,
        pieces=("A", "B"),
    )
    bench.hold_all(number)
    reaches = [outline.edge.least_reach_mm for outline in outlined(bench).outlines]
    assert reaches == pytest.approx([1.5, 1.5], abs=0.1)


def test_the_way_of_a_tack_down_to_the_next_piece_holds_nothing() -> None:
    way = np.array([(24.0, 0.0), (40.0, 0.0), (60.0, 0.0)])
    outline, findings = one(tack=np.vstack([sewing.run(sewing.circle(24)), way]))
    assert outline.edge.least_reach_mm == pytest.approx(2.5, abs=0.15)
    assert findings == set()


def batting(base_offset: str) -> Outlines:
    """A base layer held by a zigzag 3 mm wide, and a cloth tacked over it 1 mm outside its line."""
    line = sewing.circle(45)
    bench = Bench()
    piece = bench.add(sewing.run(line), tack=sewing.zigzag(line, 3.0), tack_stitch=Stitch.ZIGZAG, kind="base")
    outside = sewing.run(sewing.circle(46))
    cloth = bench.sew(outside, Role.TACK_DOWN, Stitch.SINGLE_RUN, (piece.id,))
    bench.pieces[0] = replace(piece, tack_down=(*piece.tack_down, cloth))
    return outlined(bench, base_offset=base_offset)


def test_a_base_layer_is_held_by_the_pass_that_catches_it_best() -> None:
    made = batting("-1 mm")
    assert made.outlines[0].edge.least_reach_mm == pytest.approx(0.5, abs=0.15)
    assert made.findings == ()


def test_a_base_layer_that_its_own_tack_down_misses_is_a_finding() -> None:
    made = batting("-2 mm")
    assert made.outlines[0].offset_mm == -2.0
    assert [finding.code for finding in made.findings] == ["reach-short"]
