"""A library is cut by one way of working, here and on a cluster, and a later run goes on where it ended."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import time
from concurrent.futures import Executor, Future
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from piecewright.cutting.report import Report
from piecewright.daemon.folders import RootInUse, held
from piecewright.daemon.library import Summary, executor_for, plan, work_through
from piecewright.daemon.library.run import RECORD, NoCluster, NothingComes
from piecewright.daemon.rulebook import Rulebook, load

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from piecewright.daemon.outcome import Outcome

TOP = Path(__file__).parents[2]
SAMPLES = TOP / "sample_inbox"


@pytest.fixture(scope="module")
def rules() -> Rulebook:
    return load(TOP / "config" / "demo.yaml")


@pytest.fixture
def shelf(tmp_path: Path) -> Path:
    """Designs in folders.

    shelf/hearts.exp          two hearts
    shelf/plain.txt           no design
    shelf/deep/down/wren.xxx  two pieces
    shelf/deep/bad.dst        empty
    """
    folder = tmp_path / "shelf"
    (folder / "deep" / "down").mkdir(parents=True)
    shutil.copy(SAMPLES / "hearts.exp", folder / "hearts.exp")
    (folder / "plain.txt").write_text("no design", encoding="utf-8")
    shutil.copy(SAMPLES / "wren.xxx", folder / "deep" / "down")
    (folder / "deep" / "bad.dst").touch()
    return folder


def run(
    shelf: Path, rules: Rulebook, progress: Callable[[Outcome], None] = lambda _: None, cluster: str = ""
) -> Summary:
    into = shelf.with_name("results")
    tasks, _ = plan(shelf, into, rules)
    with executor_for(jobs=2, cluster=cluster) as (executor, slots):
        return work_through(tasks, into, executor, slots, progress=progress)


def test_every_design_gets_a_folder_of_its_own_with_a_report(shelf: Path, rules: Rulebook) -> None:
    summary = run(shelf, rules)
    assert dict(summary.by_status) == {"cut": 2, "refused": 1}
    into = shelf.with_name("results")
    reports = {p.parent.relative_to(into).as_posix(): p for p in into.rglob("report.json")}
    assert sorted(reports) == ["deep/bad.dst", "deep/down/wren.xxx", "hearts.exp"]
    for path in reports.values():
        Report.model_validate_json(path.read_bytes())
    assert not (into / ".in-work").exists()


def test_a_later_run_does_nothing_twice(shelf: Path, rules: Rulebook) -> None:
    run(shelf, rules)
    before = {p: p.stat().st_mtime_ns for p in shelf.with_name("results").rglob("report.json")}
    again = run(shelf, rules)
    assert again.done_before == again.designs == 3
    assert {p: p.stat().st_mtime_ns for p in before} == before


def test_changed_rules_or_designs_are_worked_on_again(shelf: Path, rules: Rulebook) -> None:
    run(shelf, rules)
    shutil.copy(SAMPLES / "wren.xxx", shelf / "deep" / "other.xxx")
    shutil.copy(SAMPLES / "sprig.dst", shelf / "deep" / "bad.dst")
    again = run(shelf, rules)
    assert (again.designs, again.done_before) == (4, 2)
    assert dict(again.by_status) == {"cut": 3, "nothing-to-cut": 1}


def test_a_run_that_was_cut_short_goes_on(shelf: Path, rules: Rulebook) -> None:
    class StoppedError(Exception):
        pass

    def stop(_outcome: Outcome) -> None:
        raise StoppedError

    with pytest.raises(StoppedError):
        run(shelf, rules, stop)
    with (shelf.with_name("results") / RECORD).open("a", encoding="utf-8") as record:
        record.write('{"key": "half a li')
    again = run(shelf, rules)
    assert again.done_before == 1
    assert again.designs == 3


def test_a_second_run_into_the_same_results_is_refused(shelf: Path, rules: Rulebook) -> None:
    into = shelf.with_name("results")
    into.mkdir()
    with held(into), pytest.raises(RootInUse, match="Another Piecewright works on"):
        run(shelf, rules)
    assert run(shelf, rules).designs == 3


def test_results_are_the_same_bytes_each_time(shelf: Path, rules: Rulebook) -> None:
    def contents() -> dict[str, bytes]:
        into = shelf.with_name("results")
        return {
            str(p.relative_to(into)): p.read_bytes()
            for p in into.rglob("*.*")
            if p.name != RECORD and p.is_file()
        }

    run(shelf, rules)
    first = contents()
    shutil.rmtree(shelf.with_name("results"))
    run(shelf, rules)
    assert contents() == first


class Silent(Executor):
    """Takes tasks and never finishes one, as a cluster does whose workers are gone."""

    def submit(self, *_arguments: object, **_named: object) -> Future[Any]:
        return Future()


def test_where_nothing_is_finished_any_more_the_run_ends_and_says_so(
    shelf: Path, rules: Rulebook, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("piecewright.daemon.library.run._ON_TOP_S", 0.1)
    limits = rules.limits.model_copy(update={"job_time": 0.1})
    into = shelf.with_name("results")
    tasks, _ = plan(shelf, into, rules.model_copy(update={"limits": limits}))
    with pytest.raises(NothingComes, match="run again; it goes on where it was"):
        work_through(tasks, into, Silent(), 2, progress=lambda _outcome: None)
    assert run(shelf, rules).designs == 3


def test_an_address_where_nothing_answers_is_said(shelf: Path, rules: Rulebook) -> None:
    with pytest.raises(NoCluster, match="No scheduler answers at"):
        run(shelf, rules, cluster="tcp://nowhere")


@contextmanager
def started(*words: str) -> Iterator[subprocess.Popen[bytes]]:
    """A Dask process of this machine, ended in any case."""
    environment = {**os.environ, "PYTHONPATH": str(TOP / "service")}
    process = subprocess.Popen(
        [sys.executable, "-m", "dask", *words],
        env=environment,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    try:
        yield process
    finally:
        process.kill()
        process.wait()


def address_in(file: Path) -> str:
    """The scheduler's address, as soon as it has written it."""
    deadline = time.monotonic() + 60
    while time.monotonic() < deadline:
        try:
            return str(json.loads(file.read_text(encoding="utf-8"))["address"])
        except (OSError, ValueError):
            time.sleep(0.1)
    pytest.fail("the scheduler did not start within a minute")


