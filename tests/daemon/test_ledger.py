"""The ledger, and the commands that read it: status and redo."""

from __future__ import annotations

import contextlib
import shutil
import sqlite3
import threading
from typing import TYPE_CHECKING

import pytest

from piecewright.daemon.disk import RealDisk
from piecewright.daemon.folders import FolderError, is_held
from piecewright.daemon.ledger import LEDGER, Ledger
from piecewright.daemon.redo import UnknownJob, redo
from piecewright.daemon.status import status
from tests.daemon.shop import FakeWorkshop

if TYPE_CHECKING:
    from piecewright.daemon.ledger import Row
    from piecewright.daemon.session import Session
    from tests.daemon.shop import Shop


@pytest.fixture
def worked(shop: Shop) -> Shop:
    """A shop that has cut two drops and refused one."""
    for name in ("runner.dst", "patch.pes", "bad.dst"):
        shop.drop(name, name.encode())
    shop.run(workshop=FakeWorkshop(RealDisk(), refused={"bad.dst"}))
    return shop


def _rows(shop: Shop) -> tuple[Row, ...]:
    with contextlib.closing(Ledger.open(shop.folders)) as ledger:
        return ledger.latest(100)


def test_every_job_is_written_down_with_what_became_of_it(worked: Shop) -> None:
    assert sorted((row.name, row.status, row.pieces) for row in _rows(worked)) == [
        ("bad.dst", "refused", 0),
        ("patch.pes", "cut", 1),
        ("runner.dst", "cut", 1),
    ]


@pytest.mark.parametrize("loss", ["removed", "damaged", "truncated", "another edition"])
def test_a_ledger_that_is_lost_is_written_anew_from_done_and_failed(worked: Shop, loss: str) -> None:
    before = _rows(worked)
    path = worked.root / LEDGER
    if loss == "removed":
        path.unlink()
    elif loss == "damaged":
        path.write_bytes(b"no database" * 1000)
    elif loss == "truncated":
        path.write_bytes(path.read_bytes()[:5000])
    else:
        with contextlib.closing(sqlite3.connect(path)) as connection:
            connection.execute("PRAGMA user_version = 99")
    assert _rows(worked) == before


def test_a_ledger_that_fails_stops_nothing(shop: Shop) -> None:
    shop.drop("runner.dst")
    with shop.session() as session:
        with contextlib.closing(sqlite3.connect(shop.root / LEDGER)) as connection:
            connection.execute("DROP TABLE jobs")
        for _ in range(8):
            session.tick()
            shop.clock.advance(1.0)
    assert len(shop.published()) == 1


def _work(shop: Shop, name: str, session: Session) -> None:
    shop.drop(name, name.encode())
    for _ in range(8):
        session.tick()
        shop.clock.advance(1.0)


@pytest.mark.parametrize("loss", ["removed", "damaged"])
def test_a_ledger_lost_under_a_running_service_is_written_anew_with_the_next_job(
    worked: Shop, loss: str
) -> None:
    path = worked.root / LEDGER
    with worked.session() as session:
        if loss == "removed":
            path.unlink()
        else:
            with path.open("r+b") as file:
                file.write(b"no database" * 3000)
        _work(worked, "sprig.dst", session)
    assert sorted(row.name for row in _rows(worked)) == ["bad.dst", "patch.pes", "runner.dst", "sprig.dst"]


