"""Cutting list, fabric, scale, edges and mats of the herb bed."""

from __future__ import annotations

from dataclasses import replace
from typing import get_args

from piecewright.cutting.report import FileEntry, TwinEntry
from piecewright.cutting.rules import Fabric, PassRules, Writable
from piecewright.cutting.sheet import cuttinglist, edges, files, matpicture, words
from tests.cutting.sheet.case import FILE_NAMES, Case, herb_bed, job, order, rules_of, stages_of


def rows(case: Case) -> list[cuttinglist.Row]:
    looks = matpicture.looks(case.layout, case.rules)
    return cuttinglist.rows(case.report, case.layout, case.stages, looks, case.rules)


def without_edges(case: Case, **edge: float | None) -> list[edges.Edge]:
    """The edge table with the first piece's measures replaced."""
    first, *others = case.report.pieces
    assert first.edge is not None
    changed = first.model_copy(update={"edge": first.edge.model_copy(update=edge)})
    return edges.rows(case.report.model_copy(update={"pieces": [changed, *others]}), case.rules)


def test_twins_are_one_row_that_says_which_placement_takes_which_and_that_mirrored_ones_differ() -> None:
    first = rows(herb_bed())[0]
    assert (first.piece, first.count) == ("A", 4)
    assert [(look.label, number) for look, number in first.fabrics] == [("Moss linen", 4)]
    assert first.notes == (
        "2 for A and 2 for B (mirrored).",
        "Keep mirrored ones apart: the right side of the fabric is up on all of them.",
    )


def test_a_shape_cut_from_several_fabrics_says_how_many_from_each() -> None:
    row = rows(herb_bed(rules=rules_of(in_turn=True)))[1]
    assert (row.piece, row.count) == ("C", 2)
    assert [(look.label, number) for look, number in row.fabrics] == [("Moss linen", 1), ("Rust cotton", 1)]


def test_sizes_are_those_of_the_cut_piece_in_the_shops_unit() -> None:
    assert rows(herb_bed())[1].size == "47 × 47 mm"  # a disc of radius 22 + 1.5 mm
    assert rows(herb_bed(rules=rules_of(show="in")))[1].size == "1.85 × 1.85 in"  # 47 / 25.4


def test_the_count_of_all_rows_is_the_count_of_all_laid_pieces() -> None:
    for case in (herb_bed(), order()):
        assert sum(row.count for row in rows(case)) == sum(len(mat.laid) for mat in case.layout.mats)


def test_patches_are_listed_by_size_with_each_piece() -> None:
    case = job([stages_of("patch.jef")], rules_of(), patches=True)
    assert [row.patch for row in rows(case)] == ["60 × 60 mm", "60 × 60 mm"]
    looks = matpicture.looks(case.layout, case.rules)
    needed = cuttinglist.needs(case.report, looks, case.rules)
    assert [(need.look.label, need.size, need.count) for need in needed] == [
        ("Moss linen", "60 × 60 mm", 4),
        ("Rust cotton", "60 × 60 mm", 2),
    ]


def test_what_a_fabric_takes_of_bolt_or_sheets_is_said_in_the_shops_unit() -> None:
    case = herb_bed()
    [first, *_] = case.report.fabrics
    looks = matpicture.looks(case.layout, case.rules)

    def said(show: str, fabric: dict[str, str], **takes: float) -> list[str]:
        report = case.report.model_copy(update={"fabrics": [first.model_copy(update=takes)]})
        rules = rules_of(show=show)
        known = {first.fabric: Fabric.model_validate(fabric)}
        rules = rules.model_copy(update={"fabrics": known})
        return [text for _, text in cuttinglist.stock(report, looks, rules)]

    assert said("mm", {"width": "1100 mm"}, bolt_mm=600.0) == ["600 mm of a bolt 1100 mm wide"]
    assert said("in", {"width": "44 in"}, bolt_mm=254.0) == ["10 in of a bolt 44 in wide"]
    assert said("mm", {"width": "610 mm", "height": "305 mm"}, sheets=1) == ["1 sheet of 610 × 305 mm"]
    assert said("mm", {"width": "610 mm", "height": "305 mm"}, sheets=3) == ["3 sheets of 610 × 305 mm"]
    assert said("mm", {}) == []


