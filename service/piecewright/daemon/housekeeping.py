"""Housekeeping: old jobs leave done/, failed/ and the outbox as the rules say; off unless they do.

Only folders of jobs that are over are ever touched: those that the protocol itself has put there.
"""

from __future__ import annotations

import contextlib
import re
from pathlib import Path
from typing import TYPE_CHECKING, Final

import structlog

from piecewright.daemon.jobfolder import READY, REPORT
from piecewright.daemon.printable import printable
from piecewright.daemon.trees import files_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from piecewright.daemon.disk import Disk
    from piecewright.daemon.folders import Folders
    from piecewright.daemon.rulebook import KeepRules

EVERY_S: Final = 3600.0
"""Ages are given in days; looking once an hour is often enough."""

_JOB: Final = re.compile(r"(?:.*_)?\d{6}-\d{6}-[0-9a-f]{4}")

_log = structlog.get_logger(__name__)


def tidy(disk: Disk, folders: Folders, keep: KeepRules, now: float) -> tuple[Path, ...]:
    """Remove what is older, or more, than the rules want kept.

    Args:
        disk: The disk.
        folders: The five folders.
        keep: How long and how much is kept; 0 keeps all.
        now: Seconds since 1970, UTC.

    Returns:
        What was removed; what cannot be is told in the log and holds up nothing else.

    Raises:
        OSError: If the folders cannot be read.
    """
    surplus = [
        *_too_old(folders.done, READY, keep.done_for, now),
        *_too_old(folders.failed, REPORT, keep.failed_for, now),
        *_too_old(folders.outbox, REPORT, keep.outbox_for, now),
    ]
    surplus += _too_much(folders.done, keep.done_bytes, passed_over=frozenset(surplus))
    return tuple(folder for folder in surplus if _remove(disk, folders, folder))


def sweep_out(disk: Disk, folders: Folders) -> None:
    """Finish what an earlier tidying has begun to remove."""
    for folder in sorted(folders.root.glob(".removing-*")):
        with _tolerated(folder):
            disk.remove(folder)


def _remove(disk: Disk, folders: Folders, folder: Path) -> bool:
    """First out of sight in one step, so that no half job is ever seen."""
    doomed = folders.root / f".removing-{folder.name}"
    with _tolerated(folder):
        disk.remove(doomed)
        disk.rename(folder, doomed)
        disk.remove(doomed)
        _log.info("removed", folder=printable(str(folder)))
        return True
    return False


@contextlib.contextmanager
def _tolerated(folder: Path) -> Iterator[None]:
    """Folders that another account has dropped may be closed to this one; people then have to remove them."""
    try:
        yield
    except OSError as error:
        _log.warning("cannot be removed", folder=printable(str(folder)), message=printable(str(error)))


def _jobs(home: Path, marker: str) -> Iterator[tuple[float, Path]]:
    """Folders that the protocol has put there, with the time at which they were finished."""
    for folder in home.iterdir():
        if _JOB.fullmatch(folder.name) is None or folder.is_symlink():
            continue
        try:
            yield (folder / marker).stat().st_mtime, folder
        except OSError:
            continue


def _too_old(home: Path, marker: str, kept_for: float, now: float) -> list[Path]:
    if kept_for <= 0:
        return []
    return [folder for finished, folder in sorted(_jobs(home, marker)) if now - finished > kept_for]


def _too_much(home: Path, kept_bytes: int, *, passed_over: frozenset[Path]) -> list[Path]:
    """The oldest, until the rest fits."""
    if kept_bytes <= 0:
        return []
    newest_first = sorted((job for job in _jobs(home, READY) if job[1] not in passed_over), reverse=True)
    total, surplus = 0, []
    for _finished, folder in newest_first:
        total += sum(Path(path).lstat().st_size for _inner, path in files_of(str(folder)))
        if total > kept_bytes:
            surplus.append(folder)
    return surplus
