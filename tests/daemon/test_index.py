"""The index of the outbox, on real folders."""

from __future__ import annotations

import json
import os
import re
import shutil
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import unquote_to_bytes

import pytest

from piecewright.daemon.disk import write_whole
from piecewright.daemon.index import IndexState, memory, rebuilding
from piecewright.daemon.rulebook import load
from tests.check import TOP
from tests.cutting.sheet.case import HOSTILE
from tests.daemon.index_shop import NOVEMBER, NOW, OCTOBER, Shop, put, report
from tests.markup import assert_is_self_contained, parse, text_of

if TYPE_CHECKING:
    from piecewright.daemon.disk import Disk


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


def test_a_month_with_many_jobs_has_several_pages_and_none_is_lost(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(memory, "PAGE_SIZE", 2)
    for number in range(5):
        put(shop.outbox, f"job_{number}", report(f"design {number}.dst"), when=NOVEMBER + number)
    shop.rebuild()
    pages = {path.name: shop.page(path.name) for path in shop.outbox.glob("index-2026-11*.html")}
    assert sorted(pages) == ["index-2026-11-2.html", "index-2026-11-3.html", "index-2026-11.html"]
    for number in range(5):
        assert sum(f"design {number}.dst" in page for page in pages.values()) == 1
    assert "November 2026, part 3" in shop.page()


def test_the_newest_jobs_stand_first_and_the_first_page_stays_short(shop: Shop) -> None:
    for number in range(40):
        put(shop.outbox, f"job_{number}", report(f"design {number:02}.dst"), when=NOVEMBER + number)
    shop.rebuild()
    shown = re.findall(r"design \d\d", text_of(shop.page()))
    assert shown == [f"design {number:02}" for number in range(39, 9, -1)]


def test_a_new_job_changes_only_its_own_month(shop: Shop) -> None:
    put(shop.outbox, "a_1", report("old.dst"), when=OCTOBER)
    shop.rebuild()
    october = shop.outbox / "index-2026-10.html"
    before = october.stat()
    put(shop.outbox, "b_2", report("new.dst"))
    shop.rebuild()
    assert (october.stat().st_ino, october.stat().st_mtime_ns) == (before.st_ino, before.st_mtime_ns)


def test_a_job_taken_out_and_put_back_has_its_link_again(shop: Shop, tmp_path: Path) -> None:
    job = put(shop.outbox, "a_1", report())
    shop.rebuild()
    job.rename(tmp_path / "a_1")
    shop.rebuild()
    (tmp_path / "a_1").rename(job)
    shop.rebuild()
    assert 'href="a_1/sheet.html"' in shop.page()
    assert "taken out" not in shop.page()


def test_times_are_told_in_the_shops_own_zone(shop: Shop) -> None:
    put(shop.outbox, "a_1", report(), when=datetime(2026, 10, 31, 23, 30, tzinfo=UTC).timestamp())
    shop.rebuild(now=NOW.astimezone(timezone(timedelta(hours=2))))
    assert "2026-11-01 01:30" in shop.page("index-2026-11.html")
    assert "Written by Piecewright on 2026-11-25 16:03" in shop.page()


def test_a_report_that_cannot_be_read_is_listed_as_such(shop: Shop) -> None:
    put(shop.outbox, "a_1", {"status": "cut", "source": 7})
    (put(shop.outbox, "b_2", {}) / "report.json").write_bytes(b'{"status": ')
    put(shop.outbox, "c_3", [])
    shop.rebuild()
    assert text_of(shop.page()).count("? Report unreadable") == 3


def test_folders_that_are_no_jobs_are_left_alone(shop: Shop, tmp_path: Path) -> None:
    (shop.outbox / "my own notes").mkdir()
    put(shop.outbox, ".hidden", report("hidden.dst"))
    put(tmp_path, "elsewhere", report("elsewhere.dst"))
    (shop.outbox / "a link").symlink_to(tmp_path / "elsewhere", target_is_directory=True)
    shop.rebuild()
    text = text_of(shop.page())
    assert "No job has left yet" in text
    assert "my own notes" not in text


def test_a_folder_with_any_name_a_disk_allows_is_linked_so_that_it_opens(shop: Shop) -> None:
    for name in ('100% "quoted" <b>&amp; #1?', "käse 刺繍", os.fsdecode(b"caf\xe9")):
        put(shop.outbox, name, report())
    shop.rebuild()
    links = [e.attrib["href"] for e in parse(shop.page()).iter("a") if "sheet.html" in e.attrib["href"]]
    assert len(links) == 3
    for link in links:
        assert Path(os.fsdecode(unquote_to_bytes(f"{shop.outbox}/{link}"))).read_text() == "a sheet"


def test_an_older_notebook_of_another_edition_is_made_again(shop: Shop) -> None:
    job = put(shop.outbox, "a_1", report("first.dst"))
    shop.rebuild()
    known = shop.outbox / ".index" / "known.json"
    known.write_text(known.read_text().replace('"edition": "', '"edition": "older'))
    (job / "report.json").write_text(json.dumps(report("second.dst")))
    shop.rebuild()
    assert "second.dst" in shop.page()


def test_the_rules_in_force_are_shown_and_why_the_newest_edit_is_not(shop: Shop) -> None:
    rules = load(TOP / "config" / "demo.yaml", root=shop.outbox.parent)
    fault = f"line 3: {HOSTILE} is no key"
    shop.rebuild(IndexState(rules_name="demo.yaml", rulebook=rules, rules_fault=fault, notices=(HOSTILE,)))
    text = text_of(shop.page())
    assert f"The newest edit of demo.yaml is not in force. {fault}" in text
    for product in rules.products:
        assert product.name in text
    assert "by piece: Plum cotton, Gold cotton" in text
    assert "by block: Moss cotton, Plum cotton, Rust linen; base layers: Cotton batting" in text
    (quilt,) = [product for product in rules.products if product.name == "Quilt block"]
    both = rules.model_copy(update={"products": (quilt.model_copy(update={"tray": "quilts"}),)})
    shop.rebuild(IndexState(rules_name="demo.yaml", rulebook=both, rules_fault="", notices=()))
    assert "tray quilts, quilt*" in text_of(shop.page())
    assert_is_self_contained(shop.page())


def test_many_jobs_set_aside_have_a_page_of_their_own(shop: Shop) -> None:
    for number in range(8):
        error = {"message": f"Fault {number}.", "advice": "Mend it."}
        put(shop.failed, f"f_{number}", report(status="refused", error=error), when=NOVEMBER + number)
    shop.rebuild()
    assert re.findall(r"Fault \d", text_of(shop.page())) == [f"Fault {n}" for n in (7, 6, 5, 4, 3)]
    assert "All 8 jobs set aside" in shop.page()
    assert "Mend it there and drop it again" in text_of(shop.page())
    assert len(re.findall(r"Fault \d", text_of(shop.page("index-failed.html")))) == 8
    links = [e.attrib["href"] for e in parse(shop.page()).iter("a") if "f_7" in e.attrib["href"]]
    assert [(shop.outbox / link).resolve() for link in links] == [shop.failed / "f_7"]


def test_nothing_but_whole_files_is_left_and_a_second_call_changes_nothing(shop: Shop) -> None:
    put(shop.outbox, "a_1", report())
    shop.rebuild()
    before = {path: path.read_bytes() for path in shop.outbox.rglob("*") if path.is_file()}
    shop.rebuild()
    assert {path: path.read_bytes() for path in shop.outbox.rglob("*") if path.is_file()} == before
    assert not [path for path in before if path.suffix == ".new"]


def test_a_rebuild_cut_off_at_any_write_is_made_good_by_the_next(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    put(shop.outbox, "a_1", report("old.dst"), when=OCTOBER)
    shop.rebuild()
    put(shop.outbox, "b_2", report("new.dst"))
    put(shop.failed, "f_1", report("broken.dst", error={"message": "Cut short.", "advice": "Again."}))
    cut_off = 0
    while _is_cut_off(shop, monkeypatch, after=cut_off):
        shop.rebuild()
        text = text_of(shop.page())
        assert all(name in text for name in ("old.dst", "new.dst", "broken.dst"))
        shutil.rmtree(shop.outbox / ".index")
        cut_off += 1
    assert cut_off >= 6


def _is_cut_off(shop: Shop, monkeypatch: pytest.MonkeyPatch, *, after: int) -> bool:
    """Rebuild, with the power cut after so many files have been written; whether it came to that."""
    written = 0

    def write(disk: Disk, path: Path, data: bytes) -> None:
        nonlocal written
        if written == after:
            raise KeyboardInterrupt
        written += 1
        write_whole(disk, path, data)

    with monkeypatch.context() as patched:
        patched.setattr(rebuilding, "write_whole", write)
        try:
            shop.rebuild()
        except KeyboardInterrupt:
            return True
    return False


@pytest.mark.parametrize("kind", ["pipe", "endless device"])
def test_a_report_that_would_never_end_is_not_waited_for(shop: Shop, kind: str) -> None:
    folder = shop.outbox / "odd_260502-080000-abcd"
    folder.mkdir()
    if kind == "pipe":
        os.mkfifo(folder / "report.json")
    else:
        (folder / "report.json").symlink_to("/dev/zero")
    shop.rebuild()
    assert "Report unreadable" in shop.page()