def test_a_piece_below_the_confidence_of_the_rules_is_named_with_both_figures() -> None:
    case = herb_bed()
    assert cuttinglist.left_out(case.report, case.rules) == [
        "D was not cut: it is a piece with 45 % confidence, and the rules ask for 60 %."
    ]


def test_pieces_that_the_rules_leave_uncut_or_no_mat_can_hold_are_named() -> None:
    case = herb_bed()
    *others, last = case.report.pieces
    base = last.model_copy(update={"kind": "base", "confidence": 0.9})
    report = case.report.model_copy(update={"pieces": [*others, base], "mats": case.report.mats[:1]})
    assert cuttinglist.left_out(report, case.rules) == [
        "C lies on no mat; the points at the top say why.",
        "D is a base layer, such as batting, which the rules of this product leave uncut.",
    ]


def test_the_scale_is_checked_on_the_largest_piece_of_the_first_mat() -> None:
    case = herb_bed()
    check = cuttinglist.scale_check(case.report, case.layout, case.rules)
    assert check is not None
    assert (check.file, check.mat, check.piece) == (f"{FILE_NAMES}1.svg", "305 × 305 mm", "A")
    # Four leaves, all as wide and high as A, stand 60 mm apart in one row of the grid.
    wide_mm = float(rows(case)[0].size.split(" × ", maxsplit=1)[0])
    assert check.width == words.both(wide_mm, "mm")
    assert check.together == f"{words.both(180 + wide_mm, 'mm')} across and {check.height} down"


def test_edges_are_told_in_words_where_a_number_would_mislead() -> None:
    case = herb_bed()
    assert without_edges(case)[0] == edges.Edge(
        piece="A", offset="1.5 mm", cover="0.6 mm; at the least 0.4 mm", reach="0.9 mm", verdict="good"
    )
    bare = without_edges(
        case, least_cover_mm=-0.2, uncovered_share=0.124, hidden_share=0.004, least_reach_mm=-0.3
    )
    assert bare[0].cover == (
        "0.6 mm; at the least sticks out by 0.2 mm; 12 % has no cover; under 1 % lies under another piece"
    )
    assert bare[0].reach == "falls short by 0.3 mm"
    flush = without_edges(case, median_cover_mm=0.047, least_cover_mm=-0.001)
    assert flush[0].cover == "0.05 mm; at the least 0 mm"
    raw = without_edges(
        case, median_cover_mm=None, least_cover_mm=None, uncovered_share=None, least_reach_mm=None
    )
    assert (raw[0].cover, raw[0].reach) == ("no cover", "no tack-down along the edge")


def test_fabrics_differ_in_pattern_as_well_as_in_colour() -> None:
    case = herb_bed()
    looks = matpicture.looks(case.layout, case.rules)
    assert {look.label for look in looks.values()} == {"Moss linen", "Rust cotton"}
    assert len({look.pattern for look in looks.values()}) == len(looks)
    assert looks["moss"].colour == "#9db58c"


def test_a_fabric_colour_that_is_none_is_replaced_and_never_reaches_the_page() -> None:
    case = herb_bed()
    moss = case.rules.fabrics["moss"].model_copy(update={"colour": 'red" onload="x'})
    rules = case.rules.model_copy(update={"fabrics": {**case.rules.fabrics, "moss": moss}})
    assert matpicture.looks(case.layout, rules)["moss"].colour.startswith("#")


def test_pieces_with_web_on_the_back_are_mirrored_without_a_star() -> None:
    case = herb_bed(rules=rules_of(fusible_back=True))
    over = matpicture.turned_over(case.report, case.rules)
    assert not over
    assert "the fabric where its dashed outline is, web side up" in matpicture.hint(
        over, case.rules, patches=False
    )


def test_a_piece_laid_on_its_other_side_has_a_star_and_the_star_is_explained() -> None:
    case = herb_bed()
    mat = case.report.mats[0]
    laid = [mat.laid[0].model_copy(update={"mirrored": True}), *mat.laid[1:]]
    report = case.report.model_copy(
        update={"mats": [mat.model_copy(update={"laid": laid}), *case.report.mats[1:]]}
    )
    over = matpicture.turned_over(report, case.rules)
    looks = matpicture.looks(case.layout, case.rules)
    view = matpicture.mat_view(case.layout.mats[0], report, looks, over, case.rules)
    assert [one.letter for one in view.laid] == ["A*", "A", "B", "B"]
    assert "A star marks" in matpicture.hint(over, case.rules, patches=True)


