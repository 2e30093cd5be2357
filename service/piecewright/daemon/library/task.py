"""One design of a library: planned, worked on in a process of its own, set down whole or not at all."""

from __future__ import annotations

import hashlib
import os
import shutil
import threading
import time
import uuid
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from piecewright.daemon import outbox
from piecewright.daemon.drops.choice import choose, is_design
from piecewright.daemon.drops.entry import Entry
from piecewright.daemon.errors import DropFailed
from piecewright.daemon.jobfolder import DROP, REPORT, RULES
from piecewright.daemon.outcome import Outcome, outcome_of
from piecewright.daemon.worker import refusal
from piecewright.daemon.workshop import best_workshop

if TYPE_CHECKING:
    from collections.abc import Iterator

    from piecewright.daemon.rulebook import Rulebook
    from piecewright.daemon.workshop import Workshop

SCRATCH: Final = ".in-work"
"""Half-made results lie here, beside the finished ones, so that a rename can set them down."""


_STARTING: Final = threading.Lock()
"""Threads share the workshop of their process and start workers one after the other."""


@cache
def _workshop() -> Workshop:
    """The workshop of this process: what a job needs is imported once and not for each of its tasks."""
    return best_workshop(lambda: None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One design; plain values only, since it may travel to another machine.

    Attributes:
        key: Path of the design inside the library, with ``/`` between folders.
        design: Where it lies.
        into: The folder of all results.
        product: Name of its product.
        rules: The rules of its job, JSON.
        stamp: Changes when the design or its rules change.
        memory: Address space in bytes.
        seconds: Longest time for one attempt.
        attempts: Tries before it is given up.
    """

    key: str
    design: str
    into: str
    product: str
    rules: str
    stamp: str
    memory: int
    seconds: float
    attempts: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Result:
    """What became of a task.

    Attributes:
        key: Of the task.
        stamp: Of the task.
        outcome: As for any job; its folder holds the report.
    """

    key: str
    stamp: str
    outcome: Outcome


def plan(folder: Path, into: Path, rulebook: Rulebook) -> tuple[list[Task], int]:
    """Find the designs of a library, each once.

    Returns:
        The tasks sorted by key, and how many files are passed over because they are another format of
        a chosen design.
    """
    entries = [_entry(path, folder) for path in _files(folder, into) if is_design(path.name)]
    chosen, passed_over = choose(entries)
    tasks = [_task(folder / entry.path, entry.path, into, rulebook) for entry in chosen]
    return [task for task in tasks if task is not None], len(passed_over)


def work_on(task: Task) -> Result:
    """Work on one task; called on whatever machine the executor chooses.

    Its results are moved to their place by one rename. Two machines that work on the same task, because
    the first was thought dead, make the same bytes, so it does not matter whose stay.

    Raises:
        OSError: If the design cannot be read or the results cannot be written.
    """
    scratch = Path(task.into) / SCRATCH / uuid.uuid4().hex
    folder = scratch / hashlib.sha256(f"{task.key}\n{task.stamp}".encode()).hexdigest()[:16]
    (folder / DROP).mkdir(parents=True)
    try:
        shutil.copyfile(task.design, folder / DROP / Path(task.design).name)
        (folder / RULES).write_text(task.rules, encoding="utf-8")
        out, report = _attempts(task, folder)
        target = Path(task.into) / task.key
        _set_down(out, target, scratch / "replaced")
        return Result(
            key=task.key, stamp=task.stamp, outcome=outcome_of(report, name=task.key, folder=target)
        )
    finally:
        shutil.rmtree(scratch, ignore_errors=True)


def rest() -> None:
    """Let the workshop of this process go; it holds memory as long as more tasks may come."""
    with _STARTING:
        _workshop().rest()


def _files(folder: Path, into: Path) -> Iterator[Path]:
    """Every file below a folder that is neither a link nor a result."""
    for parent, folders, files in os.walk(folder):
        here = Path(parent)
        folders[:] = sorted(name for name in folders if not name.startswith(".") and here / name != into)
        yield from (here / name for name in sorted(files) if not (here / name).is_symlink())


def _entry(path: Path, folder: Path) -> Entry:
    return Entry(path=path.relative_to(folder).as_posix(), size=path.stat().st_size, read=path.read_bytes)


def _task(path: Path, key: str, into: Path, rulebook: Rulebook) -> Task | None:
    product = rulebook.product_for(path.name)
    if product is None:
        return None
    rules = rulebook.job_rules(product).model_dump_json()
    status = path.stat()
    seen = f"{status.st_size} {status.st_mtime_ns} {hashlib.sha256(rules.encode()).hexdigest()}"
    return Task(
        key=key,
        design=str(path.absolute()),
        into=str(into.absolute()),
        product=product.name,
        rules=rules,
        stamp=hashlib.sha256(seen.encode()).hexdigest()[:16],
        memory=rulebook.limits.memory,
        seconds=rulebook.limits.job_time,
        attempts=rulebook.limits.attempts,
    )


def _attempts(task: Task, folder: Path) -> tuple[Path, dict[str, Any]]:
    """Try until a worker leaves good results; a design that no worker survives gets a report that says so."""
    message = ""
    for attempt in range(1, task.attempts + 1):
        out = folder / f"out-{attempt}"
        message = _attempt(task, folder, out)
        if not message:
            try:
                return out, outbox.check_results(out)
            except outbox.BadResults as error:
                message = str(error)
    given_up = DropFailed(
        f"It was tried {task.attempts} times in vain. {message}", "Save the design anew and run again."
    )
    out = folder / "out-0"
    out.mkdir()
    report = refusal(folder.name, task.product, given_up).model_dump_json(by_alias=True, indent=1)
    (out / REPORT).write_text(report, encoding="utf-8")
    return out, outbox.check_results(out)


def _attempt(task: Task, folder: Path, out: Path) -> str:
    """Run one worker to its end; "" if it says that it has finished.

    Raises:
        OSError: If it ended through no fault of the design, such as a full disk.
    """
    deadline = time.monotonic() + task.seconds
    with _STARTING:
        worker = _workshop().start(folder, out, memory=task.memory, deadline=deadline)
    worker.wait(task.seconds)
    ending = worker.poll(deadline)
    if ending is None:
        message = "Its worker cannot be ended; the drive may be gone. Run again once it is back."
        raise OSError(message)
    if ending.finished:
        return ""
    if ending.ours:
        raise OSError(ending.message)
    return ending.message


def _set_down(out: Path, target: Path, replaced: Path) -> None:
    """Move results to their place; those of older rules make room."""
    target.parent.mkdir(parents=True, exist_ok=True)
    if target.exists():
        target.rename(replaced)
    try:
        out.rename(target)
    except OSError:
        if not (target / REPORT).exists():  # unless another machine has just set down the same
            raise
