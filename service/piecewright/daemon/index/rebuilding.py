"""Bringing the index up to date: only what has changed is read and written."""

from __future__ import annotations

import os
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from piecewright.daemon.disk import RealDisk, write_whole
from piecewright.daemon.index import pages
from piecewright.daemon.index.entries import Entry, read_entry
from piecewright.daemon.index.memory import FAILED, Memory, MemoryDamaged

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import datetime
    from pathlib import Path

    from piecewright.daemon.rulebook import Rulebook

MEMORY: Final = ".index"
"""Folder in the outbox in which the memory is kept."""

LATEST: Final = 30
"""Jobs on the first page: about a day's work of a small shop."""

_DISK: Final = RealDisk()


@dataclass(frozen=True, slots=True, kw_only=True)
class IndexState:
    """What only the running service knows.

    Attributes:
        rules_name: Name of the rules file.
        rulebook: The rules in force; None if there are none yet.
        rules_fault: Why the newest edit of the rules is not in force, "" if it is.
        notices: Other things that the operator should see, one sentence each.
    """

    rules_name: str
    rulebook: Rulebook | None
    rules_fault: str = ""
    notices: tuple[str, ...] = ()


def rebuild(outbox: Path, *, work: Path, failed: Path, state: IndexState, now: datetime) -> None:
    """Bring ``index.html`` and the pages of the months up to date.

    Not to be called twice at once on the same outbox. What it writes is always whole: each file is
    replaced at once. A crash in between costs nothing, the next call does the rest.

    Args:
        outbox: Where job folders are published; the index is written here.
        work: Where the folders of jobs in work lie, each with its ``claim.json``.
        failed: Where the folders of jobs set aside lie, each with its ``report.json``.
        state: What only the running service knows.
        now: The time, with the shop's time zone.

    Raises:
        OSError: If the outbox cannot be read or written.
    """
    try:
        memory = Memory.load(outbox / MEMORY, pages.EDITION)
        changed = _take_over(memory, outbox, failed, now)
        latest = list(_latest(memory))
    except MemoryDamaged:
        memory = Memory(folder=outbox / MEMORY, edition=pages.EDITION)
        changed = _take_over(memory, outbox, failed, now)
        latest = list(_latest(memory))
    memory.folder.mkdir(exist_ok=True)
    around = pages.Surroundings(outbox=outbox, work=work, failed=failed, state=state, now=now)
    _write_pages(memory, changed, outbox, around)
    write_whole(_DISK, outbox / pages.INDEX, pages.index(latest, memory, around))
    if changed:
        write_whole(_DISK, memory.known_path, memory.known_json())


def _take_over(memory: Memory, outbox: Path, failed: Path, now: datetime) -> set[str]:
    """Note what has come and gone; the names of the pages that changed."""
    listed = _folders(outbox)
    changed = {_mark(memory, name, gone=True) for name in memory.known.keys() - listed - memory.gone}
    changed |= {_mark(memory, name, gone=False) for name in memory.gone & listed}
    entries = [entry for name in listed - memory.known.keys() if (entry := read_entry(outbox / name))]
    for entry in sorted(entries, key=lambda e: (e.when, e.folder)):
        changed.add(memory.add(entry, entry.month(now.tzinfo)))
    if _take_over_failed(memory, failed):
        changed.add(FAILED)
    return changed


def _take_over_failed(memory: Memory, failed: Path) -> bool:
    """The jobs set aside as they are now; whether they have changed."""
    page = memory.page(FAILED)
    listed = _folders(failed)
    gone = page.keys() - listed
    come = [entry for name in listed - page.keys() if (entry := read_entry(failed / name))]
    for name in gone:
        del page[name]
    page.update({entry.folder: entry for entry in come})
    return bool(gone or come)


def _mark(memory: Memory, name: str, *, gone: bool) -> str:
    page = memory.known[name]
    entry = memory.page(page)[name]
    memory.page(page)[name] = entry.taken_out(gone=gone)
    (memory.gone.add if gone else memory.gone.discard)(name)
    return page


def _write_pages(memory: Memory, changed: set[str], outbox: Path, around: pages.Surroundings) -> None:
    """The notes of a page before the page; what is known comes last: a crash repeats, never skips."""
    for name in sorted(changed):
        write_whole(_DISK, memory.path(name), memory.page_json(name))
        write_whole(
            _DISK, outbox / pages.file_name(name), pages.page(name, _newest_first(memory, name), around)
        )


def _newest_first(memory: Memory, page: str) -> list[Entry]:
    return sorted(memory.page(page).values(), key=lambda e: (e.when, e.folder), reverse=True)


def _latest(memory: Memory) -> Iterator[Entry]:
    """The newest jobs of all."""
    left = LATEST
    for page in memory.newest_pages():
        for entry in _newest_first(memory, page)[:left]:
            yield entry
            left -= 1
        if not left:
            return


def _folders(place: Path) -> set[str]:
    """Names of the folders in a folder, hidden ones left out; empty if it is not there."""
    try:
        with os.scandir(place) as found:
            return {
                one.name
                for one in found
                if not one.name.startswith(".") and one.is_dir(follow_symlinks=False)
            }
    except FileNotFoundError:
        return set()
