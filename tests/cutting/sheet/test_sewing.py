"""The sewing order of the herb bed, halt by halt."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from piecewright.cutting.design import Thread
from piecewright.cutting.report import TwinEntry
from piecewright.cutting.sheet import matpicture, sewing
from tests.cutting.sheet.case import herb_bed, rules_of

if TYPE_CHECKING:
    from piecewright.cutting.report import Report
    from tests.cutting.sheet.case import Case

BEYOND = "so that their edges lie 1.5 mm outside their sewn lines all round."


def steps(case: Case, report: Report | None = None) -> list[sewing.Step]:
    looks = matpicture.looks(case.layout, case.rules)
    return sewing.steps(case.stages[0].design, 1, report or case.report, looks, case.rules)


def with_piece(case: Case, index: int, **changes: object) -> Report:
    """The report with one piece changed."""
    pieces = list(case.report.pieces)
    pieces[index] = pieces[index].model_copy(update=changes)
    return case.report.model_copy(update={"pieces": pieces})


def test_every_block_is_told_and_blocks_that_say_the_same_are_told_together() -> None:
    assert [step.title for step in steps(herb_bed())] == [
        *(f"Block {n}" for n in range(1, 8)),
        "Blocks 8 and 9",
    ]


def test_a_piece_is_laid_when_the_machine_stops_before_its_tack_down() -> None:
    first, second = steps(herb_bed())[:2]
    assert first.sews == ("Placement line of A and B (a single run): it shows where the fabric goes.",)
    assert first.halt == "When the machine stops:"
    assert first.hands == (
        f"Lay pieces A and B from Moss linen, right side up, {BEYOND}",
        "B has the shape of A, mirrored: lay one that was cut as B.",
    )
    assert second.sews == ("Tack-down of A and B (zigzag, 2 mm wide): it holds the fabric.",)
    assert (second.halt, second.hands) == ("", ())


def test_a_piece_tacked_down_blocks_later_is_laid_at_the_last_halt_before() -> None:
    case = herb_bed()
    later = {2: 5, 5: 2}
    passes = [p.model_copy(update={"block": later.get(p.block, p.block)}) for p in case.report.passes]
    passes = [p for p in passes if not (p.role == "cover" and "A" in p.piece)]
    told = steps(case, case.report.model_copy(update={"passes": passes}))
    laid = {step.title: step.hands for step in told if step.hands}
    assert any("pieces A and B" in line for line in laid["Block 4"])
    assert "Block 1" not in laid


def test_a_tack_down_in_the_block_of_the_placement_line_asks_to_stop_by_hand() -> None:
    case = herb_bed()
    passes = [p.model_copy(update={"block": 1 if p.block == 2 else p.block}) for p in case.report.passes]
    first = steps(case, case.report.model_copy(update={"passes": passes}))[0]
    assert first.halt == "Stop the machine by hand when the placement line is sewn:"
    assert len(first.sews) == 2


def test_an_uncertain_piece_is_told_as_one_and_a_certain_one_without_a_cut_is_trimmed() -> None:
    case = herb_bed()
    assert steps(case)[6].hands[0].startswith("D may be a piece, and was not cut. If it is one, lay fabric")
    sure = steps(case, with_piece(case, 3, confidence=0.9))[6]
    assert sure.hands[0].startswith(
        "Piece D was not cut beforehand: lay fabric well over the line, and trim it"
    )
    base = steps(case, with_piece(case, 3, kind="base"))[6]
    assert base.hands[0].startswith("Base layer D was not cut beforehand")


def test_base_layers_have_no_right_side_and_may_lie_inside_the_line() -> None:
    case = herb_bed()
    inside = steps(case, with_piece(case, 2, kind="base", offset_mm=-2.0))[2]
    assert inside.hands == (
        "Lay base layer C from Rust cotton, so that its edge lies 2 mm inside the sewn line all round.",
    )
    on_it = steps(case, with_piece(case, 2, kind="base", offset_mm=0.0))[2]
    assert on_it.hands[0].endswith("so that its edge meets the sewn line all round.")


def test_a_base_layer_that_is_held_twice_asks_for_the_cloth_that_goes_over_it() -> None:
    case = herb_bed()
    again = next(p for p in case.report.passes if p.block == 4)
    passes = [*case.report.passes, again.model_copy(update={"block": 8})]
    report = with_piece(case, 2, kind="base").model_copy(update={"passes": passes})
    held = steps(case, report)[3]
    assert held.halt == "When the machine stops:"
    assert held.hands == ("Block 8 sews C down once more: if cloth goes over it, lay it now.",)
    assert steps(case, case.report.model_copy(update={"passes": passes}))[3].hands == ()


def test_pieces_that_were_cut_turned_over_are_turned_back() -> None:
    case = herb_bed()
    first, *others = case.report.mats
    laid = [first.laid[0].model_copy(update={"mirrored": True}), *first.laid[1:]]
    report = case.report.model_copy(update={"mats": [first.model_copy(update={"laid": laid}), *others]})
    assert "Turn those of A over that have a star on the mat." in steps(case, report)[0].hands
    assert "star" not in " ".join(steps(case)[0].hands)


def test_pieces_dealt_over_fabrics_are_laid_from_the_fabric_of_the_copy() -> None:
    told = steps(herb_bed(rules=rules_of(in_turn=True)))
    assert told[0].hands[0] == f"Lay pieces A and B from the fabric of this copy, right side up, {BEYOND}"


def test_which_of_two_twins_is_laid_matters_where_the_grain_does() -> None:
    case = herb_bed()
    report = with_piece(case, 1, twin=TwinEntry(turned_deg=60.0, mirrored=False))
    told = steps(case, report)[0].hands[1]
    assert told == "B has the shape of A, turned 60° clockwise; either will do."
    moss = case.rules.fabrics["moss"].model_copy(update={"grain": "half"})
    fabrics = {**case.rules.fabrics, "moss": moss}
    told = steps(replace(case, rules=case.rules.model_copy(update={"fabrics": fabrics})), report)[0].hands[1]
    assert told.endswith(": lay one that was cut as B, so that the grain runs right.")


def test_lengths_are_said_in_the_shops_unit() -> None:
    told = steps(herb_bed(rules=rules_of(show="in")))
    assert "0.06 in outside" in told[0].hands[0]
    assert told[4].sews == ("Cover over the raw edge of A and B (satin stitch, 0.14 in wide).",)


def test_threads_are_named_by_name_then_colour_then_number() -> None:
    assert [step.thread for step in steps(herb_bed())] == [
        "green",
        "green",
        "Rust",
        "Rust",
        "dark green",
        "1045",
        "yellow",
        "several threads",
    ]
    assert sewing.thread_name(Thread()) == ""


def test_a_colour_that_is_none_never_reaches_the_page() -> None:
    case = herb_bed()
    block = replace(case.stages[0].design.blocks[0], thread=Thread(colour="url(x)"))
    design = replace(case.stages[0].design, blocks=(block,))
    told = sewing.steps(design, 1, case.report, matpicture.looks(case.layout, case.rules), case.rules)
    assert told[0].colour == ""


def test_a_block_without_needle_points_is_not_told() -> None:
    case = herb_bed()
    blocks = case.stages[0].design.blocks
    empty = replace(blocks[1], points=blocks[1].points[:0], cut_before=blocks[1].cut_before[:0])
    design = replace(case.stages[0].design, blocks=(blocks[0], empty, *blocks[2:]))
    told = sewing.steps(design, 1, case.report, matpicture.looks(case.layout, case.rules), case.rules)
    assert "Block 2" not in [step.title for step in told]


def test_passes_that_say_the_same_of_several_pieces_are_one_sentence() -> None:
    case = herb_bed()
    cover = next(p for p in case.report.passes if p.role == "cover")
    mixed = [
        cover.model_copy(update={"role": role, "piece": [piece]})
        for piece in ("A", "B")
        for role in ("underlay", "cover")
    ]
    passes = [*(p for p in case.report.passes if p.block != cover.block), *mixed]
    told = steps(case, case.report.model_copy(update={"passes": passes}))
    assert told[4].sews == (
        "Underlay below the cover of A and B.",
        "Cover over the raw edge of A and B (satin stitch, 3.6 mm wide).",
    )


def test_what_may_place_or_hold_a_piece_is_told_as_perhaps_and_the_fabric_is_laid_as_if_it_did() -> None:
    case = herb_bed()
    doubtful = {"placement", "tack-down", "cover"}
    passes = [
        one.model_copy(update={"role": "detail", "in_doubt": one.role}) if one.role in doubtful else one
        for one in case.report.passes
    ]
    sure, doubted = steps(case), steps(case, case.report.model_copy(update={"passes": passes}))
    assert doubted[0].sews == (
        "Lines and details, or the placement line of A and B (a single run), if it is a piece.",
    )
    assert [step.hands for step in doubted if step.hands] == [step.hands for step in sure if step.hands]
