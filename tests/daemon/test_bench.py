"""Faults while a job is in work: whose fault it is decides whether it is tried again or set aside."""

from __future__ import annotations

import errno
import itertools
import json
import os
from typing import TYPE_CHECKING

import pytest

from piecewright.daemon.claims import DROP, READY, REPORT
from piecewright.daemon.disk import RealDisk
from tests.daemon.shop import FakeWorkshop, Shop

if TYPE_CHECKING:
    from pathlib import Path

    from piecewright.daemon.workshop import Worker


class FailingDisk(RealDisk):
    """A disk on which renames to one place fail for a while."""

    def __init__(self, place: Path, code: int) -> None:
        """``code`` is the errno with which they fail."""
        self.place = place
        self.code: int | None = code
        self.tried = 0

    def rename(self, source: Path, target: Path) -> None:
        if self.code is not None and target.is_relative_to(self.place):
            self.tried += 1
            raise OSError(self.code, os.strerror(self.code), str(target))
        super().rename(source, target)


def test_a_drop_that_no_worker_survives_is_set_aside_after_three_attempts(shop: Shop) -> None:
    workshop = FakeWorkshop(RealDisk(), broken={"poison.dst"})
    shop.drop("poison.dst")
    shop.run(workshop=workshop)
    assert workshop.starts == ["poison.dst"] * 3
    (outcome,) = shop.outcomes
    assert outcome.status == "refused"
    report = json.loads((outcome.folder / REPORT).read_bytes())
    assert report["error"]["code"] == "drop-failed"
    assert (outcome.folder / DROP / "poison.dst").exists()


def test_a_drop_that_hangs_lets_another_go_before_each_further_attempt(shop: Shop) -> None:
    class Hanging(FakeWorkshop):
        def start(self, folder: Path, out: Path, *, memory: int, deadline: float) -> Worker:
            self.running = (folder / DROP / "a-poison.dst").exists()
            return super().start(folder, out, memory=memory, deadline=deadline)

    workshop = Hanging(RealDisk())
    shop.drop("a-poison.dst")
    with shop.session(workshop=workshop) as session:
        for number in range(400):
            if number % 4 == 0:
                shop.drop(f"good-{number:03}.dst", str(number).encode())
            session.tick()
            shop.clock.advance(1.0)
    tries = [place for place, name in enumerate(workshop.starts) if name == "a-poison.dst"]
    assert len(tries) == 3
    assert all(later - earlier > 10 for earlier, later in itertools.pairwise(tries))
    assert [outcome.status for outcome in shop.outcomes].count("cut") > 90


def test_attempts_are_remembered_over_restarts(shop: Shop) -> None:
    workshop = FakeWorkshop(RealDisk(), running=True)
    shop.drop("poison.dst")
    for _ in range(2):
        with shop.session(workshop=workshop) as session:
            for _ in range(8):
                session.tick()
                shop.clock.advance(1.0)
            assert session.bench.running == 1
            session.bench.jobs.clear()  # as if the whole machine had gone down
    workshop.running, workshop.broken = False, {"poison.dst"}
    shop.run(workshop=workshop)
    assert workshop.starts == ["poison.dst"] * 3
    assert [outcome.status for outcome in shop.outcomes] == ["refused"]


def test_a_service_that_is_stopped_does_not_count_the_attempt_it_cut_short(shop: Shop) -> None:
    workshop = FakeWorkshop(RealDisk(), running=True)
    shop.drop("runner.dst")
    for _ in range(5):
        with shop.session(workshop=workshop) as session:
            for _ in range(8):
                session.tick()
                shop.clock.advance(1.0)
    workshop.running = False
    shop.run(workshop=workshop)
    assert len(workshop.starts) == 6
    assert len(shop.published()) == 1


def test_a_worker_that_takes_too_long_is_ended_and_tried_again(shop: Shop) -> None:
    workshop = FakeWorkshop(RealDisk(), running=True)
    shop.drop("runner.dst")
    shop.run(workshop=workshop, ticks=200)
    assert workshop.starts == ["runner.dst"] * 3
    (outcome,) = shop.outcomes
    assert "longer than limits.job_time" in outcome.message


@pytest.mark.parametrize("code", [errno.ENOSPC, errno.EACCES, errno.EROFS, errno.EIO])
def test_a_fault_of_ours_at_publishing_is_tried_again_with_growing_delay(shop: Shop, code: int) -> None:
    disk = FailingDisk(shop.folders.outbox, code)
    shop.drop("runner.dst")
    with shop.session(disk) as session:
        for _ in range(60):
            session.tick()
            shop.clock.advance(1.0)
        assert disk.tried == 4, "after 0, 5, 15 and 35 seconds"
        assert [notice for notice in session.notices() if "is tried again" in notice]
        assert shop.published() == []
        disk.code = None
        for _ in range(60):
            session.tick()
            shop.clock.advance(1.0)
    assert len(shop.published()) == 1
    assert [outcome.status for outcome in shop.outcomes] == ["cut"]


def test_while_the_outbox_takes_nothing_the_rest_stays_in_the_inbox(shop: Shop) -> None:
    disk = FailingDisk(shop.folders.outbox, errno.ENOSPC)
    for number in range(5):
        shop.drop(f"{number}.dst")
    with shop.session(disk) as session:
        for _ in range(30):
            session.tick()
            shop.clock.advance(1.0)
        assert len(list(shop.folders.work.iterdir())) == 1
        assert len(list(shop.folders.inbox.glob("*.dst"))) == 4
    shop.run()
    assert len(shop.published()) == 5


