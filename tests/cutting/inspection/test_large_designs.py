"""Designs with more than a page shows: what is left out is said, and the table still has it."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import replace

from piecewright.cutting.design import Design, Thread
from piecewright.cutting.findings import Finding
from piecewright.cutting.inspection import inspect, table
from piecewright.cutting.inspection.rows import thread_words
from piecewright.cutting.passes import Role, Stitch
from piecewright.cutting.pieces import Understanding
from tests.cutting.sheet.case import herb_bed

SVG = "{http://www.w3.org/2000/svg}"
DESIGN, UNDERSTOOD = herb_bed().stages[0].design, herb_bed().stages[0].understanding


def texts(design: Design, understanding: Understanding) -> str:
    picture = inspect(design, understanding).picture
    return "\n".join(element.text or "" for element in ET.fromstring(picture).iter(f"{SVG}text"))  # noqa: S314 - ours


def test_the_picture_tells_of_fourteen_pieces_and_how_many_more_there_are() -> None:
    piece = UNDERSTOOD.pieces[0]
    many = replace(UNDERSTOOD, pieces=tuple(replace(piece, id=f"Q{n}") for n in range(17)))
    seen = texts(DESIGN, many)
    assert "and 3 more" in seen
    assert "Q13: piece" in seen
    assert "Q14: piece" not in seen
    assert "and " not in texts(DESIGN, replace(many, pieces=many.pieces[:14])).split("Lines in the panels")[0]
    told = inspect(DESIGN, many).text
    assert all(f"\nQ{n}: " in told for n in range(17))


def test_the_picture_tells_of_twelve_findings_and_how_many_more_there_are() -> None:
    def doubts(count: int) -> Understanding:
        found = tuple(
            Finding(code="no-cover", says=f"Doubt {n}.", advice="Look at it.") for n in range(count)
        )
        return replace(UNDERSTOOD, findings=found)

    assert "and 2 more, which the table lists" in texts(DESIGN, doubts(14))
    assert "which the table lists" not in texts(DESIGN, doubts(12))
    assert "12. Doubt 11." in texts(DESIGN, doubts(14))
    assert "14. Doubt 13." in inspect(DESIGN, doubts(14)).text


def test_the_picture_has_sixty_panels_and_says_how_many_more_blocks_there_are() -> None:
    first = DESIGN.blocks[0]
    design = replace(DESIGN, blocks=tuple(replace(first, number=n) for n in range(1, 64)))
    nothing = Understanding(passes=(), pieces=(), findings=())
    assert "3 more blocks are not drawn here" in texts(design, nothing)
    assert "blocks are not drawn" not in texts(replace(design, blocks=design.blocks[:60]), nothing)
    assert len(table(design, nothing)) == 63


def test_a_block_with_more_than_two_purposes_names_two_and_counts_the_rest() -> None:
    one = UNDERSTOOD.passes[0]
    roles = (Role.FILL, Role.DETAIL, Role.QUILTING, Role.UNDERLAY)
    passes = tuple(replace(one, number=n, role=role, pieces=()) for n, role in enumerate(roles, 1))
    seen = texts(DESIGN, Understanding(passes=passes, pieces=(), findings=()))
    assert "filled area" in seen
    assert "and 2 other purposes" in seen
    three = texts(DESIGN, Understanding(passes=passes[:3], pieces=(), findings=()))
    assert "and 1 other purpose" in three


def test_passes_of_a_block_with_one_purpose_make_one_row() -> None:
    one = UNDERSTOOD.passes[1]  # the zigzag that holds both leaves
    (left, right) = one.runs
    wider = replace(right, width_mm=4.0)
    passes = (
        replace(one, number=1, runs=(left,), pieces=("A",), confidence=0.9, evidence=("x", "y")),
        replace(one, number=2, runs=(wider,), pieces=("A", "B"), confidence=0.7, evidence=("y", "z")),
        replace(one, number=3, stitch=Stitch.SATIN, runs=(left,), pieces=("B",)),
    )
    rows = [
        row for row in table(DESIGN, Understanding(passes=passes, pieces=(), findings=())) if row.block == 2
    ]
    assert [(row.stitch, row.passes) for row in rows] == [("zigzag", (1, 2)), ("satin", (3,))]
    assert (rows[0].width_mm, rows[0].confidence) == (4.0, 0.7)
    assert (rows[0].pieces, rows[0].evidence) == (("A", "B"), ("x", "y", "z"))
    assert rows[0].stitches == len(left.points) + len(right.points)


def test_of_many_pieces_the_table_names_the_first_and_the_last() -> None:
    one = replace(UNDERSTOOD.passes[0], pieces=tuple("ABCDEFGHI"))
    few = replace(one, pieces=tuple("ABCDEFGH"))
    text = inspect(DESIGN, Understanding(passes=(one,), pieces=(), findings=())).text
    assert "A ... I" in text
    assert (
        "A, B, C, D, E, F, G, H" in inspect(DESIGN, Understanding(passes=(few,), pieces=(), findings=())).text
    )


def test_a_thread_is_called_by_its_name_else_its_colour_else_its_number() -> None:
    assert thread_words(Thread(name="Moss", colour="#ff0000", catalog="1045")) == "Moss"
    assert thread_words(Thread(colour="#ff0000", catalog="1045")) == "red"
    assert thread_words(Thread(catalog="1045")) == "1045"
    assert thread_words(Thread()) == ""


def test_a_block_without_stitches_has_a_row_and_no_panel() -> None:
    first = DESIGN.blocks[0]
    empty = replace(
        first,
        number=2,
        points=first.points[:0],
        cut_before=first.cut_before[:0],
        travel_before=first.travel_before[:0],
    )
    design = replace(DESIGN, blocks=(first, empty))
    nothing = Understanding(passes=(), pieces=(), findings=())
    assert [(row.block, row.role, row.stitches) for row in table(design, nothing)] == [(1, "", 0), (2, "", 0)]
    assert "\n2\n" not in texts(design, nothing)
    assert "nothing" in inspect(design, nothing).text
