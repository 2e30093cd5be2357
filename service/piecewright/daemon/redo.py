"""Redo: put the original of a job back into the inbox, to be cut by today's rules."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from piecewright.cutting.errors import PiecewrightError
from piecewright.daemon.bringing import bring
from piecewright.daemon.folders import Folders
from piecewright.daemon.jobfolder import DROP, read_claim

if TYPE_CHECKING:
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
        SpecialFile: If what was dropped is no file or folder.
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
    place = folders.inbox / tray
    return bring(kept, place if place.is_dir() else folders.inbox, kept.name)