def test_a_full_disk_at_the_claim_leaves_the_drop_where_it_is(shop: Shop) -> None:
    class Full(RealDisk):
        full = True

        def write(self, path: Path, data: bytes) -> None:
            if self.full:
                path.write_bytes(data[:1])
                raise OSError(errno.ENOSPC, "No space left on device", str(path))
            super().write(path, data)

    disk = Full()
    dropped = shop.drop("runner.dst")
    with shop.session(disk) as session:
        for _ in range(20):
            session.tick()
            shop.clock.advance(1.0)
        assert dropped.exists()
        assert list(shop.folders.work.iterdir()) == []
        assert [notice for notice in session.notices() if "No space left" in notice]
        disk.full = False
        for _ in range(20):
            session.tick()
            shop.clock.advance(1.0)
    assert len(shop.published()) == 1


def test_folders_that_were_deleted_are_made_again_and_the_job_in_work_is_published(shop: Shop) -> None:
    workshop = FakeWorkshop(RealDisk())
    workshop.before = lambda _folder: shop.folders.outbox.rmdir()
    shop.drop("runner.dst")
    shop.run(workshop=workshop)
    assert len(shop.published()) == 1


def test_results_that_are_not_what_the_report_says_never_leave(shop: Shop) -> None:
    class Lying(FakeWorkshop):
        def start(self, folder: Path, out: Path, *, memory: int, deadline: float) -> Worker:
            worker = super().start(folder, out, memory=memory, deadline=deadline)
            if len(self.starts) == 1:
                (out / "mat-1.svg").write_bytes(b"something else")
            elif len(self.starts) == 2:
                (out / "stray.svg").write_bytes(b"more than was listed")
            return worker

    workshop = Lying(RealDisk())
    shop.drop("runner.dst")
    shop.run(workshop=workshop)
    assert len(workshop.starts) == 3
    (folder,) = shop.published()
    assert sorted(path.name for path in folder.iterdir()) == ["mat-1.svg", "report.json"]


def test_a_worker_left_over_from_a_killed_service_cannot_touch_what_is_published(shop: Shop) -> None:
    workshop = FakeWorkshop(RealDisk(), running=True)
    shop.drop("runner.dst")
    with shop.session(workshop=workshop) as session:
        for _ in range(5):
            session.tick()
            shop.clock.advance(1.0)
        (job,) = session.bench.jobs.values()
        left_over = job.folder / "out-1"
        session.bench.jobs.clear()
    left_over.mkdir()
    workshop.running = False
    shop.run(workshop=workshop)
    (folder,) = shop.published()
    assert sorted(path.name for path in folder.iterdir()) == ["mat-1.svg", "report.json"]
    assert not left_over.exists()
    with pytest.raises(FileNotFoundError):
        (left_over / "mat-1.svg").write_bytes(b"too late")


def test_the_same_content_by_the_same_rules_is_cut_again_and_the_worker_is_told(shop: Shop) -> None:
    told: list[list[str]] = []
    workshop = FakeWorkshop(RealDisk())
    workshop.before = lambda folder: told.append(
        json.loads((folder / "attempt-1.json").read_bytes())["earlier"]
    )
    for name, data in (("a.dst", b"same"), ("b.dst", b"same"), ("a.dst", b"other")):
        shop.drop(name, data)
        shop.run(workshop=workshop)
    first = shop.outcomes[0].job
    assert told == [[], [first], []]
    assert len(shop.published()) == 3


def test_an_internal_fault_sets_the_job_aside_and_the_next_goes_on(shop: Shop) -> None:
    class Faulty(FakeWorkshop):
        def start(self, folder: Path, out: Path, *, memory: int, deadline: float) -> Worker:
            if (folder / DROP / "a.dst").exists():
                message = "a slip of ours"
                raise RuntimeError(message)
            return super().start(folder, out, memory=memory, deadline=deadline)

    shop.drop("a.dst")
    shop.drop("b.dst")
    shop.run(workshop=Faulty(RealDisk()))
    assert sorted((outcome.name, outcome.status) for outcome in shop.outcomes) == [
        ("a.dst", "refused"),
        ("b.dst", "cut"),
    ]


def test_what_an_operator_puts_into_work_is_left_alone(shop: Shop) -> None:
    (shop.folders.work / "note.txt").write_text("mine")
    stray = shop.folders.work / "photos"
    stray.mkdir()
    (stray / "cat.jpg").write_bytes(b"cat")
    damaged = shop.folders.work / "260101-000000-0000"
    (damaged / DROP).mkdir(parents=True)
    (damaged / DROP / "runner.dst").write_bytes(b"x")
    (damaged / "claim.json").write_text("{")
    (damaged / READY).write_text("")
    with shop.session() as session:
        session.tick()
    assert (shop.folders.work / "note.txt").exists()
    assert (stray / "cat.jpg").exists()
    assert (damaged / DROP / "runner.dst").exists()


def test_the_workshop_may_rest_when_nothing_was_done_for_a_minute(shop: Shop) -> None:
    workshop = FakeWorkshop(RealDisk())
    with shop.session(workshop=workshop) as session:
        session.tick()
        shop.clock.advance(61.0)
        session.tick()
        assert workshop.rests > 0
