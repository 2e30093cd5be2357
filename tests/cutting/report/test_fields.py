"""Every field of the report says what the stages found: the herb bed of the job sheet's tests, read back."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from piecewright.cutting.findings import Finding
from piecewright.cutting.geometry import frozen
from piecewright.cutting.mats import FabricNeed
from piecewright.cutting.outlines import EdgeCheck, Twin
from piecewright.cutting.report import build_report
from piecewright.cutting.report.model import (
    EdgeEntry,
    FabricEntry,
    FileEntry,
    LaidEntry,
    SourceEntry,
    TwinEntry,
)
from tests.cutting.sheet import herbs
from tests.cutting.sheet.case import Case, herb_bed, job, nothing_to_cut, order, rules_of, stages_of


def test_a_job_says_who_and_what_it_is() -> None:
    report = herb_bed().report
    assert (report.job, report.status, report.product) == ("7f3a", "cut", "Table runner")
    assert nothing_to_cut().report.status == "nothing-to-cut"


def test_a_single_design_is_the_source_and_several_are_sources() -> None:
    # leaves of 25 mm half length at x = -45 and 45: their zigzag of 3.6 mm reaches 1.8 mm farther
    single = herb_bed().report.source
    stitches = sum(len(block.points) for block in herbs.design("x").blocks)
    x0, y0, x1, y1 = herbs.design("x").bounds_mm
    assert single == SourceEntry(
        name="herb bed.dst",
        sha256="0" * 64,
        format="DST",
        stitches=stitches,
        width_mm=round(x1 - x0, 4),
        height_mm=round(y1 - y0, 4),
        copies=1,
    )
    assert single.width_mm == pytest.approx(2 * (45 + 25 + 1.8), abs=0.5)
    assert herb_bed().report.sources is None
    assert order().report.source is None
    assert [source.name for source in order().report.sources or []] == ["herb bed.dst", "second bed.dst"]


def test_a_pass_comes_with_its_stitches_and_measures() -> None:
    placement, tack = herb_bed().report.passes[:2]
    assert (placement.design, placement.block, placement.role, placement.stitch) == (
        1,
        1,
        "placement",
        "single run",
    )
    assert (placement.piece, placement.confidence) == (["A", "B"], 0.95)
    assert placement.evidence == ["sewn again after a halt"]
    assert placement.stitches == len(herbs.design("x").blocks[0].points)
    assert (placement.width_mm, placement.spacing_mm, placement.stitch_length_mm) == (0.0, 0.0, 2.5)
    assert (tack.role, tack.stitch, tack.width_mm, tack.spacing_mm) == ("tack-down", "zigzag", 2.0, 0.4)


def test_a_pass_of_several_runs_is_measured_by_its_longest() -> None:
    one = stages_of("herb bed.dst")
    first = one.understanding.passes[1]
    short = replace(first.runs[0], points=first.runs[0].points[:5], width_mm=9.0, spacing_mm=9.0)
    changed = replace(first, runs=(short, *first.runs))
    passes = (one.understanding.passes[0], changed, *one.understanding.passes[2:])
    report = job([replace(one, understanding=replace(one.understanding, passes=passes))], rules_of()).report
    assert (report.passes[1].width_mm, report.passes[1].spacing_mm) == (2.0, 0.4)
    assert report.passes[1].stitches == 5 + sum(len(run.points) for run in first.runs)


def test_a_piece_comes_with_line_cut_and_edge() -> None:
    a, b, c, d = herb_bed().report.pieces
    assert [(p.id, p.kind, p.design, p.block) for p in (a, b, c, d)] == [
        ("A", "applique", 1, 1),
        ("B", "applique", 1, 1),
        ("C", "applique", 1, 3),
        ("D", "applique", 1, 7),
    ]
    assert (a.confidence, d.confidence) == (0.95, 0.45)
    assert a.evidence == ["sewn again after a halt"]
    assert a.outline.exterior == [tuple(np.round(point, 4)) for point in herbs.LEAF_A.exterior.tolist()]
    assert c.cut is not None
    assert len(c.outline.holes) == len(c.cut.holes) == 1
    assert math.dist((0, 25), c.cut.exterior[0]) == pytest.approx(22 + 1.5, abs=0.01)
    assert math.dist((0, 25), c.cut.holes[0][0]) == pytest.approx(8 - 1.5, abs=0.01)
    assert c.area_mm2 == pytest.approx(math.pi * (23.5**2 - 6.5**2), rel=2e-3)
    assert (a.offset_mm, a.copies, c.copies) == (1.5, 2, 2)


def test_what_is_not_cut_has_no_cut_no_offset_and_no_edge() -> None:
    bud = herb_bed().report.pieces[3]
    assert (bud.cut, bud.offset_mm, bud.area_mm2, bud.edge, bud.twin, bud.twin_of) == (None,) * 6
    assert bud.copies == 0


def test_a_twin_names_its_leader_and_how_it_lies() -> None:
    a, b, *_ = herb_bed().report.pieces
    assert (a.twin_of, a.twin) == (None, None)
    assert (b.twin_of, b.twin) == ("A", TwinEntry(turned_deg=0.0, mirrored=True))
    assert [piece.twin_of for piece in order().report.pieces] == [
        None,
        "1A",
        None,
        None,
        None,
        "2A",
        None,
        None,
    ]


def written(name: str, mat: int | None = 1) -> FileEntry:
    return FileEntry(name=name, sha256="1" * 64, kind=name.rpartition(".")[2], mat=mat)


def with_outline(case: Case, **changes: object) -> Case:
    """The same job with a change to the first outline."""
    one = case.stages[0]
    first, *rest = one.outlines.outlines
    outlines = replace(one.outlines, outlines=(replace(first, **changes), *rest))  # type: ignore[arg-type]  # any field
    return job([replace(one, outlines=outlines)], case.rules)


def test_every_figure_of_the_edge_check_is_given_to_a_ten_thousandth_of_a_millimetre() -> None:
    edge = EdgeCheck(
        least_cover_mm=-0.123456,
        median_cover_mm=0.654321,
        uncovered_share=0.0123456,
        least_reach_mm=1.2345678,
        hidden_share=0.2500001,
        worst_place=(3.00001, -4.56789),
    )
    stretch = frozen([(1.00001, 2.0), (3.0, 4.123456)])
    entry = with_outline(herb_bed(), edge=edge, hidden=(stretch,)).report.pieces[0].edge
    assert entry == EdgeEntry(
        least_cover_mm=-0.1235,
        median_cover_mm=0.6543,
        uncovered_share=0.0123,
        least_reach_mm=1.2346,
        hidden_share=0.25,
        worst_place=(3.0, -4.5679),
        hidden=[[(1.0, 2.0), (3.0, 4.1235)]],
    )


def test_what_the_stitches_do_not_say_is_null() -> None:
    entry = with_outline(herb_bed(), edge=EdgeCheck()).report.pieces[0].edge
    assert entry == EdgeEntry(
        least_cover_mm=None,
        median_cover_mm=None,
        uncovered_share=None,
        least_reach_mm=None,
        hidden_share=0.0,
        worst_place=None,
    )


def test_a_turn_is_rounded_and_never_minus_zero() -> None:
    twin = (
        with_outline(herb_bed(), twin=Twin(of="C", turned_deg=-0.00001, mirrored=False)).report.pieces[0].twin
    )
    assert twin is not None
    assert math.copysign(1.0, twin.turned_deg) == 1.0


def test_a_mat_comes_with_its_files_and_what_is_laid_on_it() -> None:
    case = herb_bed()
    files = [written("m1.svg"), written("m1-pen.svg"), written("m2.svg", 2)]
    first, second = build_report(case.stages, [], case.layout, case.rules, job="j", files=files).mats
    assert (first.file, first.files) == ("m1.svg", ["m1.svg", "m1-pen.svg"])
    assert (first.mat, first.fabric) == ("plain mat", "moss")
    assert (second.file, second.fabric) == ("m2.svg", "rust")
    assert (first.width_mm, first.height_mm, first.fill_ratio) == (305.0, 305.0, 0.1)
    assert (first.cut_mm, first.travel_mm, first.seconds) == (500.0, 200.0, 130.0)
    assert [laid.id for laid in first.laid] == ["A-1", "A-2", "B-1", "B-2"]


def test_a_mat_without_a_file_names_none() -> None:
    report = build_report(
        herb_bed().stages,
        [],
        herb_bed().layout,
        herb_bed().rules,
        job="j",
        files=[written("a.svg"), written("a.plt"), written("s.html", None)],
    )
    assert [(mat.file, mat.files) for mat in report.mats] == [("a.svg", ["a.svg", "a.plt"]), ("", [])]
    assert [file.name for file in report.files] == ["a.svg", "a.plt", "s.html"]


def test_a_laid_piece_comes_with_its_place_and_patch() -> None:
    laid = herb_bed().layout.mats[0].laid[1]
    given = replace(
        laid, x_mm=12.345678, y_mm=-1.00004, turned_deg=90.0, mirrored=True, patch=(1.23456, 2.0, 60.0, 70.0)
    )
    mats = (replace(herb_bed().layout.mats[0], laid=(given, laid)),)
    report = build_report(
        herb_bed().stages, [], replace(herb_bed().layout, mats=mats), herb_bed().rules, job="j", files=[]
    )
    assert report.mats[0].laid[0] == LaidEntry(
        id="A-2",
        piece="A",
        x_mm=12.3457,
        y_mm=-1.0,
        turned_deg=90.0,
        mirrored=True,
        fabric="moss",
        patch=(1.2346, 2.0, 60.0, 70.0),
    )
    assert report.mats[0].laid[1].patch is None


def test_a_fabric_comes_with_its_label_and_rectangles() -> None:
    need = FabricNeed(
        fabric="moss", width_mm=250.00001, height_mm=120.0, count=3, area_mm2=4000.12346, bolt_mm=600.00004
    )
    plain = replace(need, fabric="straw", bolt_mm=None, sheets=2)
    layout = replace(herb_bed().layout, fabrics=(need, plain))
    moss, straw = build_report(herb_bed().stages, [], layout, herb_bed().rules, job="j", files=[]).fabrics
    assert moss == FabricEntry(
        fabric="moss",
        label="Moss linen",
        width_mm=250.0,
        height_mm=120.0,
        count=3,
        area_mm2=4000.1235,
        bolt_mm=600.0,
    )
    assert (straw.label, straw.bolt_mm, straw.sheets) == ("straw", None, 2)


def test_findings_come_in_the_order_of_the_stages_with_the_number_of_their_design() -> None:
    assert [(one.code, one.piece, one.design) for one in order().report.findings] == [
        ("unsure-piece", "1D", 1),
        ("edge-shows", "1C", 1),
        ("unsure-piece", "2D", 2),
        ("edge-shows", "2C", 2),
    ]
    place = order().report.findings[1].place
    assert place == (-22.0, 25.0)
    assert order().report.findings[0].message.startswith("Its line is sewn only once")
    assert order().report.findings[0].advice.startswith("Name its block")


def test_findings_of_the_layout_come_last_and_belong_to_no_design() -> None:
    case = herb_bed()
    doubt = Finding(code="larger-than-mat", says="{Piece} is large.", advice="Use another mat.", piece="2A")
    layout = replace(case.layout, findings=(doubt, replace(doubt, piece=None)))
    *_, last, nameless = build_report(case.stages, [], layout, case.rules, job="j", files=[]).findings
    assert (last.code, last.message, last.piece, last.design) == (
        "larger-than-mat",
        "Piece 2A is large.",
        "2A",
        None,
    )
    assert nameless.piece is None


def test_a_piece_without_a_placement_line_is_of_no_block_and_a_pass_without_runs_of_no_size() -> None:
    one = stages_of("herb bed.dst")
    first, *pieces = one.understanding.pieces
    empty, *passes = one.understanding.passes
    understood = replace(
        one.understanding,
        pieces=(replace(first, placement=()), *pieces),
        passes=(replace(empty, runs=()), *passes),
    )
    report = job([replace(one, understanding=understood)], rules_of()).report
    assert report.pieces[0].block == 0
    measured = report.passes[0]
    assert (measured.stitches, measured.width_mm, measured.spacing_mm, measured.stitch_length_mm) == (
        0,
        0.0,
        0.0,
        0.0,
    )
