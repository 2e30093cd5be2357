"""The picture of a design as a renderer shows it: fabrics, cut lines, letters and pins as they are seen."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import combinations
from typing import TYPE_CHECKING, Literal
from xml.etree.ElementTree import Element, fromstring

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from piecewright.cutting import geometry as geo
from piecewright.cutting.design import Block, Design, Thread
from piecewright.cutting.drawing import GROUND, INK, Mark, design_picture, thread_colour
from piecewright.cutting.pieces import Understanding
from tests.cutting.sheet import herbs
from tests.rendering import contrast, rendered, rgb_of

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from piecewright.cutting.geometry import FloatArray, Region

HERB_BED = herbs.design("herb bed.dst")
NOTHING = Understanding(passes=(), pieces=(), findings=())
SPREAD = np.linspace(0, 2 * np.pi, 400, endpoint=False)


def picture(design: Design = HERB_BED, understanding: Understanding | None = None, **options: object) -> str:
    known = herbs.understanding() if understanding is None else understanding
    return design_picture(design, known, **options)  # type: ignore[arg-type]  # the test's own keywords


def tree(text: str) -> Element:
    return fromstring(text)  # noqa: S314 - written a moment ago by the program under test


def view_of(picture: str) -> tuple[float, float, float, float]:
    """The view box: left, top, right, bottom."""
    x, y, width, height = map(float, tree(picture).attrib["viewBox"].split())
    return x, y, x + width, y + height


def design_of(*runs: list[tuple[float, float]], cut: bool = True, number: int = 1) -> Design:
    """One block of some runs, between which the thread is cut or only travels."""
    points = geo.frozen([point for run in runs for point in run])
    begins = np.zeros(len(points), dtype=np.bool_)
    begins[np.cumsum([len(run) for run in runs])[:-1]] = True
    none = np.zeros(len(points), dtype=np.bool_)
    block = Block(
        number=number,
        thread=Thread(colour="#203040"),
        points=points,
        cut_before=begins if cut else none,
        travel_before=none if cut else begins,
    )
    return Design(name="d", format="DST", blocks=(block,))


def understood(*lines: Region, kind: Literal["applique", "base"] = "applique") -> Understanding:
    """Sure pieces A, B, C ... with these lines, in this order."""
    plain = herbs.understanding().pieces[0]
    pieces = (replace(plain, id=chr(65 + k), line=line, kind=kind) for k, line in enumerate(lines))
    return Understanding(passes=(), pieces=tuple(pieces), findings=())


# -- the whole ----------------------------------------------------------------------------------------


def test_who_cannot_see_the_picture_is_told_the_design_and_its_pieces() -> None:
    labels = [
        tree(each).attrib["aria-label"]
        for each in (picture(understanding=herbs.understanding("2")), picture(understanding=NOTHING))
    ]
    assert labels == [
        "Picture of herb bed.dst with pieces 2A, 2B, 2C, 2D",
        "Picture of herb bed.dst without pieces",
    ]


def test_the_design_stands_in_the_middle_and_fills_most_of_the_picture() -> None:
    left, top, right, bottom = view_of(picture())
    x0, y0, x1, y1 = HERB_BED.bounds_mm
    assert (left + right, top + bottom) == pytest.approx((x0 + x1, y0 + y1), abs=0.2)
    assert (right - left - (x1 - x0)) == pytest.approx(bottom - top - (y1 - y0), abs=0.2)
    assert x1 - x0 > 0.8 * (right - left)


def test_wherever_a_design_lies_and_however_it_is_turned_its_letters_are_as_large() -> None:
    def radius(turned: float, dx: float) -> str:
        moved = geo.transformed(herbs.LEAF_A, turned, False, dx, 2 * dx)
        stitches = [tuple(point) for point in moved.exterior.tolist()]
        (disc,) = tree(picture(design_of(stitches), understood(moved))).iter("circle")
        return disc.attrib["r"]

    assert len({radius(turned, dx) for turned in (0.0, 90.0) for dx in (0.0, 500.0)}) == 1


def test_a_design_of_one_stitch_is_a_picture_too() -> None:
    left, top, right, bottom = view_of(picture(design_of([(7.0, 9.0)]), NOTHING))
    assert left < 7.0 < right
    assert top < 9.0 < bottom


# -- stitches, fabrics, cut lines ---------------------------------------------------------------------


def test_thread_shows_in_its_colour_where_it_is_sewn_and_not_where_it_is_cut_or_travels() -> None:
    for cut in (True, False):
        seen = rendered(picture(design_of([(0, 0), (40, 0)], [(60, 0), (60, 30)], cut=cut), NOTHING), 20)
        sewn = geo.frozen([(20.0, 0.0), (60.0, 15.0)])
        assert np.abs(seen.at(sewn) - rgb_of("#203040")).max() < 3, cut
        between = geo.frozen([(50.0, 0.0), (30.0, 15.0)])
        assert np.abs(seen.at(between) - rgb_of(GROUND)).max() < 3, cut


def test_the_dark_line_shows_on_both_sides_of_a_pale_thread_and_does_not_widen_it_much() -> None:
    plain = design_of([(0, 0), (40, 0)])
    pale = replace(plain, blocks=(replace(plain.blocks[0], thread=Thread(colour="#ffffff")),))
    across = np.column_stack([np.full(301, 20.0), np.linspace(-1.5, 1.5, 301)])
    grey = rendered(picture(pale, NOTHING), 60).at(geo.frozen(across)).mean(axis=1)
    dark = np.flatnonzero(grey < 150)
    light_between = grey[dark[0] : dark[-1]].max()
    assert light_between > 240
    assert np.ptp(across[dark, 1]) < 2 * 0.35  # of a thread as wide as 40 weight


@pytest.mark.parametrize("stitches", [60_000, 60_001, 130_000])
def test_however_large_a_design_is_not_many_points_are_drawn_and_none_are_left_out_below(
    stitches: int,
) -> None:
    to_and_fro = [(k / 1000, k % 2 * 4.0) for k in range(stitches)]
    (path,) = tree(picture(design_of(to_and_fro), NOTHING)).iter("path")
    points = np.array([float(n) for n in re.findall(r"-?[\d.]+", path.attrib["d"])]).reshape(-1, 2)
    assert len(points) == 60_000 if stitches == 60_000 else 20_000 <= len(points) <= 60_000
    assert points[:, 1].mean() == pytest.approx(2.0, abs=0.01)  # as many above as below


def test_blocks_without_a_colour_take_their_own_one_after_the_other() -> None:
    plain = replace(HERB_BED.blocks[0], thread=Thread())
    own = [thread_colour(replace(plain, number=number)) for number in range(1, 10)]
    assert len(set(own[:8])) == 8
    assert own[8] == own[0] == "#3f6f8f"
    assert min(contrast(colour, GROUND) for colour in own) > 3  # WCAG 2.2, 1.4.11: what must be seen


def inside(line: Region, in_mm: float) -> FloatArray:
    """A grid of points that lie so far within a line."""
    (core,) = geo.grow(line, -in_mm)
    x0, y0, x1, y1 = geo.bounds(core)
    grid = np.stack(np.meshgrid(np.arange(x0, x1, 0.4), np.arange(y0, y1, 0.4)), axis=-1).reshape(-1, 2)
    return geo.frozen(grid[geo.contains_points(core, geo.frozen(grid))])


def test_a_piece_is_tinted_with_its_fabric_so_that_a_thread_of_that_colour_still_shows() -> None:
    colour = "#c03030"
    seen = rendered(picture(outlines=herbs.outlines(), colours={"A": colour}))
    fabric = np.median(seen.at(inside(herbs.LEAF_A, 4.0)), axis=0)
    assert np.abs(fabric - (0.6 * rgb_of(colour) + 0.4 * rgb_of(GROUND))).max() < 2
    unknown = np.median(seen.at(inside(herbs.LEAF_B, 4.0)), axis=0)
    assert 8 < np.abs(unknown - rgb_of(GROUND)).max() < 60  # told from the ground, and pale
    through_the_hole = seen.at(geo.frozen(np.array([0.0, 25.0]) + np.c_[np.cos(SPREAD), np.sin(SPREAD)]))
    assert np.abs(through_the_hole - rgb_of(GROUND)).max() < 2


def test_the_fabric_of_a_later_piece_hides_that_of_an_earlier_one() -> None:
    plain = herbs.outlines().outlines[0]
    pieces = [replace(plain.piece, id=name) for name in "AB"]
    known = replace(herbs.outlines(), outlines=tuple(replace(plain, piece=piece) for piece in pieces))
    colours = {"A": "#000000", "B": "#c03030"}
    both = rendered(picture(design_of([(-80, -50), (0, 20)]), NOTHING, outlines=known, colours=colours))
    fabric = np.median(both.at(inside(herbs.LEAF_A, 4.0)), axis=0)
    assert np.abs(fabric - (0.6 * rgb_of("#c03030") + 0.4 * rgb_of(GROUND))).max() < 2


def test_the_cut_line_is_a_thin_dashed_line_that_is_light_between_its_dashes() -> None:
    seen = rendered(picture(outlines=herbs.outlines()))
    (cut,) = [outline.curve for outline in herbs.outlines().outlines if outline.piece.id == "A"]
    on_it = seen.at(geo.spaced(geo.flatten(cut.exterior, 0.05), 0.2))
    dark = np.abs(on_it - rgb_of(INK)).max(axis=1) < 40
    light = on_it.min(axis=1) > 200
    assert 0.5 < dark.mean() < 0.8
    assert light.mean() > 0.15
    assert 8 < np.count_nonzero(np.diff(dark.astype(int)) == 1) < 100  # dashes, no dots
    (beside,) = geo.grow(herbs.CUT["A"], 1.2)
    assert np.abs(seen.at(beside.exterior) - rgb_of(GROUND)).max() < 3


def test_nothing_is_cut_before_outlines_are_known() -> None:
    alone = picture()
    assert "stroke-dasharray" not in alone
    assert "evenodd" not in alone


# -- letters ------------------------------------------------------------------------------------------


def badges(picture: str) -> dict[str, tuple[Element, Element]]:
    """The shape and the text of each badge, by its text."""
    groups = [(g[0], g[-1]) for g in tree(picture).iter("g") if len(g) and g[-1].tag == "text"]
    return {text.text or "": (shape, text) for shape, text in groups}


def middle_of(shape: Element) -> tuple[float, float, float]:
    """Middle and half the width of a disc, a box or a diamond."""
    if shape.tag == "circle":
        x, y, half = (float(shape.attrib[name]) for name in ("cx", "cy", "r"))
        return x, y, half
    if shape.tag == "rect":
        left, top, width, height = (float(shape.attrib[name]) for name in ("x", "y", "width", "height"))
        assert width == height
        return left + width / 2, top + height / 2, width / 2
    corners = diamond(shape)
    return (*corners.mean(axis=0).tolist(), np.ptp(corners[:, 0]) / 2)


def diamond(path: Element) -> FloatArray:
    """Its corners: above, right, below, left."""
    form = re.fullmatch(r"M(\S+) (\S+)l(\S+) (\S+)l(\S+) (\S+)l(\S+) (\S+)Z", path.attrib["d"])
    assert form is not None
    return np.cumsum(np.array(form.groups(), dtype=float).reshape(4, 2), axis=0)


def marked() -> str:
    """A base layer, and two marks."""
    base = understood(herbs.ring(0, 0, 70, 1), kind="base")
    return picture(
        understanding=base,
        marks=(Mark(label="1", place=(10.0, 10.0)), Mark(label="12", place=(-50.0, 10.0))),
    )


@pytest.mark.parametrize(
    "draw",
    [picture, lambda: picture(understanding=herbs.understanding("12")), marked],
    ids=["one", "order", "marked"],
)
def test_letters_stand_in_the_middle_of_their_badges_large_enough_and_not_too_large(
    draw: Callable[[], str],
) -> None:
    """A bold capital is 0.7 of the type size high and some 0.6 wide (common sans serif type, from memory)."""
    found = badges(draw())
    assert found
    for text, (shape, label) in found.items():
        x, y, half = middle_of(shape)
        size = float(label.attrib["font-size"])
        assert label.attrib["text-anchor"] == "middle"
        assert float(label.attrib["x"]) == pytest.approx(x, abs=0.11), text
        assert float(label.attrib["y"]) - 0.35 * size == pytest.approx(y, abs=0.2), text
        assert 0.3 * half < 0.6 * size * len(text) < 1.8 * half, text
        assert 0.1 * half < float(shape.attrib["stroke-width"]) < 0.3 * half


@pytest.mark.parametrize("draw", [picture, marked], ids=["pieces", "marked"])
def test_letters_can_be_read_on_their_badges_and_the_badges_on_any_fabric(
    draw: Callable[[], str],
) -> None:
    """WCAG 2.2, 1.4.3: a contrast of 4.5 between letters and what they stand on."""
    for shape, label in badges(draw()).values():
        assert contrast(shape.attrib["fill"], label.attrib["fill"]) > 4.5
        assert contrast(shape.attrib["fill"], shape.attrib["stroke"]) > 4.5


def test_only_the_letter_of_an_unsure_piece_is_pale() -> None:
    pale = {
        text: contrast(shape.attrib["fill"], "#ffffff") < 1.5
        for text, (shape, _) in badges(picture()).items()
    }
    assert pale == {"A": False, "B": False, "C": False, "D?": True}


def test_a_badge_fits_a_small_piece_better_than_a_large_one_but_can_always_be_read() -> None:
    radii = []
    for radius in (0.5, 3.6, 30.0):
        one = geo.Region(exterior=herbs.ring(0, 0, radius, radius / 9).exterior)
        ((shape, _),) = badges(picture(understanding=understood(one))).values()
        radii.append(middle_of(shape)[2])
    x0, _, x1, _ = HERB_BED.bounds_mm
    assert radii[0] < radii[1] < radii[2]
    assert radii[1] < 3.6
    assert all((x1 - x0) / 60 < radius < (x1 - x0) / 30 for radius in radii)


def test_a_base_layer_has_a_box_round_the_same_middle() -> None:
    line = herbs.ring(5, 3, 60, 1)
    outer = geo.Region(exterior=line.exterior)
    ((box, _),), ((disc, _),) = (
        badges(picture(understanding=understood(outer, kind=kind))).values() for kind in ("base", "applique")
    )
    assert (box.tag, disc.tag) == ("rect", "circle")
    assert middle_of(box) == pytest.approx(middle_of(disc), abs=0.11)


discs = st.lists(st.tuples(st.floats(-60, 60), st.floats(-30, 40), st.floats(5, 14)), min_size=1, max_size=4)


@settings(max_examples=25)
@given(discs=discs)
def test_a_letter_never_stands_where_a_later_piece_lies_on_its_own(
    discs: list[tuple[float, float, float]],
) -> None:
    below = geo.Region(exterior=geo.frozen([(-75.0, -40.0), (75.0, -40.0), (75.0, 50.0), (-75.0, 50.0)]))
    above = [geo.Region(exterior=herbs.ring(x, y, radius, 1).exterior) for x, y, radius in discs]
    shape, _ = badges(picture(understanding=understood(below, *above)))["A"]
    (place,) = [geo.frozen([middle_of(shape)[:2]])]
    assert geo.contains_points(below, place).all()
    assert not any(geo.contains_points(disc, place).any() for disc in above)


def test_the_letter_of_a_piece_that_is_hidden_whole_stands_on_it_all_the_same() -> None:
    small, large = (geo.Region(exterior=herbs.ring(-40, 10, radius, 1).exterior) for radius in (8, 20))
    shape, _ = badges(picture(understanding=understood(small, large)))["A"]
    assert geo.contains_points(small, geo.frozen([middle_of(shape)[:2]])).all()


# -- pins ---------------------------------------------------------------------------------------------


def pins(*places: tuple[float, float], known: Understanding = NOTHING) -> tuple[str, list[FloatArray]]:
    """A picture with marks, and the corners of their diamonds."""
    marks = [Mark(label=str(number), place=place) for number, place in enumerate(places, 1)]
    shown = picture(understanding=known, marks=marks)
    return shown, [diamond(path) for path in tree(shown).iter("path") if path.attrib.get("fill") == "#ffd166"]


x0, y0, x1, y1 = HERB_BED.bounds_mm
anywhere = st.lists(st.tuples(st.floats(x0, x1), st.floats(y0, y1)), min_size=1, max_size=6)


@settings(max_examples=40)
@given(places=anywhere)
def test_every_pin_touches_its_place_with_one_tip_and_stays_in_the_picture(
    places: Sequence[tuple[float, float]],
) -> None:
    shown, found = pins(*places)
    left, top, right, bottom = view_of(shown)
    for place, corners in zip(places, found, strict=True):
        assert np.hypot(*(corners - place).T).min() < 0.25  # tenths of four numbers
        assert (corners.min(axis=0) >= (left - 0.2, top - 0.2)).all()
        assert (corners.max(axis=0) <= (right + 0.2, bottom + 0.2)).all()


def test_a_pin_stands_above_its_place_and_four_of_one_place_all_apart() -> None:
    place = (-22.0, 25.0)
    _, found = pins(place, place, place, place)
    middles = [corners.mean(axis=0) for corners in found]
    assert middles[0] == pytest.approx((place[0], place[1] - np.ptp(found[0][:, 1]) / 2), abs=0.2)
    half = np.ptp(found[0][:, 0]) / 2
    assert all(np.hypot(*(one - other)) > 1.3 * half for one, other in combinations(middles, 2))


def test_a_pin_turns_away_from_a_letter() -> None:
    below = geo.Region(exterior=herbs.ring(0, 0, 30, 1).exterior)
    known = understood(below)
    x, y, _ = middle_of(badges(picture(understanding=known))["A"][0])
    _, (clear,) = pins((x, y + 30), known=known)
    assert clear.mean(axis=0)[1] < y + 30
    _, (turned,) = pins((x, y + 4), known=known)
    assert turned.mean(axis=0)[1] > y + 4


def test_the_dot_of_a_pin_shows_its_place_exactly_and_is_smaller_than_the_pin() -> None:
    shown, (corners,) = pins((-22.0, 25.0))
    (dot,) = [circle for circle in tree(shown).iter("circle") if "stroke" not in circle.attrib]
    assert (float(dot.attrib["cx"]), float(dot.attrib["cy"])) == (-22.0, 25.0)
    half = np.ptp(corners[:, 0]) / 2
    assert 0.1 * half < float(dot.attrib["r"]) < 0.3 * half