def test_a_ledger_that_another_program_has_locked_is_left_as_it_is(
    worked: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("piecewright.daemon.ledgerfile._PATIENCE_S", 0.1)
    before = (worked.root / LEDGER).stat().st_ino
    with contextlib.closing(sqlite3.connect(worked.root / LEDGER)) as other:
        other.execute("PRAGMA locking_mode = EXCLUSIVE")
        other.execute("BEGIN EXCLUSIVE")
        assert len(_rows(worked)) == 3, "made up from done and failed"
        assert len(status(worked.rulebook).latest) == 3
        with worked.session() as session:
            _work(worked, "sprig.dst", session)
    assert (worked.root / LEDGER).stat().st_ino == before
    assert len(worked.published()) == 3


def test_status_writes_nothing(worked: Shop) -> None:
    (worked.root / LEDGER).unlink()
    shutil.rmtree(worked.folders.outbox)
    before = sorted(path.name for path in worked.root.iterdir())
    assert len(status(worked.rulebook).latest) == 3
    assert sorted(path.name for path in worked.root.iterdir()) == before


def test_status_of_a_root_that_is_not_there_says_so_and_makes_none(worked: Shop) -> None:
    shutil.rmtree(worked.root)
    with pytest.raises(FolderError, match="is not there"):
        status(worked.rulebook)
    assert not worked.root.exists()


def test_status_asked_at_the_very_start_of_a_service_does_not_keep_it_from_starting(worked: Shop) -> None:
    enough = threading.Event()

    def ask() -> None:
        while not enough.is_set():
            is_held(worked.root)

    asking = threading.Thread(target=ask)
    asking.start()
    try:
        for _ in range(20):
            with worked.session() as session:
                session.tick()
    finally:
        enough.set()
        asking.join()


def test_status_tells_of_inbox_work_and_latest_jobs_without_disturbing(worked: Shop) -> None:
    worked.drop("letter.txt")
    found = status(worked.rulebook)
    assert (found.running, found.inbox, found.counts) == (False, 1, {"cut": 2, "refused": 1})
    assert len(found.latest) == 3
    with worked.session() as session:
        session.tick()
        assert status(worked.rulebook).running
    text = "\n".join(found.lines())
    assert "1 in the inbox" in text
    assert "bad.dst" in text
    assert found.as_json()["counts"]["cut"] == 2


def test_status_shows_a_job_that_waits_for_its_hand_over(shop: Shop) -> None:
    shop.drop("stick.dst")
    with shop.session() as session:
        for _ in range(8):
            session.tick()
            shop.clock.advance(1.0)
    (job,) = status(shop.rulebook).in_work
    assert (job.name, job.stage, job.hand_over) == ("stick.dst", "published", True)


@pytest.mark.parametrize("name", ["runner.dst", "bad.dst"])
def test_redo_puts_the_original_back_and_keeps_the_job(worked: Shop, name: str) -> None:
    (row,) = (row for row in _rows(worked) if row.name == name)
    (target,) = redo(worked.rulebook, row.job)
    assert target == worked.folders.inbox / name
    assert target.read_bytes() == name.encode()
    worked.run()
    assert len([row for row in _rows(worked) if row.name == name]) == 2


def test_redo_takes_the_name_of_the_outbox_folder_too_and_a_free_name(worked: Shop) -> None:
    worked.drop("runner.dst", b"another")
    (published,) = (path for path in worked.published() if path.name.startswith("runner"))
    (target,) = redo(worked.rulebook, published.name)
    assert target.name == "runner-2.dst"
    assert (worked.folders.inbox / "runner.dst").read_bytes() == b"another"


def test_redo_of_an_order_puts_all_of_it_back_into_its_tray(shop: Shop) -> None:
    for name in ("a.dst", "b.dst"):
        shop.drop(f"order/{name}", name.encode())
    shop.run()
    (outcome,) = shop.outcomes
    assert redo(shop.rulebook, outcome.job) == (
        shop.folders.inbox / "order/a.dst",
        shop.folders.inbox / "order/b.dst",
    )


def test_redo_of_a_folder_copies_all_of_it(shop: Shop) -> None:
    shop.drop("folder/inner/a.dst", b"a")
    shop.run()
    redo(shop.rulebook, shop.outcomes[0].job)
    assert (shop.folders.inbox / "folder" / "inner" / "a.dst").read_bytes() == b"a"


@pytest.mark.parametrize("job", ["", "260101-000000-0000", "..", "../../etc", "x_.."])
def test_redo_of_a_job_that_is_not_kept_says_so(worked: Shop, job: str) -> None:
    with pytest.raises(UnknownJob):
        redo(worked.rulebook, job)
