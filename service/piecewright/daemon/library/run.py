"""Working through a library: which tasks are left, who works on them, what became of them."""

from __future__ import annotations

import json
import os
import shutil
from collections import Counter
from concurrent.futures import FIRST_COMPLETED, Executor, Future, ThreadPoolExecutor, wait
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from piecewright.cutting.errors import PiecewrightError
from piecewright.daemon.folders import held
from piecewright.daemon.library.task import SCRATCH, Result, Task, rest, work_on
from piecewright.daemon.outcome import Outcome

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

RECORD: Final = "record.jsonl"

_AHEAD: Final = 4
"""Tasks handed out per worker: enough that none waits, few enough that a hundred thousand fit in memory."""


_ON_TOP_S: Final = 120.0
"""For copying, writing and a cluster that has to notice that a worker is gone."""


class NothingComes(PiecewrightError):  # noqa: N818 - names the thing
    """Those who work on the library give no sign."""

    code = "nothing-comes"
    blame = "ours"


class NoCluster(PiecewrightError):  # noqa: N818 - names the thing
    """The cluster cannot be used."""

    code = "no-cluster"
    blame = "ours"


@dataclass(frozen=True, slots=True, kw_only=True)
class Summary:
    """What became of a library.

    Attributes:
        designs: Tasks in all.
        done_before: Finished by an earlier run with the same rules.
        by_status: Tasks by what became of them, earlier runs included.
        pieces: Pieces laid.
        mats: Mats they are laid on.
        findings: Doubts in the reports.
        failed: Keys of tasks that could not be worked on, with the reason; the next run tries them again.
    """

    designs: int
    done_before: int
    by_status: Counter[str]
    pieces: int
    mats: int
    findings: int
    failed: dict[str, str]

    @property
    def all_well(self) -> bool:
        """Whether every design was worked on and none refused."""
        return not self.failed and not self.by_status["refused"]

    def as_json(self) -> dict[str, Any]:
        """For programs."""
        return {**asdict(self), "by_status": dict(self.by_status)}


@contextmanager
def executor_for(*, jobs: int | None = None, cluster: str = "") -> Iterator[tuple[Executor, int]]:
    """Who works: threads here, each waiting for its worker process, or the workers of a cluster.

    Args:
        jobs: How many at once on this machine; all cores if None.
        cluster: Address of a Dask scheduler; its workers must see the same folders.

    Yields:
        The executor, and how many tasks it works on at once.

    Raises:
        NoCluster: If there is no scheduler at the address, or the extra is not installed.
    """
    if not cluster:
        slots = jobs or os.cpu_count() or 1
        pool = ThreadPoolExecutor(slots, thread_name_prefix="library")
        try:
            yield pool, slots
        finally:
            pool.shutdown(cancel_futures=True)  # an interrupted run waits for what is in work and no more
            rest()
        return
    try:
        from distributed import Client  # type: ignore[attr-defined,unused-ignore]  # noqa: PLC0415 - an extra
    except ImportError as error:
        message = "The extra for clusters is not installed."
        raise NoCluster(message, "Install it in the project's folder: pip install '.[cluster]'.") from error
    try:
        client = Client(cluster, set_as_default=False)  # type: ignore[no-untyped-call,unused-ignore]
    except (OSError, ValueError) as error:
        message = f"No scheduler answers at {cluster} ({error})."
        raise NoCluster(
            message, "Start one with `dask scheduler`, and workers with `dask worker`."
        ) from error
    with client:
        slots = sum(client.nthreads().values()) or 1  # type: ignore[no-untyped-call,unused-ignore]
        yield client.get_executor(pure=False), slots  # type: ignore[no-untyped-call,unused-ignore]


def work_through(
    tasks: Iterable[Task], into: Path, executor: Executor, slots: int, *, progress: Callable[[Outcome], None]
) -> Summary:
    """Work on every task that no earlier run has finished.

    Args:
        tasks: See ``plan``.
        into: Where results and the record lie.
        executor: See ``executor_for``.
        slots: How many tasks it works on at once.
        progress: Told of each outcome, earlier ones first.

    Raises:
        RootInUse: If another run works on the same results: it would clear away what this one has in work.
        NothingComes: If the executor finishes nothing for longer than any job may take.
    """
    into.mkdir(parents=True, exist_ok=True)
    with held(into):
        return _work_through(tasks, into, executor, slots, progress)