@pytest.mark.slow
@pytest.mark.timeout(300)
@pytest.mark.filterwarnings("default::ResourceWarning", "default::pytest.PytestUnraisableExceptionWarning")
def test_a_cluster_finishes_the_library_although_a_worker_is_killed_midway(
    shelf: Path, rules: Rulebook, tmp_path: Path
) -> None:
    for number in range(5):
        shutil.copy(SAMPLES / "wren.xxx", shelf / f"wren {number}.xxx")
    file = tmp_path / "scheduler.json"
    here = ("--scheduler-file", str(file))
    worker = ("worker", *here, "--nthreads", "1", "--no-nanny", "--no-dashboard", "--host", "127.0.0.1")
    scheduler = ("scheduler", *here, "--host", "127.0.0.1", "--port", "0", "--no-dashboard")
    with started(*scheduler):
        address = address_in(file)
        with started(*worker, "--name", "one") as doomed, started(*worker, "--name", "two"):
            wait_for_workers(address, 2)

            def kill_one(_outcome: Outcome) -> None:
                if doomed.poll() is None:
                    doomed.send_signal(signal.SIGKILL)

            summary = run(shelf, rules, kill_one, cluster=address)
            assert doomed.wait(30) == -signal.SIGKILL
    assert summary.failed == {}
    assert dict(summary.by_status) == {"cut": 7, "refused": 1}
    record = (shelf.with_name("results") / RECORD).read_text(encoding="utf-8").splitlines()
    keys = [json.loads(line)["key"] for line in record]
    assert sorted(keys) == sorted(set(keys))
    assert len(keys) == 8
    assert len(list(shelf.with_name("results").rglob("report.json"))) == 8


def wait_for_workers(address: str, count: int) -> None:
    from distributed import Client  # noqa: PLC0415 - heavy, and only this test needs it

    with Client(address, set_as_default=False) as client:  # type: ignore[no-untyped-call]  # dask is untyped
        client.wait_for_workers(count, timeout=60)
