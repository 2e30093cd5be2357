"""What stands where on a sheet of paper, as another program (pdfium) sees it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pypdfium2
import pytest

from piecewright.cutting.formats import pdf
from piecewright.cutting.formats.pdf.plan import OVERLAP_MM, plan
from piecewright.cutting.geometry import roomiest_point
from tests.cutting.formats.mats_by_hand import demand, leaf, rectangle, star

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.formats.pdf import Paper, Template

Box = tuple[float, float, float, float]
"""Left, top, right, bottom in mm from the upper left corner of the paper, y down."""

POINT = 25.4 / 72
PEN_MM = 0.36
"""pdfium takes a line as wide as this at least."""

PRINTABLE = {"a4": (10.0, 10.0, 200.0, 287.0), "letter": (10.0, 10.0, 205.9, 269.4)}
"""Paper less 10 mm all round, which printers may leave white: 210 x 297 mm, 215.9 x 279.4 mm."""


class Sheet:
    """One page: boxes of its lines and of its words."""

    def __init__(self, data: bytes, number: int) -> None:
        """Look at a page, counted from 0."""
        page = pypdfium2.PdfDocument(data)[number]
        self._height = page.get_height() * POINT
        words = page.get_textpage()
        places = [words.get_rect(n) for n in range(words.count_rects())]
        self.words = {words.get_text_bounded(*place).strip(): self._box(place) for place in places}
        self.lines = [self._box(one.get_bounds()) for one in page.get_objects() if one.type == 2]

    def _box(self, points: Sequence[float]) -> Box:
        left, bottom, right, top = (value * POINT for value in points)
        return (left, self._height - top, right, self._height - bottom)

    def upright(self, least: float = 0.0) -> list[Box]:
        """Vertical lines, their ends and their one x, at least so long."""
        return [
            (a, b + PEN_MM / 2, c, d - PEN_MM / 2) for a, b, c, d in self.lines if c - a < 0.5 < d - b - least
        ]

    def level(self, least: float = 0.0) -> list[Box]:
        """Horizontal lines, at least so long."""
        return [
            (a + PEN_MM / 2, b, c - PEN_MM / 2, d) for a, b, c, d in self.lines if d - b < 0.5 < c - a - least
        ]


def pieces(*demands: pdf.Template | object) -> tuple[Template, ...]:
    return pdf.templates_of(demands, {}, {})  # type: ignore[arg-type]  # demands made by hand


def sheets(*demands: object, paper: Paper = "a4") -> list[Sheet]:
    data = pdf.write(pieces(*demands), "Herb bed", paper, "mm")
    return [Sheet(data, number) for number in range(len(pypdfium2.PdfDocument(data)))]


def middle(box: Box) -> tuple[float, float]:
    return ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)


@pytest.mark.parametrize(("paper", "bottom", "right"), [("a4", 297.0, 210.0), ("letter", 279.4, 215.9)])
def test_the_bars_at_the_foot_are_50_mm_and_2_in_long_with_ticks_on_every_cm_and_half_inch(
    paper: Paper, bottom: float, right: float
) -> None:
    for sheet in sheets(demand(leaf(60)), demand(star(300.0), "B"), paper=paper):
        bars = [box for box in sheet.level(40.0) if box[1] > bottom - 13]
        assert [box[2] - box[0] for box in bars] == pytest.approx([50.0, 50.8], abs=0.05)
        assert bars[0][0] == pytest.approx(10.0, abs=0.05)
        assert bars[1][2] == pytest.approx(right - 10.0, abs=0.05)
        ticks = [box for box in sheet.upright() if bottom - 14.5 < box[1] < box[3] < bottom - 10]
        metric, inch = ([box for box in ticks if (middle(box)[0] < 100) is left] for left in (True, False))
        for marks, bar, parts in ((metric, bars[0], 5), (inch, bars[1], 4)):
            assert [middle(box)[0] for box in marks] == pytest.approx(
                np.linspace(bar[0], bar[2], parts + 1), abs=0.05
            )
            tall = [box[3] - box[1] for box in marks]
            assert tall == pytest.approx([2.5, *[1.25] * (parts - 1), 2.5], abs=0.05)


def test_every_sheet_says_which_it_is_and_of_what() -> None:
    every = sheets(demand(star(300.0)))
    for number, sheet in enumerate(every, 1):
        assert f"Sheet {number} of {len(every)} · print at 100 %" in sheet.words
        assert "Herb bed" in sheet.words
        for text, left in (("This bar measures 50 mm.", 10.0), ("This bar measures 2 in.", 149.2)):
            assert sheet.words[text][0] == pytest.approx(left, abs=0.5)
            assert sheet.words[text][3] < 283.6  # above its bar and ticks


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_nothing_is_drawn_where_a_printer_leaves_the_paper_white(paper: Paper) -> None:
    many = [demand(rectangle(28.0 + n, 20.0 + n), f"P{n}", fabric="moss" * 20) for n in range(30)]
    large = [demand(rectangle(400, 500), "Q"), demand(rectangle(240, 30), "R")]
    left, top, right, bottom = PRINTABLE[paper]
    for sheet in sheets(*many, *large, paper=paper):
        for x0, y0, x1, y1 in [*sheet.lines, *sheet.words.values()]:
            if x1 - x0 < right - left and y1 - y0 < bottom - top:  # what a window cuts off may reach farther
                assert left - 0.4 <= x0 <= x1 <= right + 0.4 or x1 < left or x0 > right
                assert top - 0.4 <= y0 <= y1 <= bottom + 0.4 or y1 < top or y0 > bottom


def test_the_caption_stands_under_its_template_line_by_line() -> None:
    base = demand(rectangle(60, 40), "A", fabric="moss", copies=3, face_down=True)
    (_, sheet) = sheets(base, demand(rectangle(60, 40), "A", fabric="rust", copies=1, face_down=True))
    lines = ["A · bed.dst", "Cut 3 of moss", "Cut 1 of rust", "Mirrored: lay it on the back of the fabric."]
    places = [sheet.words[line] for line in lines]
    cut = next(box for box in sheet.lines if box[2] - box[0] > 59 and box[3] - box[1] > 39)
    assert [box[0] for box in places] == pytest.approx([cut[0]] * 4, abs=0.6)
    assert places[0][1] > cut[3]
    bases = [box[3] for box in places]
    assert np.diff(bases) == pytest.approx([4.2] * 3, abs=0.8)
    assert "base layer" not in " ".join(sheet.words)


def test_a_base_layer_is_called_one() -> None:
    (_, sheet) = sheets(replace(demand(rectangle(60, 40)), base=True))
    assert "A · bed.dst · base layer" in sheet.words


def test_captions_never_lie_on_another_template() -> None:
    few = [demand(rectangle(50 + 3 * n, 20 + n), f"P{n}", fabric="moss", copies=2) for n in range(18)]
    for sheet in sheets(*few)[1:]:
        cuts = [box for box in sheet.lines if box[2] - box[0] > 45 and box[3] - box[1] > 15]
        for text, (x0, y0, x1, y1) in sheet.words.items():
            if "·" in text or "Cut" in text:
                assert all(x1 < a or x0 > c or y1 < b or y0 > d for a, b, c, d in cuts), text


@pytest.mark.parametrize("turned", [False, True])
def test_letter_and_grain_arrow_stand_side_by_side_in_the_roomiest_place(turned: bool) -> None:
    width, height = (230.0, 60.0) if turned else (60.0, 90.0)
    templates = pieces(demand(rectangle(width, height), "B"))
    ((spot,),) = plan(templates, "a4")
    assert spot.turned is turned
    sheet = Sheet(pdf.write(templates, "x", "a4", "mm"), 1)
    *_, radius = roomiest_point(templates[0].cut)
    arrows = [box for box in (sheet.level if turned else sheet.upright)(15.0) if 25 < middle(box)[1] < 280]
    arrow = min(arrows, key=lambda box: max(box[2] - box[0], box[3] - box[1]))
    long = arrow[2] - arrow[0] if turned else arrow[3] - arrow[1]
    assert long == pytest.approx(min(40.0, radius), abs=0.1)
    letter = sheet.words["B"]
    assert letter[3] - letter[1] == pytest.approx(12.0 * 0.72, abs=0.6)  # capitals are 0.72 of a font's size
    side, along = (1, 0) if turned else (0, 1)
    assert abs(middle(letter)[along] - middle(arrow)[along]) < 3.0
    assert 0.5 * radius <= middle(arrow)[side] - middle(letter)[side] <= radius
    tips = [
        box
        for box in sheet.lines
        if 1.0 < box[2] - box[0] < 2.5 and 0.8 < box[3] - box[1] < 2.5 and 25 < box[1] < 270
    ]
    assert len(tips) == 4  # two heads of two strokes
    for tip in tips:
        ends = (arrow[0], arrow[2]) if turned else (arrow[1], arrow[3])
        assert min(abs(middle(tip)[along] - end) for end in ends) < 1.5


def test_a_piece_without_room_for_a_letter_is_named_by_its_caption_alone() -> None:
    (_, small) = sheets(demand(rectangle(60, 7.9), "B"))
    assert "B" not in small.words
    assert "B · bed.dst" in small.words
    (_, large) = sheets(demand(rectangle(60, 9), "B"))
    assert "B" in large.words


def test_tiles_show_their_joins_their_crosses_and_their_place() -> None:
    templates = pieces(demand(rectangle(300, 300), "B"))
    spots = [sheet[0] for sheet in plan(templates, "a4")]
    data = pdf.write(templates, "x", "a4", "mm")
    for number, spot in enumerate(spots, 1):
        sheet = Sheet(data, number)
        assert spot.window is not None
        assert spot.tile is not None
        row, column, rows, columns = spot.tile
        assert (
            f"Row {row} of {rows}, column {column} of {columns} · B · bed.dst · Cut 1 of moss" in sheet.words
        )
        x, y, width, height = spot.window
        joins = {
            round(middle(box)[0], 1) for box in sheet.upright(height - 1) if x < middle(box)[0] < x + width
        }
        assert joins == {round(x + width - OVERLAP_MM if column == 1 else x + OVERLAP_MM, 1)}
        joins = {
            round(middle(box)[1], 1) for box in sheet.level(width - 1) if y < middle(box)[1] < y + height
        }
        assert joins == {round(y + height - OVERLAP_MM if row == 1 else y + OVERLAP_MM, 1)}
        for cross in spot.crosses:
            at = (cross.x + spot.x_mm, cross.y + spot.y_mm)
            arms = [box for box in sheet.lines if np.hypot(*np.subtract(middle(box), at)) < 0.05]
            sizes = sorted((round(b[2] - b[0] - PEN_MM, 1), round(b[3] - b[1] - PEN_MM, 1)) for b in arms)
            assert sizes == [(0.0, 6.0), (6.0, 0.0)]
            label = sheet.words[str(cross.number)]
            assert 0.0 < label[0] - at[0] < 1.5
            assert -4.0 < label[3] - at[1] < 0.0
