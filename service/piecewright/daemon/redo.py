"""Redo: put the original of a job back into the inbox, to be cut by today's rules."""

from __future__ import annotations

import itertools
import shutil
from pathlib import Path
from typing import TYPE_CHECKING

from piecewright.cutting.errors import PiecewrightError
from piecewright.daemon.claims import DROP, read_claim
from piecewright.daemon.folders import Folders
from piecewright.daemon.outcome import printable

if TYPE_CHECKING:
    from collections.abc import Iterator

    from piecewright.daemon.rulebook import Rulebook


class UnknownJob(PiecewrightError):  # noqa: N818 - names the thing
    """There is no such job, or its original is not kept any more."""

    code = "unknown-job"
    blame = "ours"


def redo(rulebook: Rulebook, job: str) -> tuple[Path, ...]:
    """Copy what a job had taken back to where it lay; the job itself is kept as it is.

    Args:
        rulebook: The rules, for their folders.
        job: Id of the job, or the name of its folder in the outbox.

    Returns:
        The new entries of the inbox.

    Raises:
        UnknownJob: If neither done/ nor failed/ has it.
        OSError: If the inbox cannot be written.
    """
    folders = Folders.of(rulebook.inbox)
    folder = _find(folders, job.rpartition("_")[2])
    if folder is None:
        message = f"No job {job!r} is kept in done or failed."
        raise UnknownJob(
            message, "Take the id from `piecewright status` or from the end of the folder's name."
        )
    claim = read_claim(folder)
    return tuple(_put_back(folders, folder / DROP / entry.name, entry.tray) for entry in claim.entries)


def _find(folders: Folders, job: str) -> Path | None:
    if not job or Path(job).name != job:
        return None
    homes = (folders.done / job, folders.failed / job)
    return next((home for home in homes if (home / DROP).is_dir()), None)


def _put_back(folders: Folders, kept: Path, tray: str) -> Path:
    """Under a name that is no drop yet, then all at once under its own."""
    place = folders.inbox / tray
    if not place.is_dir():
        place = folders.inbox
    under_way = place / f".redo.{_short(kept.name)}"
    if under_way.is_dir() and not under_way.is_symlink():
        shutil.rmtree(under_way)
    if kept.is_dir() and not kept.is_symlink():
        shutil.copytree(kept, under_way, symlinks=True)
    elif kept.is_file() and not kept.is_symlink():
        shutil.copyfile(kept, under_way)
    else:
        message = f"{printable(kept.name)} is no file or folder."
        raise UnknownJob(message, "Links and devices are never cut; drop the file itself.")
    target = next(path for path in _free_names(place, kept) if not path.exists())
    under_way.rename(target)
    return target


def _free_names(place: Path, kept: Path) -> Iterator[Path]:
    yield place / kept.name
    for number in itertools.count(2):
        yield place / f"{kept.stem[:40]}-{number}{kept.suffix}"


def _short(name: str) -> str:
    """Names may be as long as the filesystem allows; the prefix must still fit."""
    return name[:40]
