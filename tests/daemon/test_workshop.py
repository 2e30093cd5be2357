"""Real worker processes that crash, hang, eat memory or leave others behind, in both kinds of workshop."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from piecewright.daemon.jobfolder import DROP, REPORT
from piecewright.daemon.nursery import Nursery
from piecewright.daemon.processes import Processes
from piecewright.daemon.workshop import Worker
from tests.daemon.waiting import until

if TYPE_CHECKING:
    from collections.abc import Iterator

    from piecewright.daemon.workshop import Ending, Workshop

MISBEHAVING = (sys.executable, "-m", "tests.daemon.misbehaving")
TOP = Path(__file__).parents[2]
PATIENCE_S = 30.0
MEMORY = 1_000_000_000


class Bench:
    """A workshop with job folders for it."""

    def __init__(self, kind: str, folder: Path) -> None:
        """``kind`` is that of the workshop."""
        self.folder = folder
        self.woken = threading.Event()
        self.workshop: Workshop = (
            Nursery(self.woken.set, (*MISBEHAVING, "forking"))
            if kind == "nursery"
            else Processes(self.woken.set, (*MISBEHAVING, "worker"))
        )
        self.jobs = 0

    def start(self, what: str, *, seconds: float = PATIENCE_S) -> tuple[Worker, Path]:
        self.jobs += 1
        folder = self.folder / f"job-{self.jobs}"
        (folder / DROP).mkdir(parents=True)
        (folder / DROP / "drop").write_text(what)
        deadline = time.monotonic() + seconds
        return self.workshop.start(folder, folder / "out-1", memory=MEMORY, deadline=deadline), folder

    def ending(self, what: str, *, seconds: float = PATIENCE_S) -> Ending:
        worker, _folder = self.start(what, seconds=seconds)
        return wait_for(worker)


@pytest.fixture(params=["nursery", "processes"])
def bench(request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Bench]:
    monkeypatch.setenv("PYTHONPATH", str(TOP))
    made = Bench(request.param, tmp_path)
    yield made
    made.workshop.rest()


def wait_for(worker: Worker) -> Ending:
    """Poll until it has ended; the deadline of the worker itself counts."""
    return until(lambda: worker.poll(time.monotonic()), within=2 * PATIENCE_S)


@pytest.mark.parametrize(
    ("what", "message"),
    [
        ("segfault", "The worker crashed (SIGSEGV)."),
        ("memory", "It needed more memory than limits.memory."),
        ("killed", "It needed more memory than limits.memory."),
        ("slip because", "The program failed on it: RuntimeError: because."),
    ],
)
def test_a_worker_that_breaks_ends_alone_and_says_how(bench: Bench, what: str, message: str) -> None:
    ending = bench.ending(what)
    assert (ending.finished, ending.ours, ending.message) == (False, False, message)
    assert bench.ending("fine").finished, "the next one works"


def test_a_worker_that_hangs_and_ignores_sigterm_is_ended_in_time(bench: Bench) -> None:
    ending = bench.ending("hang", seconds=0.5)
    assert ending.message == "It took longer than limits.job_time."


def test_a_full_disk_is_no_fault_of_the_drop(bench: Bench) -> None:
    ending = bench.ending("full")
    assert ending.ours
    assert "No space left" in ending.message


def test_a_worker_may_write_much_to_its_log(bench: Bench) -> None:
    assert bench.ending("noisy").finished


@pytest.mark.parametrize(("seconds", "finished"), [("0", True), ("3600", False)])
def test_what_a_worker_has_started_ends_with_it(bench: Bench, seconds: str, finished: bool) -> None:
    worker, folder = bench.start(f"child {seconds}")
    child = int(until(lambda: _text(folder / "child"), within=PATIENCE_S))
    if not finished:
        worker.end()
    assert wait_for(worker).finished is finished
    until(lambda: not _is_running(child), within=PATIENCE_S)


def test_several_workers_run_at_once_and_wake_the_loop(bench: Bench) -> None:
    hanging, _ = bench.start("hang")
    assert bench.ending("fine").finished
    assert bench.woken.wait(PATIENCE_S)
    assert hanging.poll(time.monotonic()) is None
    hanging.end()
    assert wait_for(hanging).finished is False


def test_results_and_nothing_else_are_left(bench: Bench) -> None:
    worker, folder = bench.start("fine")
    assert wait_for(worker).finished
    assert sorted(path.name for path in (folder / "out-1").iterdir()) == ["mat-1.svg", REPORT]


def test_no_descriptors_or_processes_are_left_behind_by_many_jobs(bench: Bench) -> None:
    bench.ending("fine")
    before = len(list(Path("/proc/self/fd").iterdir()))
    for _ in range(10):
        bench.ending("fine")
    until(lambda: len(list(Path("/proc/self/fd").iterdir())) <= before, within=PATIENCE_S)


@pytest.mark.parametrize("kind", ["forking", "worker"])
def test_no_worker_outlives_a_service_that_is_killed(kind: str, tmp_path: Path) -> None:
    folder = tmp_path / "job"
    (folder / DROP).mkdir(parents=True)
    (folder / DROP / "drop").write_text("child")
    service = subprocess.Popen(
        [sys.executable, "-m", "tests.daemon.killable", kind, str(folder)],
        cwd=TOP,
        env={**os.environ, "PYTHONPATH": os.pathsep.join((str(TOP / "service"), str(TOP)))},
    )
    try:
        child = int(until(lambda: _text(folder / "child"), within=PATIENCE_S))
        assert _is_running(child)
    finally:
        service.kill()
        service.wait()
    until(lambda: not _is_running(child), within=PATIENCE_S)


def test_a_nursery_that_is_killed_takes_its_workers_along_and_is_built_anew(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PYTHONPATH", str(TOP))
    bench = Bench("nursery", tmp_path)
    worker, folder = bench.start("child")
    child = int(until(lambda: _text(folder / "child"), within=PATIENCE_S))
    os.kill(_parent_of(_parent_of(child)), signal.SIGKILL)
    assert wait_for(worker).finished is False
    until(lambda: not _is_running(child), within=PATIENCE_S)
    assert bench.ending("fine").finished
    bench.workshop.rest()


@pytest.mark.parametrize("asked", ["by its deadline", "by rest"])
def test_a_nursery_that_is_frozen_is_ended_and_holds_up_nothing(
    asked: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PYTHONPATH", str(TOP))
    monkeypatch.setattr("piecewright.daemon.workshop._END_WITHIN_S", 0.2)
    monkeypatch.setattr("piecewright.daemon.nursery._CLOSE_WITHIN_S", 0.5)
    bench = Bench("nursery", tmp_path)
    worker, folder = bench.start("child", seconds=PATIENCE_S if asked == "by rest" else 1.0)
    child = int(until(lambda: _text(folder / "child"), within=PATIENCE_S))
    os.kill(_parent_of(_parent_of(child)), signal.SIGSTOP)
    if asked == "by rest":
        bench.workshop.rest()
    assert wait_for(worker).finished is False
    until(lambda: not _is_running(child), within=PATIENCE_S)
    assert bench.ending("fine").finished
    bench.workshop.rest()


def test_a_worker_that_cannot_be_ended_is_asked_again_and_not_waited_for(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr("piecewright.daemon.workshop._END_WITHIN_S", 0.01)
    asked: list[None] = []
    worker = Worker(deadline=10.0, log=tmp_path / "log", kill=lambda: asked.append(None))
    assert worker.poll(9.0) is None
    assert not asked
    assert worker.poll(10.0) is None
    assert worker.poll(11.0) is None
    assert len(asked) == 2
    worker.ended(-9)
    ending = worker.poll(12.0)
    assert ending is not None
    assert ending.message == "It took longer than limits.job_time."


def _text(path: Path) -> str:
    return path.read_text() if path.exists() else ""


def _is_running(pid: int) -> bool:
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] not in "ZX"
    except FileNotFoundError:
        return False


def _parent_of(pid: int) -> int:
    return int(Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[1])
