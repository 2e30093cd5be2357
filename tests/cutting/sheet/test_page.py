"""The job sheet as a whole: whole, safe, self-contained and the same each time."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from piecewright.cutting import sheet
from piecewright.cutting.design import Thread
from piecewright.cutting.report import FindingEntry
from tests.cutting.sheet.case import (
    FILE_NAMES,
    HOSTILE,
    Case,
    herb_bed,
    job,
    nothing_to_cut,
    order,
    rules_of,
    stages_of,
)
from tests.markup import assert_is_self_contained, parse, text_of

if TYPE_CHECKING:
    from collections.abc import Callable

CASES: dict[str, Callable[[], Case]] = {
    "one design": herb_bed,
    "order": order,
    "patches": lambda: job([stages_of("patch.jef")], rules_of(), patches=True),
    "nothing to cut": nothing_to_cut,
    "hostile names": lambda: herb_bed(HOSTILE, rules_of(label=HOSTILE, product=HOSTILE)),
    "inches, web on the back": lambda: herb_bed(rules=rules_of(show="in", fusible_back=True)),
}


SVG = "{http://www.w3.org/2000/svg}svg"


def written(case: Case) -> str:
    """The sheet as text."""
    return sheet.write(*case.arguments).decode()


@pytest.fixture(params=CASES)
def page(request: pytest.FixtureRequest) -> str:
    """One sheet of each kind."""
    return written(CASES[request.param]())


def test_the_sheet_is_valid_html5_as_a_strict_parser_reads_it(page: str) -> None:
    assert parse(page).tag == "html"


@pytest.mark.parametrize("case", CASES)
def test_the_same_job_gives_the_same_bytes(case: str) -> None:
    assert written(CASES[case]()) == written(CASES[case]())


def test_nothing_is_fetched_from_elsewhere_and_nothing_runs(page: str) -> None:
    assert_is_self_contained(page)


def test_every_id_is_there_once_and_every_link_leads_somewhere(page: str) -> None:
    tree = parse(page)
    ids = [element.attrib["id"] for element in tree.iter() if "id" in element.attrib]
    assert len(ids) == len(set(ids))
    links = [element.attrib["href"] for element in tree.iter("a")]
    files = {f"{FILE_NAMES}{number}{ending}" for number in (1, 2) for ending in (".svg", "-pen.svg")}
    links = [link for link in links if link not in files]
    assert all(link.startswith("#") for link in links)
    looks = re.findall(r"url\(#([\w-]+)\)", page)
    assert {*(link[1:] for link in links), *looks} <= set(ids)


def test_hostile_names_are_shown_as_they_are_and_do_nothing() -> None:
    page = written(CASES["hostile names"]())
    assert "<script" not in page
    assert text_of(page).count(HOSTILE) >= 4
    assert "{{ 7*7 }}" in text_of(page)


def test_hostile_findings_file_names_and_threads_do_nothing() -> None:
    case = herb_bed()
    hostile = {"message": HOSTILE, "advice": HOSTILE, "piece": HOSTILE}
    findings = [finding.model_copy(update=hostile) for finding in case.report.findings]
    files = [file.model_copy(update={"name": HOSTILE}) for file in case.report.files]
    changes = {"findings": findings, "files": files, "job": HOSTILE, "drop": HOSTILE}
    report = case.report.model_copy(update=changes)
    block = replace(
        case.stages[0].design.blocks[0], thread=Thread(colour=HOSTILE, name=HOSTILE, catalog=HOSTILE)
    )
    first = case.stages[0].design
    stages = (replace(case.stages[0], design=replace(first, blocks=(block, *first.blocks[1:]))),)
    page = sheet.write(report, stages, case.layout, case.rules).decode()
    parse(page)
    assert "<script" not in page


def test_findings_come_first_with_advice_and_their_place_in_the_picture() -> None:
    page = written(herb_bed())
    assert next(iter(parse(page).iter("h2"))).text == "Look at this first"
    text = text_of(page)
    assert "The raw edge of piece C sticks out from under the cover by 0.2 mm at its left." in text
    assert "or a design with a wider cover. Its place is diamond 2 in the picture." in text


def test_a_job_with_nothing_to_cut_says_so_and_has_no_cutting_list() -> None:
    text = text_of(written(nothing_to_cut()))
    assert "No piece of this job was cut. A placement line is a closed line" in text
    assert "Cutting list" not in text


def test_a_job_with_nothing_cut_for_a_reason_points_to_it() -> None:
    case = nothing_to_cut()
    report = case.report.model_copy(update={"findings": herb_bed().report.findings})
    text = text_of(sheet.write(report, *case.arguments[1:]).decode())
    assert "No piece of this job was cut. The points below say why" in text
    assert "Its line is sewn only once" in text


def test_the_cautions_name_blades_needles_and_irons_and_give_way_to_the_makers() -> None:
    text = text_of(written(herb_bed()))
    for word in (
        "Blades.",
        "Needles.",
        "Irons and fusible web.",
        "makers' instructions",
        "come before anything",
    ):
        assert word in text


def test_copies_that_take_their_fabric_in_turn_say_in_which() -> None:
    text = text_of(written(herb_bed(rules=rules_of(in_turn=True))))
    assert "Copy 1: Moss linen ; Copy 2: Rust cotton ." in text
    assert "Copy 1:" not in text_of(written(herb_bed()))
    three = rules_of(in_turn=True)
    dealing = three.product.dealing.model_copy(update={"copies": 3})
    three = three.model_copy(update={"product": three.product.model_copy(update={"dealing": dealing})})
    assert "Copies 1 and 3: Moss linen ; Copy 2: Rust cotton ." in text_of(written(herb_bed(rules=three)))


def test_what_was_dropped_is_the_title_and_each_design_says_how_often_it_is_sewn() -> None:
    case = order()
    assert "herb bed.dst and 1 more design" in text_of(written(case))
    named = replace(case, report=case.report.model_copy(update={"drop": "saturday-order"}))
    text = text_of(written(named))
    assert text.index("saturday-order") < text.index("herb bed.dst 2 times, second bed.dst 2 times")


def test_the_same_doubt_about_several_pieces_is_one_point() -> None:
    case = herb_bed()
    bare = FindingEntry(
        code="no-cover", message="", says="No cover over {piece}.", advice="Look.", piece="A", design=1
    )
    other = bare.model_copy(update={"piece": "B"})
    text = text_of(
        sheet.write(case.report.model_copy(update={"findings": [bare, other]}), *case.arguments[1:]).decode()
    )
    assert "Pieces A and B: No cover over piece A. The same holds for piece B. Look." in text


def test_web_on_the_back_is_ironed_on_before_cutting_and_its_paper_comes_off_before_laying() -> None:
    text = text_of(written(CASES["inches, web on the back"]()))
    assert (
        text.index("Iron the web") < text.index("Check the scale, and cut") < text.index("Take the paper off")
    )
    assert "Iron the web" not in text_of(written(herb_bed()))


def test_pieces_of_one_fabric_have_its_colour_in_the_picture() -> None:
    assert written(herb_bed()).count('fill="#9db58c99"') == 2
    assert 'fill="#9db58c99"' not in written(herb_bed(rules=rules_of(in_turn=True)))


def test_designs_of_an_order_each_have_their_picture_and_their_own_letters() -> None:
    page = written(order())
    pictures = [e for e in parse(page).iter(SVG) if e.attrib.get("class") == "design-picture"]
    assert [e.attrib["aria-label"] for e in pictures] == [
        "Picture of herb bed.dst with pieces 1A, 1B, 1C, 1D",
        "Picture of second bed.dst with pieces 2A, 2B, 2C, 2D",
    ]
