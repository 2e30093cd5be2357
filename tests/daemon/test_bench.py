"""Faults while a job is in work: whose fault it is decides whether it is tried again or set aside."""

from __future__ import annotations

import errno
import itertools
import json
import os
import shutil
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from piecewright.daemon.disk import RealDisk
from piecewright.daemon.jobfolder import CLAIM, DROP, READY, REPORT, RULES
from tests.daemon.shop import FakeWorkshop, Killed, Shop, TracedDisk

if TYPE_CHECKING:
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


def test_a_drop_of_many_gigabytes_is_not_read_before_it_is_refused(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = shop.drop("film.dst")
    with path.open("r+b") as file:
        file.truncate(10**13)  # a sparse file: it only says that it is so large
    workshop = FakeWorkshop(RealDisk(), refused={"film.dst"})
    monkeypatch.setattr("piecewright.daemon.jobfolder.content_hash", _never)
    shop.run(workshop=workshop)
    (outcome,) = shop.outcomes
    assert outcome.status == "refused"


def _never(_folder: Path) -> str:
    raise AssertionError


def test_a_fault_that_concerns_one_job_alone_lets_the_others_go_on(shop: Shop) -> None:
    class Taken(RealDisk):
        taken = True

        def rename(self, source: Path, target: Path) -> None:
            if self.taken and target.name.startswith("a-job_"):
                raise FileExistsError(errno.EEXIST, "The name is taken", str(target))
            super().rename(source, target)

    disk = Taken()
    for name in ("a job.dst", "b.dst", "c.dst"):
        shop.drop(name, name.encode())
    with shop.session(disk) as session:
        for _ in range(20):
            session.tick()
            shop.clock.advance(1.0)
        assert len(shop.published()) == 2
        (notice,) = session.notices()
        assert "a job.dst is tried again. The name is taken: " in notice
        assert "Move that away; it goes on by itself then." in notice
        disk.taken = False
        for _ in range(40):
            session.tick()
            shop.clock.advance(4.0)
    assert len(shop.published()) == 3


@pytest.mark.parametrize(
    ("code", "advice"),
    [
        (errno.ENOSPC, "Make room on that drive"),
        (errno.EROFS, "Give the service the right to write there"),
        (errno.EIO, "It goes on by itself once that is mended"),
    ],
)
def test_what_holds_a_job_up_is_told_with_what_to_do(shop: Shop, code: int, advice: str) -> None:
    shop.drop("runner.dst")
    with shop.session(FailingDisk(shop.folders.outbox, code)) as session:
        for _ in range(8):
            session.tick()
            shop.clock.advance(1.0)
        (notice,) = session.notices()
    assert advice in notice
    assert os.strerror(code) in notice


def test_rules_of_an_earlier_version_do_not_keep_a_finished_job_from_leaving(shop: Shop) -> None:
    shop.drop("runner.dst")
    with pytest.raises(Killed):
        shop.run(TracedDisk(kill_at=_step_of_publishing(shop)))
    (job,) = shop.folders.work.iterdir()
    rules = json.loads((job / RULES).read_text())
    rules["product"]["an_option_that_is_gone"] = 1
    (job / RULES).write_text(json.dumps(rules))
    shop.run()
    assert len(shop.published()) == 1


def _step_of_publishing(shop: Shop) -> int:
    """By a rehearsal in another shop."""
    rehearsal = Shop(shop.root.with_name("rehearsal"))
    rehearsal.drop("runner.dst")
    disk = TracedDisk()
    rehearsal.run(disk)
    outbox = str(rehearsal.folders.outbox)
    return 1 + next(n for n, step in enumerate(disk.steps) if step[0] == "rename" and outbox in step[2])


@pytest.mark.parametrize("damage", ["a claim that is no JSON", "a folder of the operator's"])
def test_what_lies_in_work_and_cannot_be_gone_on_with_is_told(shop: Shop, damage: str) -> None:
    folder = shop.folders.work / "260502-080000-abcd"
    (folder / DROP).mkdir(parents=True)
    (folder / DROP / "runner.dst").write_bytes(b"x")
    if damage == "a claim that is no JSON":
        (folder / CLAIM).write_text("{")
    with shop.session() as session:
        session.tick()
        (notice,) = session.notices()
        (folder / DROP / "runner.dst").rename(shop.folders.inbox / "runner.dst")
        shutil.rmtree(folder)
        assert list(session.notices()) == []
    assert notice.startswith("260502-080000-abcd in the folder of jobs in work ")
    assert notice.endswith("Move what was dropped back to the inbox.")
    assert list(shop.originals()) == [b"x"]


def test_a_folder_that_cannot_be_synced_is_no_fault() -> None:
    RealDisk().sync(Path("/proc"))


def test_a_machine_that_can_start_no_process_is_no_fault_of_the_drop(shop: Shop) -> None:
    class Crowded(FakeWorkshop):
        left = 6

        def start(self, folder: Path, out: Path, *, memory: int, deadline: float) -> Worker:
            if self.left:
                self.left -= 1
                raise OSError(errno.EAGAIN, os.strerror(errno.EAGAIN))
            return super().start(folder, out, memory=memory, deadline=deadline)

    shop.drop("runner.dst")
    shop.run(workshop=Crowded(RealDisk()), ticks=400)
    assert [outcome.status for outcome in shop.outcomes] == ["cut"]
    (done,) = shop.folders.done.iterdir()
    assert len(list(done.glob("attempt-*"))) == 1


def test_a_link_that_cannot_be_refused_for_a_full_disk_is_refused_later(shop: Shop) -> None:
    class Full(RealDisk):
        full = True

        def write(self, path: Path, data: bytes) -> None:
            if self.full and path.name.startswith(REPORT):
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(path))
            super().write(path, data)

    disk = Full()
    (shop.folders.inbox / "link.dst").symlink_to("/nowhere")
    with shop.session(disk, FakeWorkshop(disk, refused={"link.dst"})) as session:
        session.tick()
        shop.clock.advance(4.0)
        with pytest.raises(OSError, match="No space left"):
            session.tick()
        disk.full = False
        for _ in range(20):
            session.tick()
            shop.clock.advance(1.0)
    assert [outcome.status for outcome in shop.outcomes] == ["refused"]