def test_letters_stand_inside_their_pieces() -> None:
    case = herb_bed()
    looks = matpicture.looks(case.layout, case.rules)
    for mat in case.layout.mats:
        view = matpicture.mat_view(mat, case.report, looks, frozenset(), case.rules)
        for laid, one in zip(mat.laid, view.laid, strict=True):
            x0, y0 = laid.curve.exterior[:, 0].min(axis=0)
            x1, y1 = laid.curve.exterior[:, 0].max(axis=0)
            assert x0 < one.x < x1
            assert y0 < one.baseline < y1


def test_a_mat_is_told_in_words_for_those_who_cannot_see_it() -> None:
    case = herb_bed()
    looks = matpicture.looks(case.layout, case.rules)
    view = matpicture.mat_view(case.layout.mats[0], case.report, looks, frozenset(), case.rules)
    assert view.in_words == "Mat 1, 305 × 305 mm, with 2 × A and 2 × B"
    assert replace(view, in_words="").pieces == "4 pieces"


def test_base_layers_have_no_edge_to_hide() -> None:
    case = herb_bed()
    *others, last = case.report.pieces
    base = case.report.pieces[2].model_copy(update={"kind": "base"})
    report = case.report.model_copy(update={"pieces": [*others[:2], base, last]})
    assert [edge.piece for edge in edges.rows(report, case.rules)] == ["A", "B"]


def with_pieces(case: Case, changes: dict[str, dict[str, object]]) -> Case:
    """The job with some pieces of its report changed, by letter."""
    pieces = [piece.model_copy(update=changes.get(piece.id, {})) for piece in case.report.pieces]
    return replace(case, report=case.report.model_copy(update={"pieces": pieces}))


def test_a_base_layer_is_named_as_one_and_needs_no_placement_of_its_own() -> None:
    assert rows(with_pieces(herb_bed(), {"C": {"kind": "base"}}))[1].notes == ("Base layer.",)
    assert rows(herb_bed())[1].notes == ()


def test_twins_that_are_only_turned_are_not_called_mirrored() -> None:
    case = herb_bed()
    turned = TwinEntry(turned_deg=90.0, mirrored=False)
    assert rows(with_pieces(case, {"B": {"twin": turned}}))[0].notes == (
        "2 for A and 2 for B (turned 90° clockwise).",
    )


def test_a_shapes_picture_shows_all_of_it_and_nothing_else() -> None:
    ring = rows(herb_bed())[1].shape
    # Middle at (0, 25), radius 22 + 1.5 mm: from (-23.5, 1.5), 47 mm wide and high.
    assert ring.box == "-23.5 1.5 47.0 47.0"
    assert ring.path.count("M") == ring.path.count("Z") == 2


def test_every_piece_left_out_has_its_own_reason() -> None:
    case = herb_bed()
    rules = case.rules.model_copy(
        update={
            "product": case.rules.product.model_copy(
                update={"passes": PassRules(cut=("base",), confidence=0.45)}
            )
        }
    )
    assert cuttinglist.left_out(case.report, rules) == [
        "D is an appliqué piece, which the rules of this product leave uncut."
    ]
    both = rules.product.passes.model_copy(update={"cut": ("applique", "base")})
    rules = rules.model_copy(update={"product": rules.product.model_copy(update={"passes": both})})
    assert cuttinglist.left_out(case.report, rules) == ["D was not cut; the points at the top say why."]


def test_a_patch_is_named_by_its_shorter_side_first_as_in_the_list_of_fabric() -> None:
    case = job([stages_of("patch.jef")], rules_of(), patches=True)
    first, *mats = case.layout.mats
    laid = [replace(first.laid[0], patch=(0.0, 0.0, 80.0, 50.0)), *first.laid[1:]]
    layout = replace(case.layout, mats=(replace(first, laid=tuple(laid)), *mats))
    assert rows(replace(case, layout=layout))[0].patch == "50 × 80 mm and 60 × 60 mm"


