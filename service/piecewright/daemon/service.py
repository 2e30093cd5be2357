"""The service: watch an inbox until told to stop, or work through it once.

Everything is wired here; the parts get folders, clocks and wake-ups as arguments.
"""

from __future__ import annotations

import os
import shutil
import signal
import threading
import time
from typing import TYPE_CHECKING, Final

from piecewright.daemon import logs
from piecewright.daemon.folders import Folders, locked, prepare
from piecewright.daemon.health import Notifier
from piecewright.daemon.outcome import Outcome
from piecewright.daemon.rulebook import load
from piecewright.daemon.session import Session, left_waiting
from piecewright.daemon.watcher import Watcher

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from piecewright.daemon.rulebook import Rulebook

__all__ = ["Outcome", "once", "take_copies", "watch"]

_BREATH_S: Final = 0.1
"""A copy of thousands of files makes thousands of events; one tick serves all that come within this."""


def once(rulebook: Rulebook, *, progress: Callable[[Outcome], None]) -> tuple[Outcome, ...]:
    """Work through what lies in the inbox, then end.

    Args:
        rulebook: The rules.
        progress: Told of each outcome as it comes about.

    Returns:
        All outcomes, those of drops left waiting last.

    Raises:
        FolderError: If the folders cannot be used, or another service uses them.
    """
    logs.set_up(level="warning")
    outcomes: list[Outcome] = []

    def told(outcome: Outcome) -> None:
        outcomes.append(outcome)
        progress(outcome)

    wake = threading.Event()
    folders = Folders.of(rulebook.inbox)
    prepare(folders)
    with locked(folders):
        session = Session(rulebook=rulebook, told=told, wake=wake.set)
        session.recover()
        try:
            _until_nothing_is_left(session, wake)
        finally:
            session.stop()
        for outcome in left_waiting(session):
            told(outcome)
    return tuple(outcomes)


def watch(rulebook_path: Path, *, root: Path | None = None) -> int:
    """Watch the inbox until SIGTERM or SIGINT, and give the exit code.

    Raises:
        RulesError: If the rules cannot be used at the start.
        FolderError: If the folders cannot be used, or another service uses them.
    """
    logs.set_up()
    rulebook = load(rulebook_path, root=root)
    wake, stop = threading.Event(), threading.Event()

    def end(_number: int, _frame: object) -> None:
        stop.set()
        wake.set()

    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, end)
    folders = Folders.of(rulebook.inbox)
    prepare(folders)
    notifier = Notifier()
    with locked(folders):
        session = Session(rulebook=rulebook, told=lambda _outcome: None, wake=wake.set)
        session.recover()
        watcher = Watcher(folders.inbox, wake.set)
        notifier.ready(f"watching {folders.inbox}")
        try:
            while not stop.is_set():
                watcher.tend()
                wake.clear()
                session.tick()
                notifier.alive(f"{session.running} in work, {len(session.settling)} in the inbox")
                wake.wait(max(0.0, session.next_due() - time.monotonic()))
                stop.wait(_BREATH_S)
        finally:
            notifier.stopping()
            watcher.stop()
            session.stop()
    return 0


def take_copies(source: Path, rulebook: Rulebook) -> int:
    """Copy what lies in a folder into the inbox, each under a temporary name first.

    Returns:
        How many files and folders were copied.
    """
    folders = Folders.of(rulebook.inbox)
    prepare(folders)
    taken = 0
    for entry in sorted(source.iterdir()):
        if entry.name.startswith("."):
            continue
        under_way = folders.inbox / f".{entry.name}.{os.getpid()}"
        if entry.is_dir():
            shutil.copytree(entry, under_way)
        else:
            shutil.copyfile(entry, under_way)
        under_way.rename(folders.inbox / entry.name)
        taken += 1
    return taken


def _until_nothing_is_left(session: Session, wake: threading.Event) -> None:
    while True:
        wake.clear()
        session.tick()
        settling = len(session.settling) - len(session.waiting)
        under_way = [job for job in session.jobs.values() if job.worker is not None or not job.message]
        if not under_way and settling <= 0:
            return
        wake.wait(max(0.0, session.next_due() - time.monotonic()))
