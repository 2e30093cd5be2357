"""Paper templates."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import numpy as np
import pypdfium2
import pytest

from piecewright.cutting.errors import SelfCheckFailed
from piecewright.cutting.formats import pdf
from piecewright.cutting.formats.pdf.canvas import fitted, in_alphabet, width_mm
from piecewright.cutting.formats.pdf.plan import OVERLAP_MM, plan, usable
from piecewright.cutting.geometry import ring_area
from tests.cutting.formats.mats_by_hand import HOSTILE, demand, leaf, polygon, rectangle, ring, star

if TYPE_CHECKING:
    from piecewright.cutting.formats.pdf import Paper, Template
    from piecewright.cutting.geometry import CurvedRegion


def templates(*outlines: CurvedRegion) -> tuple[Template, ...]:
    return pdf.templates_of([demand(outline, piece=f"P{n}") for n, outline in enumerate(outlines)], {}, {})


def words(data: bytes) -> list[str]:
    document = pypdfium2.PdfDocument(data)
    return [page.get_textpage().get_text_bounded() for page in document]


def test_a_piece_has_one_template_however_many_fabrics_it_is_cut_from() -> None:
    (template,) = pdf.templates_of(
        [demand(leaf(60), fabric="moss", copies=4), demand(leaf(60), fabric="rust", copies=2)],
        {},
        {"moss": "Moss linen", "rust": ""},
    )
    assert template.counts == (("Moss linen", 4), ("rust", 2))


def test_a_template_for_the_back_of_the_fabric_is_mirrored_with_its_sewing_line() -> None:
    # the long leg of an L points right, mirrored it points left
    corner = rectangle(10, 40)
    (template,) = pdf.templates_of([demand(corner, face_down=True)], {"A": rectangle(2, 40, 1, 0)}, {})
    assert template.line is not None
    xs = template.line.exterior[:, 0, 0]
    assert (xs.min(), xs.max()) == (7.0, 9.0)


def test_pieces_are_printed_at_their_size_with_their_holes_first() -> None:
    shown = pdf.read_back(pdf.write(templates(ring(30.0, 10.0), rectangle(50.8, 25.4)), "x", "a4", "mm"))
    round_one, square = sorted(shown, key=lambda one: -len(one.lines))
    hole, outline = round_one.lines
    assert abs(ring_area(hole)) < abs(ring_area(outline))
    assert np.ptp(outline, axis=0) == pytest.approx((60.0, 60.0), abs=0.02)
    assert np.ptp(square.lines[0], axis=0) == pytest.approx((50.8, 25.4), abs=1e-4)


def test_small_templates_share_sheets_and_never_lie_on_each_other() -> None:
    pieces = templates(*(star(12.0 + n) for n in range(40)))
    sheets = plan(pieces, "letter")
    assert sorted(spot.template for sheet in sheets for spot in sheet) == list(range(40))
    assert len(sheets) < 10
    left, top, width, height = usable("letter")
    for sheet in sheets:
        boxes = [(spot.x_mm, spot.y_mm, *pieces[spot.template].size_mm) for spot in sheet]
        for n, (x, y, w, h) in enumerate(boxes):
            assert left <= x <= x + w <= left + width
            assert top <= y <= y + h <= top + height
            assert all(x + w <= a or a + c <= x or y + h <= b or b + d <= y for a, b, c, d in boxes[:n])


def test_a_template_longer_than_the_paper_is_wide_is_turned() -> None:
    ((spot,),) = plan(templates(rectangle(240, 30)), "a4")
    assert spot.turned
    (shown,) = pdf.read_back(pdf.write(templates(rectangle(240, 30)), "x", "a4", "mm"))
    assert np.ptp(shown.lines[0], axis=0) == pytest.approx((30, 240), abs=1e-4)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_template_larger_than_the_paper_is_tiled_without_gaps(paper: Paper) -> None:
    left, top, width, height = usable(paper)
    (shown, *more) = pdf.read_back(pdf.write(templates(rectangle(400, 500)), "x", paper, "mm"))
    covered = np.zeros((500, 400), dtype=bool)
    for one in (shown, *more):
        assert one.window == pytest.approx((left, top, width, height), abs=1e-4)
        x, y = np.array([left, top]) - one.lines[0].min(axis=0)
        covered[max(0, round(y)) : round(y + height), max(0, round(x)) : round(x + width)] = True
    assert covered.all()


def test_neighbours_overlap_and_carry_the_same_crosses_at_the_same_place() -> None:
    sheets = [sheet[0] for sheet in plan(templates(rectangle(300, 300)), "a4")]
    seen: dict[int, list[tuple[float, float]]] = {}
    for spot in sheets:
        assert spot.window is not None
        x0, y0, width, height = spot.window
        for cross in spot.crosses:
            seen.setdefault(cross.number, []).append((cross.x, cross.y))
            x, y = cross.x + spot.x_mm - x0, cross.y + spot.y_mm - y0
            near_an_edge = min(x, y, width - x, height - y)
            assert near_an_edge == pytest.approx(OVERLAP_MM / 2)
    assert len(seen) == 8  # four overlaps of two sheets, two crosses each
    assert all(len(places) == 2 and places[0] == places[1] for places in seen.values())


def test_a_tile_that_shows_nothing_is_not_printed() -> None:
    # an L, 460 mm both ways and 40 mm wide, leaves the sheets inside its corner empty
    corners = [(0.0, 0.0), (40.0, 0.0), (40.0, 420.0), (460.0, 420.0), (460.0, 460.0), (0.0, 460.0)]
    tiles = [sheet[0] for sheet in plan(templates(polygon(*corners)), "a4")]
    assert len(tiles) == 4
    assert tiles[0].tile == (1, 1, 2, 3)


def test_the_sheets_say_what_to_cut_from_what() -> None:
    data = pdf.write(
        pdf.templates_of(
            [demand(leaf(60), copies=4), demand(star(90), "B", fabric="rust", face_down=True)],
            {"A": leaf(57)},
            {"moss": "Moss linen"},
        ),
        "Herb bed",
        "a4",
        "in",
    )
    cover, *sheets = words(data)
    assert "Cut 4 of Moss linen" in cover
    assert "2.36 in" in cover  # 60 mm
    assert "Mirrored" in " ".join(sheets)
    for sheet in (cover, *sheets):
        assert "This bar measures 50 mm." in sheet
        assert "This bar measures 2 in." in sheet
        assert "print at 100 %" in sheet


def test_a_long_list_goes_on_over_more_sheets() -> None:
    pieces = templates(*[rectangle(20, 20)] * 90)
    listed = " ".join(page for page in words(pdf.write(pieces, "x", "letter", "mm")) if "Size" in page)
    assert sorted(set(re.findall(r"P\d+", listed))) == sorted(f"P{n}" for n in range(90))


def test_the_words_under_a_piece_that_is_cut_inside_its_line_stand_clear_of_the_line() -> None:
    def first_word_at(line: CurvedRegion) -> float:
        data = pdf.write(pdf.templates_of([demand(rectangle(60, 40))], {"A": line}, {}), "x", "a4", "mm")
        place = re.search(rb"([\d.]+) ([\d.]+) Tm \(A [^)]*bed\.dst", data)
        assert place is not None
        return float(place[2]) / 72 * 25.4

    on_it, outside = first_word_at(rectangle(60, 40)), first_word_at(rectangle(64, 44, -2, -2))
    assert on_it - outside == pytest.approx(2.0, abs=0.01)


def test_the_sewing_line_is_not_taken_for_a_cut_line() -> None:
    data = pdf.write(pdf.templates_of([demand(leaf(60))], {"A": leaf(57, 1.5)}, {}), "x", "a4", "mm")
    assert len(pdf.read_back(data)) == 1


def test_a_line_that_the_close_operator_finishes_is_read_whole() -> None:
    data = pdf.write(templates(rectangle(60, 40)), "x", "a4", "mm")
    (whole,) = pdf.read_back(data)
    last_side = re.search(rb"\S+ \S+ l h\nS", data)
    assert last_side is not None
    (closed,) = pdf.read_back(data.replace(last_side[0], b"h\nS"))
    assert closed.lines[0] == pytest.approx(whole.lines[0])


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        (rb"/Kids \[[^\]]*\]", b"", "no pages"),
        (rb"/Contents \d+ 0 R", b"", "empty"),
        (rb"/MediaBox \[[^\]]*\]", b"", "empty"),
        (rb"\S+ \S+ l h\nS", b"S", "not closed"),
        (rb"1 0 0 1 0 0 cm", b"1 0 0 2 0 0 cm", "stretches"),
        (rb"1 0 0 1 0 0 cm", b"1 0 0.5 1 0 0 cm", "stretches"),
    ],
)
def test_the_reader_refuses_what_a_template_must_not_hold(old: bytes, new: bytes, message: str) -> None:
    data = pdf.write(templates(rectangle(60, 40)), "x", "a4", "mm")
    assert re.search(old, data)
    with pytest.raises(SelfCheckFailed, match=message):
        pdf.read_back(re.sub(old, new, data))


def test_the_reader_follows_turns_scales_and_moves() -> None:
    """A quarter turn and a scale of 2: (x, y) becomes (-2 y + 300, 2 x + 100) points, y up."""
    data = pdf.write(templates(rectangle(60, 40)), "x", "a4", "mm")
    (plain,) = pdf.read_back(data)
    thin = b"%g w" % (0.35 / 25.4 * 72 / 2)  # at twice the scale half the width
    moved = re.sub(rb"1 0 0 1 0 0 cm", b"0 2 -2 0 300 100 cm", data)
    moved = re.sub(rb"\.9921\d+ w", thin, moved)
    (turned,) = pdf.read_back(moved)
    height, point = 297.0, 25.4 / 72
    x, up = plain.lines[0][:, 0], height - plain.lines[0][:, 1]
    expected = np.stack([-2 * up + 300 * point, height - (2 * x + 100 * point)], axis=1)
    assert turned.lines[0] == pytest.approx(expected, abs=0.01)


def test_the_same_pieces_give_the_same_bytes() -> None:
    pieces = templates(leaf(60), ring(200, 20))
    assert pdf.write(pieces, "x", "a4", "mm") == pdf.write(pieces, "x", "a4", "mm")


@pytest.mark.parametrize("name", HOSTILE)
@pytest.mark.parametrize("size", [60, 400])
def test_names_are_words_whatever_they_hold(name: str, size: float) -> None:
    pieces = pdf.templates_of([demand(leaf(size), piece=name, fabric=name)], {}, {"": name, name: name})
    data = pdf.write(pieces, name, "a4", "mm")
    assert {len(one.lines) for one in pdf.read_back(data)} == {1}
    assert len(pypdfium2.PdfDocument(data)) >= 2


def test_other_scripts_are_written_in_latin_letters() -> None:
    assert in_alphabet("Хлопок") == "Khlopok"
    assert in_alphabet("crème brûlée") == "crème brûlée"
    assert in_alphabet("青い").isascii()


def test_words_are_shortened_to_the_width_that_they_have_and_no_further() -> None:
    text = "Poppies and meadow grass"
    for room in (12.0, 20.0, 31.0):
        short = fitted(text, room, 3.2)
        kept = len(short) - 1
        assert short == text[:kept] + "…"
        assert width_mm(short, 3.2) <= room < width_mm(text[: kept + 1] + "…", 3.2)
    assert fitted(text, width_mm(text, 3.2), 3.2) == text


def test_no_blank_is_left_before_the_dots_and_dots_alone_where_nothing_fits() -> None:
    assert fitted("Poppy red", width_mm("Poppy …", 3.2) + 0.1, 3.2) == "Poppy…"
    assert fitted("Poppy red", 0.5, 3.2) == "…"
