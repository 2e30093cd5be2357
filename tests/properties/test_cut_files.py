"""read(write(x)) is x, for outlines that no person would draw."""

from __future__ import annotations

import math
from typing import get_args

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from piecewright.cutting.cutfiles import paper_templates, write_cut_files
from piecewright.cutting.geometry import CurvedRegion, frozen
from piecewright.cutting.matformats import MAT_FORMATS
from piecewright.cutting.rules import Writable
from piecewright.cutting.selfcheck import check
from tests.cutting.formats.mats_by_hand import demand, laid, layout, mat, rules

ALL = rules(formats=get_args(Writable), pen_labels=True)
WAVY = 1.7


@st.composite
def outlines(draw: st.DrawFn) -> CurvedRegion:
    """A closed chain of cubics round a middle, some straight, some with tips, some with a small hole."""
    count = draw(st.integers(3, 12))
    middle = np.array([draw(st.floats(110, 190)), draw(st.floats(110, 190))])
    reach = [draw(st.floats(8, 90)) for _ in range(count)]
    turns = np.arange(count) * 2 * math.pi / count
    corners = middle + np.stack([reach * np.cos(turns), reach * np.sin(turns)], axis=1)
    segments = []
    for begin, end in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        out = np.array([end[1] - begin[1], begin[0] - end[0]]) * draw(st.sampled_from([0.0, 0.1, 0.3, -0.05]))
        chord = (end - begin) / 3
        segments.append([begin, begin + chord * draw(st.floats(0.5, WAVY)) + out, end - chord + out, end])
    hole = middle + 0.2 * (corners - middle)
    ring = np.stack([hole + (np.roll(hole, -1, axis=0) - hole) * share / 3 for share in range(4)], axis=1)
    return CurvedRegion(exterior=frozen(segments), holes=(frozen(ring),) if draw(st.booleans()) else ())


@settings(max_examples=40)
@given(outlines())
def test_every_file_says_the_layout_whatever_the_outline(outline: CurvedRegion) -> None:
    mats = layout(mat(laid(outline)))
    templates = paper_templates([demand(outline)], {}, ALL)
    files = write_cut_files(mats, templates, ALL)
    check(files, mats, templates)
    assert [file.kind for file in files] == [*MAT_FORMATS, "pen", "pdf"]