def test_an_order_keeps_the_shapes_of_each_design_apart() -> None:
    assert [(row.piece, row.count) for row in rows(order())] == [("1A", 4), ("1C", 2), ("2A", 4), ("2C", 2)]


def test_an_offset_inside_the_line_says_so_and_small_shares_are_not_rounded_away() -> None:
    def told(offset_mm: float, share: float) -> tuple[str, str]:
        case = herb_bed()
        first = case.report.pieces[0]
        assert first.edge is not None
        edge = first.edge.model_copy(update={"uncovered_share": share})
        changed = with_pieces(case, {"A": {"offset_mm": offset_mm, "edge": edge}})
        row = edges.rows(changed.report, changed.rules)[0]
        return row.offset, row.cover

    cover = "0.6 mm; at the least 0.4 mm"
    assert told(-0.5, 0.01) == ("0.5 mm inside it", f"{cover}; 1 % has no cover")
    assert told(0.0, 0.0) == ("0 mm", cover)
    assert told(0.3, 0.0099) == ("0.3 mm", f"{cover}; under 1 % has no cover")


def test_an_edge_in_doubt_points_to_what_the_sheet_says_of_it() -> None:
    assert [edge.verdict for edge in without_edges(herb_bed())] == ["good", "good", "see point 2 at the top"]


def test_an_edge_that_is_meant_to_stay_raw_is_as_it_should_be() -> None:
    case = herb_bed()
    passes = case.rules.product.passes.model_copy(update={"raw_edge": True})
    product = case.rules.product.model_copy(update={"passes": passes})
    raw = replace(case, rules=case.rules.model_copy(update={"product": product}))
    bare = without_edges(raw, median_cover_mm=None, least_cover_mm=None)
    assert [edge.verdict for edge in bare[:2]] == ["raw, as it should be", "good"]


def test_fabrics_are_listed_in_the_order_of_the_mats_with_the_way_of_their_grain() -> None:
    case = herb_bed()
    looks = dict(reversed(matpicture.looks(case.layout, case.rules).items()))
    moss = case.rules.fabrics["moss"].model_copy(update={"grain": "half"})
    rules = case.rules.model_copy(update={"fabrics": {**case.rules.fabrics, "moss": moss}})
    needed = cuttinglist.needs(case.report, looks, rules)
    assert [(need.look.label, need.grain) for need in needed] == [
        ("Rust cotton", "any way"),
        ("Moss linen", "up and down"),
    ]


def test_the_fabric_of_a_mat_is_drawn_from_its_corner_as_far_as_the_pieces_and_a_hand_need() -> None:
    case = herb_bed()
    looks = matpicture.looks(case.layout, case.rules)
    view = matpicture.mat_view(case.layout.mats[0], case.report, looks, frozenset(), case.rules)
    assert view.fabric_box is not None
    right = max(laid.curve.exterior[:, 0, 0].max() for laid in case.layout.mats[0].laid)
    assert right + 5 <= view.fabric_box[0] < right + 10.1  # 5 mm for the hand, then up to the next 5 mm
    assert (view.files, view.pen_files) == ((f"{FILE_NAMES}1.svg",), (f"{FILE_NAMES}1-pen.svg",))
    patches = job([stages_of("patch.jef")], rules_of(), patches=True)
    laid = matpicture.mat_view(patches.layout.mats[0], patches.report, looks, frozenset(), patches.rules)
    assert laid.fabric_box is None


def test_every_kind_of_file_is_said_to_be_for_something() -> None:
    case = herb_bed()
    listed = [*case.report.files, FileEntry(name="bed.pdf", sha256="0", kind="pdf")]
    told = files.rows(case.report.model_copy(update={"files": listed}))
    assert [one.names for one in told] == [
        (f"{FILE_NAMES}1.svg", f"{FILE_NAMES}2.svg"),
        (f"{FILE_NAMES}1-pen.svg", f"{FILE_NAMES}2-pen.svg"),
        ("bed.pdf",),
    ]
    assert [one.purpose.split()[0] for one in told] == ["For", "Piece", "Paper"]
    for kind in (*get_args(Writable), "pen"):
        entry = FileEntry(name="x", sha256="0", kind=kind)
        (only,) = files.rows(case.report.model_copy(update={"files": [entry]}))
        assert not only.purpose.startswith("The same")
