"""The inspection says what was understood, in a table and a picture, whatever names it is given."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ET
from dataclasses import replace
from fnmatch import fnmatch

import numpy as np
import pytest
import yaml

from piecewright.cutting.colours import luminance
from piecewright.cutting.design import Design, Thread
from piecewright.cutting.drawing import INK
from piecewright.cutting.inspection import inspect, table
from piecewright.cutting.inspection.looks import BASE_TINT, LEGEND, TINT, Look
from piecewright.cutting.pieces import Understanding
from piecewright.cutting.rules import BlocksByHand
from tests.cutting.sheet.case import HOSTILE, Case, herb_bed, nothing_to_cut
from tests.rendering import rendered

SVG = "{http://www.w3.org/2000/svg}"


def parts(case: Case) -> tuple[Design, Understanding]:
    return case.stages[0].design, case.stages[0].understanding


def texts(picture: bytes) -> list[str]:
    return [element.text or "" for element in ET.fromstring(picture).iter(f"{SVG}text")]  # noqa: S314 - ours


def test_the_table_has_every_block_in_order_and_every_pass_once() -> None:
    design, understanding = parts(herb_bed())
    rows = table(design, understanding)
    blocks = [row.block for row in rows]
    assert blocks == sorted(blocks)
    assert set(blocks) == {block.number for block in design.blocks}
    assert sorted(n for row in rows for n in row.passes) == [one.number for one in understanding.passes]


def test_a_block_of_which_nothing_is_known_still_has_its_row() -> None:
    design, _ = parts(herb_bed())
    rows = table(design, Understanding(passes=(), pieces=(), findings=()))
    assert [(row.block, row.role) for row in rows] == [(block.number, "") for block in design.blocks]


def test_the_text_tells_pieces_evidence_and_findings() -> None:
    design, understanding = parts(herb_bed())
    text = inspect(design, understanding).text
    for piece in understanding.pieces:
        assert f"\n{piece.id}: " in text
        assert all(sentence.split()[0] in text for sentence in piece.evidence)
    for finding in understanding.findings:
        assert finding.message.split(".")[0][:40] in " ".join(text.split())


def test_the_lines_for_the_rules_can_be_pasted_as_they_are() -> None:
    design, understanding = parts(herb_bed('odd "name": [1]*?\\.dst'))
    pasted = inspect(design, understanding).text.split("mend the numbers:")[1]
    rule = BlocksByHand.model_validate(yaml.safe_load(pasted)["passes"]["by_hand"][0])
    placed = {
        understanding.passes[n - 1].block
        for piece in understanding.pieces
        if piece.kind == "applique"
        for n in piece.placement
    }
    assert fnmatch(design.name, rule.files)
    assert not fnmatch(design.name.replace("*", "x"), rule.files)
    assert set(rule.placement) == placed


def test_rows_are_plain_json() -> None:
    rows = inspect(*parts(herb_bed())).rows
    assert json.loads(json.dumps(rows)) == rows
    assert {row["is"] for row in rows} >= {"block", "piece"}


def test_every_piece_is_lettered_and_an_unsure_one_is_marked_as_such() -> None:
    design, understanding = parts(herb_bed())
    seen = texts(inspect(design, understanding).picture)
    for piece in understanding.pieces:
        assert (piece.id if piece.cut or piece.kind == "base" else f"{piece.id}?") in seen


def test_every_block_has_a_panel_with_its_number() -> None:
    design, understanding = parts(herb_bed())
    seen = texts(inspect(design, understanding).picture)
    assert all(str(block.number) in seen for block in design.blocks if len(block.points))


def test_a_design_without_pieces_says_so() -> None:
    inspection = inspect(*parts(nothing_to_cut()))
    assert "No piece was found" in inspection.text
    assert any("No piece was found" in text for text in texts(inspection.picture))


def test_hostile_names_stay_text() -> None:
    design, understanding = parts(herb_bed(HOSTILE + "\x00\x1b[31m\u202e"))
    thread = Thread(colour='red"/><script>', name=f"{HOSTILE}\x07", catalog="\ud800")
    design = replace(design, blocks=tuple(replace(block, thread=thread) for block in design.blocks))
    inspection = inspect(design, understanding)
    tree = ET.fromstring(inspection.picture)  # noqa: S314 - our own file
    assert not [e for e in tree.iter() if e.tag.rpartition("}")[2] not in KNOWN]
    assert "\x1b" not in inspection.text
    assert "\u202e" not in inspection.text
    inspection.text.encode()


KNOWN = {"svg", "title", "defs", "g", "rect", "path", "circle", "text", "pattern", "use"}


def test_the_picture_is_the_same_every_time() -> None:
    assert inspect(*parts(herb_bed())).picture == inspect(*parts(herb_bed())).picture


def test_roles_differ_by_line_style_and_not_only_by_colour() -> None:
    styles = [(look.dashes, look.width > 0.25) for look in LEGEND]
    assert len(set(styles)) == len(styles)


@pytest.mark.parametrize("look", LEGEND, ids=lambda look: look.words)
def test_lines_stand_out_from_the_page(look: Look) -> None:
    assert 1.05 / (luminance(look.colour) + 0.05) >= 4.5  # WCAG 2.2, 1.4.3


def test_white_thread_can_be_seen() -> None:
    design, understanding = parts(nothing_to_cut())
    white = Thread(colour="#ffffff", name="white")
    design = replace(design, blocks=tuple(replace(block, thread=white) for block in design.blocks))
    picture = inspect(design, understanding).picture
    seen = rendered(picture.decode(), 4.0).rgb.mean(axis=2)
    main = seen[100:600, 60:600]
    assert (main < 160).sum() > 200  # the dark line below the white one


def test_inches_are_shown_where_the_shop_reads_inches() -> None:
    design, understanding = parts(herb_bed())
    assert " in" in inspect(design, understanding, show="in").text.splitlines()[0]
    assert "mm" not in inspect(design, understanding, show="in").text.splitlines()[0]


def test_a_base_layer_lies_under_the_pieces_and_has_a_box_for_its_letter() -> None:
    design, understanding = parts(herb_bed())
    base = replace(understanding.pieces[2], id="Z", kind="base")
    for pieces in ((base, *understanding.pieces), (*understanding.pieces, base)):
        tree = ET.fromstring(inspect(design, replace(understanding, pieces=pieces)).picture)  # noqa: S314 - ours
        fills = [e.attrib.get("fill") for e in tree.iter() if e.attrib.get("fill-rule") == "evenodd"]
        assert fills == [BASE_TINT, TINT, TINT, TINT, "url(#unsure)"]
        (box,) = (g for g in tree.iter(f"{SVG}g") if [e.text for e in g.findall(f"{SVG}text")] == ["Z"])
        shape = box.find(f"{SVG}rect")
        assert shape is not None
        assert (shape.attrib["fill"], shape.attrib["stroke"]) == (INK, "#ffffff")


def test_a_piece_is_given_to_programs_with_its_size() -> None:
    rows = inspect(*parts(herb_bed())).rows
    pieces = {str(row["piece"] if "piece" in row else row["id"]): row for row in rows if row["is"] == "piece"}
    assert pieces["C"]["width_mm"] == pytest.approx(44.0, abs=0.1)
    assert pieces["C"]["height_mm"] == pytest.approx(44.0, abs=0.1)
    assert pieces["C"]["area_mm2"] == pytest.approx(np.pi * (22**2 - 8**2), rel=0.01)


def test_a_block_that_sews_nothing_is_certain_and_has_no_width() -> None:
    design, _ = parts(herb_bed())
    rows = table(design, Understanding(passes=(), pieces=(), findings=()))
    assert {(row.width_mm, row.confidence, row.pieces, row.passes) for row in rows} == {(0.0, 1.0, (), ())}


def test_the_heading_of_a_design_with_a_long_name_stays_on_the_page() -> None:
    """Half its size is what a letter takes on average (sans serif, common practice, no source)."""
    design, understanding = parts(herb_bed("a very long name " * 12 + ".dst"))
    tree = ET.fromstring(inspect(design, understanding).picture)  # noqa: S314 - ours
    heading = next(tree.iter(f"{SVG}text"))
    width = float(tree.attrib["viewBox"].split()[2])
    assert 0.5 * float(heading.attrib["font-size"]) * len(heading.text or "") < width - 16