def _work_through(
    tasks: Iterable[Task], into: Path, executor: Executor, slots: int, progress: Callable[[Outcome], None]
) -> Summary:
    shutil.rmtree(into / SCRATCH, ignore_errors=True)
    tally = _Tally(progress)
    known = _read_record(into / RECORD)
    left: list[Task] = []
    for task in tasks:
        earlier = known.get(task.key)
        if earlier is not None and earlier.stamp == task.stamp and earlier.outcome.folder.is_dir():
            tally.earlier(earlier.outcome)
        else:
            left.append(task)
    with (into / RECORD).open("a", encoding="utf-8") as record:
        for task, result in _results(left, executor, slots * _AHEAD, _patience(left)):
            if isinstance(result, Result):
                record.write(_line(result, into) + "\n")
                record.flush()
                tally.add(result.outcome)
            else:
                tally.fail(task, result)
    shutil.rmtree(into / SCRATCH, ignore_errors=True)
    return tally.summary()


def _patience(tasks: list[Task]) -> float:
    """Seconds after which at least one of those in work must be finished or given up."""
    return _ON_TOP_S + max((task.seconds * task.attempts for task in tasks), default=0.0)


def _results(
    tasks: list[Task], executor: Executor, ahead: int, patience: float
) -> Iterator[tuple[Task, Result | BaseException]]:
    """Hand out tasks, only so many ahead, and give results as they come.

    Raises:
        NothingComes: If none comes for ``patience`` seconds, as when every worker of a cluster is gone.
    """
    waiting: dict[Future[Result], Task] = {}
    rest = iter(tasks)
    while True:
        while len(waiting) < ahead and (task := next(rest, None)) is not None:
            waiting[executor.submit(work_on, task)] = task
        if not waiting:
            return
        finished, _ = wait(waiting, timeout=patience, return_when=FIRST_COMPLETED)
        if not finished:
            message = f"Nothing has been finished for {patience:.0f} s, longer than a job may take."
            raise NothingComes(message, "Look after the workers and run again; it goes on where it was.")
        for future in finished:
            error = future.exception()
            yield waiting.pop(future), error if error is not None else future.result()


class _Tally:
    """Counts outcomes as they come."""

    def __init__(self, progress: Callable[[Outcome], None]) -> None:
        """``progress`` is told of each."""
        self._progress = progress
        self._by_status: Counter[str] = Counter()
        self._sums: Counter[str] = Counter()
        self._failed: dict[str, str] = {}

    def earlier(self, outcome: Outcome) -> None:
        """Count a task that an earlier run has finished."""
        self._sums["done_before"] += 1
        self.add(outcome)

    def add(self, outcome: Outcome) -> None:
        """Count a finished task."""
        self._by_status[outcome.status] += 1
        self._sums.update(pieces=outcome.pieces, mats=outcome.mats, findings=outcome.findings)
        self._progress(outcome)

    def fail(self, task: Task, error: BaseException) -> None:
        """Count a task that is left for the next run."""
        self._failed[task.key] = str(error) or type(error).__name__
        message = self._failed[task.key]
        waiting = Outcome(job="", name=task.key, status="waiting", folder=Path(task.design), message=message)
        self._progress(waiting)

    def summary(self) -> Summary:
        """The sums."""
        return Summary(
            designs=self._by_status.total() + len(self._failed),
            done_before=self._sums["done_before"],
            by_status=self._by_status,
            pieces=self._sums["pieces"],
            mats=self._sums["mats"],
            findings=self._sums["findings"],
            failed=self._failed,
        )


def _line(result: Result, into: Path) -> str:
    outcome = {
        **result.outcome.as_json(),
        "folder": result.outcome.folder.relative_to(into.absolute()).as_posix(),
    }
    return json.dumps({"key": result.key, "stamp": result.stamp, "outcome": outcome})


def _read_record(path: Path) -> dict[str, Result]:
    """What earlier runs have finished; a line cut short by a crash is passed over."""
    known: dict[str, Result] = {}
    if not path.exists():
        return known
    with path.open(encoding="utf-8") as record:
        for line in record:
            try:
                raw = json.loads(line)
                outcome = Outcome(**{**raw["outcome"], "folder": path.parent / raw["outcome"]["folder"]})
                known[raw["key"]] = Result(key=raw["key"], stamp=raw["stamp"], outcome=outcome)
            except (ValueError, KeyError, TypeError):
                continue
    return known
