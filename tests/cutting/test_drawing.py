"""The picture of a design: true to the stitches, safe inside a page, badges and pins where they belong."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING
from xml.etree.ElementTree import Element, fromstring

import numpy as np
import pytest

from piecewright.cutting import geometry as geo
from piecewright.cutting.design import Thread
from piecewright.cutting.drawing import Mark, design_picture
from piecewright.cutting.pieces import Understanding
from tests.cutting.sheet import herbs
from tests.cutting.sheet.case import HOSTILE

if TYPE_CHECKING:
    from piecewright.cutting.design import Block

NAMED = "herb bed.dst"


def drawn(
    *blocks: Block,
    name: str = NAMED,
    understanding: Understanding | None = None,
    marks: tuple[Mark, ...] = (),
) -> Element:
    """The herb bed's picture as a tree, with other blocks where they are given."""
    design = herbs.design(name)
    picture = design_picture(
        replace(design, blocks=blocks or design.blocks),
        understanding or herbs.understanding(),
        None if understanding else herbs.outlines(),
        marks=marks,
    )
    return fromstring(picture)  # noqa: S314 - written a moment ago by the program under test


def numbers(text: str) -> list[float]:
    return [float(number) for number in re.findall(r"-?\d+(?:\.\d+)?", text)]


def points_of(tree: Element, colour: str) -> np.ndarray:
    """Needle points of all paths with this stroke, (n, 2)."""
    paths = [path.attrib["d"] for path in tree.iter("path") if path.attrib.get("stroke") == colour]
    return np.array(numbers(" ".join(paths))).reshape(-1, 2)


def badge_places(tree: Element) -> dict[str, tuple[float, float]]:
    """Middle of each badge by its letter."""
    found = {}
    for group in tree.iter("g"):
        shape, text = group.find("circle"), group.find("text")
        if shape is not None and text is not None and group.find("path") is None:
            found[text.text or ""] = (float(shape.attrib["cx"]), float(shape.attrib["cy"]))
    return found


def test_every_needle_point_of_a_small_design_is_drawn_where_it_is_sewn() -> None:
    block = herbs.design(NAMED).blocks[4]
    drawn_points = points_of(drawn(), "#2c4d2a")
    assert np.abs(drawn_points - block.points).max() <= 0.05 + 1e-9


def test_no_stitch_is_drawn_where_the_thread_was_cut() -> None:
    paths = [p.attrib["d"] for p in drawn().iter("path") if p.attrib.get("stroke") == "#2c4d2a"]
    assert [path.count("M") for path in paths] == [2]  # the covers of two leaves


def test_the_view_shows_all_stitches_with_room_round_them() -> None:
    x, y, width, height = numbers(drawn().attrib["viewBox"])
    x0, y0, x1, y1 = herbs.design(NAMED).bounds_mm
    assert x < x0
    assert y < y0
    assert x + width > x1
    assert y + height > y1


def test_a_large_design_keeps_both_sides_of_its_satin() -> None:
    satin = herbs.zigzag(herbs.LEAF_A.exterior, 3.6, 0.001)
    assert len(satin) > 120_000
    block = herbs.design(NAMED).blocks[4]
    none = np.zeros(len(satin), dtype=np.bool_)
    dense = replace(block, points=satin, cut_before=none, travel_before=none)
    points = points_of(drawn(dense), "#2c4d2a")
    assert 10_000 < len(points) < 61_000
    grown = geo.contains_points(herbs.LEAF_A, geo.frozen(points))
    assert 0.4 < grown.mean() < 0.6


def test_badges_stand_inside_their_pieces_and_doubtful_ones_have_a_question_mark() -> None:
    places = badge_places(drawn())
    assert sorted(places) == ["A", "B", "C", "D?"]
    lines = {"A": herbs.LEAF_A, "B": herbs.LEAF_B, "C": herbs.RING_C, "D?": herbs.BUD_D}
    for letter, line in lines.items():
        assert geo.contains_points(line, geo.frozen([places[letter]])).all(), letter


def test_the_badge_of_a_piece_stands_beside_the_pieces_that_lie_on_it() -> None:
    known = herbs.understanding()
    whole = herbs.ring(0, 0, 90, 1)
    under = replace(known.pieces[0], id="Z", kind="base", line=geo.Region(exterior=whole.exterior))
    layered = Understanding(passes=known.passes, pieces=(under, *known.pieces), findings=())
    tree = drawn(understanding=layered)
    rect = next(r for r in tree.iter("rect") if "stroke" in r.attrib)
    side = float(rect.attrib["width"])
    middle = geo.frozen([[float(rect.attrib["x"]) + side / 2, float(rect.attrib["y"]) + side / 2]])
    assert geo.contains_points(under.line, middle).all()
    assert not any(geo.contains_points(piece.line, middle).any() for piece in known.pieces)


def test_pins_point_at_their_places_and_do_not_lie_on_each_other() -> None:
    place = (-22.0, 25.0)
    tree = drawn(marks=(Mark(label="1", place=place), Mark(label="2", place=place)))
    dots = [
        (float(c.attrib["cx"]), float(c.attrib["cy"]))
        for c in tree.iter("circle")
        if "stroke" not in c.attrib
    ]
    assert dots == [place, place]
    first, second = (
        numbers(p.attrib["d"])[:2] for p in tree.iter("path") if p.attrib.get("fill") == "#ffd166"
    )
    assert np.hypot(first[0] - second[0], first[1] - second[1]) > 5.0


@pytest.mark.parametrize("corner", [(-73.0, -36.0), (73.0, 48.0)])
def test_a_pin_at_the_rim_stays_in_the_picture(corner: tuple[float, float]) -> None:
    tree = drawn(marks=(Mark(label="1", place=corner),))
    x, y, width, height = numbers(tree.attrib["viewBox"])
    (diamond,) = [p for p in tree.iter("path") if p.attrib.get("fill") == "#ffd166"]
    left, top, half = numbers(diamond.attrib["d"])[:3]
    assert x <= left - half
    assert left + half <= x + width
    assert y <= top
    assert top + 2 * half <= y + height


def test_pale_threads_have_a_dark_line_below_them() -> None:
    block = herbs.design(NAMED).blocks[0]
    pale = drawn(replace(block, thread=Thread(colour="#ffffff")))
    dark = drawn(replace(block, thread=Thread(colour="#203040")))
    assert len(points_of(pale, "#6e675a")) == len(points_of(pale, "#ffffff")) > 0
    assert len(points_of(dark, "#6e675a")) == 0


def test_hostile_names_threads_and_labels_do_nothing() -> None:
    block = replace(herbs.design(NAMED).blocks[0], thread=Thread(colour='#fff" onload="x', name=HOSTILE))
    tree = drawn(block, name=HOSTILE, marks=(Mark(label=HOSTILE, place=(0.0, 0.0)),))
    assert HOSTILE in tree.attrib["aria-label"]
    assert not [e for e in tree.iter() if "onload" in e.attrib or e.tag == "script"]


def test_a_design_without_pieces_or_without_stitches_is_still_a_picture() -> None:
    nothing = Understanding(passes=(), pieces=(), findings=())
    assert "without pieces" in drawn(understanding=nothing).attrib["aria-label"]
    empty = replace(herbs.design(NAMED).blocks[0], points=geo.frozen(np.zeros((0, 2))))
    assert drawn(empty, understanding=nothing).find("rect") is not None
