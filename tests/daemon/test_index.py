"""The index of the outbox, on real folders."""

from __future__ import annotations

import json
import shutil
from typing import TYPE_CHECKING

import pytest

from tests.cutting.sheet.case import HOSTILE
from tests.daemon.index_shop import OCTOBER, Shop, put, report
from tests.markup import assert_is_self_contained

if TYPE_CHECKING:
    from pathlib import Path


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    made = Shop(outbox=tmp_path / "outbox", work=tmp_path / "work", failed=tmp_path / "failed")
    for folder in (made.outbox, made.work, made.failed):
        folder.mkdir()
    return made


def test_a_job_is_listed_with_its_name_status_findings_product_and_time(shop: Shop) -> None:
    put(shop.outbox, "herb-bed_1", report())
    shop.rebuild()
    for text in ("herb bed.dst", "✓ Cut: 2 pieces on 1 mat", "1 finding", "Runner", "2026-11-03 09:30"):
        assert text in shop.page()
    assert 'href="herb-bed_1/sheet.html"' in shop.page()


def test_every_page_is_valid_html5_as_a_strict_parser_reads_it(shop: Shop) -> None:
    put(shop.outbox, "a_1", report(HOSTILE, product=HOSTILE))
    for number in range(12):
        put(
            shop.failed,
            f"f{number}",
            report(HOSTILE, error={"message": HOSTILE, "advice": "Export it again."}),
        )
    shop.rebuild()
    for page in shop.outbox.glob("*.html"):
        assert_is_self_contained(page.read_text(encoding="utf-8"))


def test_a_folder_taken_out_of_the_outbox_stays_listed_without_a_link(shop: Shop) -> None:
    job = put(shop.outbox, "a_1", report())
    shop.rebuild()
    shutil.rmtree(job)
    shop.rebuild()
    assert "taken out of the outbox" in shop.page()
    assert 'href="a_1' not in shop.page()


def test_a_known_report_is_not_read_again(shop: Shop) -> None:
    job = put(shop.outbox, "a_1", report("first.dst"))
    shop.rebuild()
    (job / "report.json").write_text(json.dumps(report("changed behind our back.dst")))
    shop.rebuild()
    assert "first.dst" in shop.page()


def test_damaged_notes_are_made_again_from_the_reports(shop: Shop) -> None:
    put(shop.outbox, "a_1", report())
    shop.rebuild()
    for note in (shop.outbox / ".index").iterdir():
        note.write_bytes(b"{")
        shop.rebuild()
        assert "herb bed.dst" in shop.page()


def test_jobs_are_paged_by_month_and_the_first_page_links_every_month(shop: Shop) -> None:
    put(shop.outbox, "a_1", report("old.dst"), when=OCTOBER)
    put(shop.outbox, "b_2", report("new.dst"))
    shop.rebuild()
    assert "old.dst" in shop.page("index-2026-10.html")
    assert "new.dst" not in shop.page("index-2026-10.html")
    assert "October 2026" in shop.page()


def test_a_job_set_aside_is_told_with_its_reason_and_disappears_when_it_is_cleared(shop: Shop) -> None:
    error = {"message": "The file is cut short.", "advice": "Copy it again."}
    job = put(shop.failed, "f_1", report(status="refused", error=error))
    (job / "claim.json").write_text(json.dumps({"name": "dropped name.zip"}))
    shop.rebuild()
    for text in ("dropped name.zip", "The file is cut short. Copy it again."):
        assert text in shop.page()
    shutil.rmtree(job)
    shop.rebuild()
    assert "cut short" not in shop.page()


def test_what_is_in_work_is_told_from_its_claim(shop: Shop) -> None:
    (shop.work / "j_1").mkdir()
    claim = {"name": "tulips.pes", "product": "Cushion", "claimed": "2026-11-25T13:59:00+00:00"}
    (shop.work / "j_1" / "claim.json").write_text(json.dumps(claim))
    shop.rebuild()
    for text in ("tulips.pes", "Cushion", "since 2026-11-25 13:59"):
        assert text in shop.page()
