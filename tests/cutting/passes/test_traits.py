"""One table says of each way to stitch what it is good for."""

from __future__ import annotations

import pytest

from piecewright.cutting.passes import ACROSS, AREAS, COVERING, FIRM, LINES, PLACING, TRAITS, Stitch


def test_every_way_to_stitch_has_its_row_and_words_for_the_sewer_but_what_is_unclear() -> None:
    assert set(TRAITS) == set(Stitch)
    assert [stitch for stitch, one in TRAITS.items() if not one.words] == [Stitch.UNCLEAR]


def test_a_line_has_no_sides_and_an_area_neither_sides_nor_a_way_to_place_or_hold() -> None:
    assert not LINES & ACROSS
    assert not AREAS & (LINES | ACROSS | PLACING | FIRM | COVERING)


@pytest.mark.parametrize("stitch", [Stitch.ZIGZAG, Stitch.SATIN, Stitch.BLANKET])
def test_what_has_sides_can_lie_over_a_raw_edge(stitch: Stitch) -> None:
    assert stitch in ACROSS & COVERING
