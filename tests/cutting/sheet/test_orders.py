"""What the sheet says of a job as a whole: designs of an order, base layers, findings without a piece."""

from __future__ import annotations

from dataclasses import replace

from piecewright.cutting import sheet
from piecewright.cutting.report import FindingEntry
from tests.cutting.sheet.case import Case, herb_bed, job, order, rules_of, stages_of
from tests.markup import parse, text_of

DOUBT = FindingEntry(
    code="header-disagrees",
    message="Its header tells of more.",
    says="Its header tells of more.",
    advice="Compare the picture.",
    piece=None,
    design=2,
)


def said(case: Case, **changes: object) -> str:
    report = case.report.model_copy(update=changes)
    return " ".join(text_of(sheet.write(report, *case.arguments[1:]).decode()).split())


def test_a_finding_about_one_design_of_an_order_names_the_design() -> None:
    assert "second bed.dst: Its header tells of more." in said(order(), findings=[DOUBT])


def test_a_finding_about_the_only_design_names_nothing() -> None:
    text = said(herb_bed(), findings=[DOUBT.model_copy(update={"design": 1})])
    assert "Its header tells of more." in text
    assert "herb bed.dst: Its header" not in text


def test_base_layers_are_explained_where_there_are_any() -> None:
    one = stages_of("herb bed.dst")
    first, *rest = one.understanding.pieces
    based = replace(one.understanding, pieces=(replace(first, kind="base"), *rest))
    with_base = job([replace(one, understanding=based)], rules_of())
    assert "squares are base layers" in said(with_base)
    assert "squares are base layers" not in said(herb_bed())
    assert "a question mark means too unsure to cut" in said(herb_bed())


def test_an_order_shows_every_design_once() -> None:
    page = sheet.write(*order().arguments).decode()
    assert parse(page).tag == "html"
    text = text_of(page)
    assert "herb bed.dst and 1 more design" in text
    assert text.count("second bed.dst") >= 1


def shown(**changes: object) -> str:
    """The sheet of a herb bed whose edge check doubts leaf A, and its twin B with it."""
    doubt = (
        herb_bed()
        .report.findings[-1]
        .model_copy(update={"says": "{Piece} shows by {bare_mm}.", "piece": "A", "twins": ["B"], **changes})
    )
    return said(herb_bed(), findings=[doubt])


def test_a_doubt_about_a_piece_and_its_twins_names_them_at_once() -> None:
    assert "Piece A and its twin, piece B: Piece A shows by 0.2 mm. The same holds for its twin" in shown()
    many = [f"A{letter}" for letter in "ABCDEFG"]
    assert "Piece A and its 7 twins: Piece A shows" in shown(twins=many)


def test_the_edge_of_a_twin_is_not_called_good_where_that_of_its_leader_is_doubted() -> None:
    assert shown().count("see point 1 at the top") == 2
    assert shown(twins=[]).count("see point 1 at the top") == 1
