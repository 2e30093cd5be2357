"""How much of each fabric a job takes."""

from __future__ import annotations

import pytest

from piecewright.cutting.mats import lay
from tests.cutting.mats.support import demand, rectangle, rules


def test_a_sheet_is_as_large_as_its_pieces_need_rounded_up_to_what_a_person_cuts() -> None:
    # One piece of 100 mm by 60 mm in the corner of the bed (margin 5 mm), 5 mm of fabric beyond it.
    [need] = lay([demand(rectangle(100, 60))], rules(turning="none")).fabrics
    assert (need.width_mm, need.height_mm, need.count) == (110.0, 70.0, 1)
    assert need.area_mm2 == pytest.approx(6000.0)


def test_in_inches_it_is_rounded_up_to_quarters() -> None:
    [need] = lay([demand(rectangle(100, 60))], rules(turning="none", show="in")).fabrics
    assert (need.width_mm / 25.4, need.height_mm / 25.4) == pytest.approx((4.5, 3.0))


def test_it_is_never_larger_than_mat_or_fabric() -> None:
    small = {"moss": {"width": "152 mm", "height": "202 mm"}}
    [need] = lay([demand(rectangle(142, 192), fabric="moss")], rules(fabrics=small, turning="none")).fabrics
    assert (need.width_mm, need.height_mm) == (152.0, 202.0)


def test_a_bolt_is_needed_by_its_length() -> None:
    # Six rectangles of 300 mm by 300 mm: three beside each other on a bolt of 1100 mm, so two rows.
    bolt = {"moss": {"width": "1100 mm"}}
    layout = lay([demand(rectangle(290, 290), fabric="moss", copies=6)], rules(fabrics=bolt))
    assert len(layout.mats) == 6
    assert [(need.count, need.bolt_mm, need.sheets) for need in layout.fabrics] == [(6, 600.0, None)]


def test_sheets_are_counted() -> None:
    # A sheet of 610 mm by 305 mm gives fabric for two mats.
    sheet = {"moss": {"width": "610 mm", "height": "305 mm"}}
    layout = lay([demand(rectangle(290, 290), fabric="moss", copies=5)], rules(fabrics=sheet))
    assert [(need.count, need.bolt_mm, need.sheets) for need in layout.fabrics] == [(5, None, 3)]


def test_of_a_fabric_without_a_size_only_the_rectangles_are_known() -> None:
    [need] = lay([demand(rectangle(50, 50), fabric="moss")], rules()).fabrics
    assert (need.bolt_mm, need.sheets) == (None, None)
