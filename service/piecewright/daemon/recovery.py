"""Recovery: take up what an earlier service has left in work/, whatever it was doing when it ended.

There is no second way of going on: recovery only finds the job folders again, and finishes a claim that
was cut off in the middle. Nothing that it does not understand is ever removed.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import structlog

from piecewright.daemon import attempts
from piecewright.daemon.claims import forget, move_in
from piecewright.daemon.jobfolder import CLAIM, DROP, RULES, Claim, Stage, read_claim, stage_of
from piecewright.daemon.printable import printable

if TYPE_CHECKING:
    from collections.abc import Container, Iterator
    from pathlib import Path

    from piecewright.daemon.disk import Disk
    from piecewright.daemon.folders import Folders

_OURS_ALONE: Final = frozenset({DROP, RULES, CLAIM, f"{RULES}.new", f"{CLAIM}.new"})
"""A folder that holds nothing else was made by ``claims.take`` just before the end."""

_log = structlog.get_logger(__name__)


def take_up(
    disk: Disk, folders: Folders, *, known: Container[str] = (), left: dict[str, str]
) -> Iterator[Claim]:
    """The jobs in work/ besides those known, the oldest first; folders without a drop are forgotten.

    Args:
        disk: The disk.
        folders: The five folders.
        known: Jobs to pass over.
        left: Filled with the names of what is left alone, and why.

    Raises:
        OSError: If work/ cannot be read.
    """
    for folder in sorted(folders.work.iterdir()):
        if folder.name in known:
            continue
        try:
            claim = _take_up(disk, folders, folder)
        except (OSError, ValueError) as error:
            _log.exception("left alone", folder=printable(str(folder)), message=str(error))
            left[folder.name] = f"cannot be gone on with: {error}"
            continue
        if claim is None and folder.exists():
            left[folder.name] = "was not made by this program."
        if claim is not None:
            _log.info("taken up", job=claim.job, drop=printable(claim.name), stage=stage_of(folder).value)
            yield claim


def _take_up(disk: Disk, folders: Folders, folder: Path) -> Claim | None:
    if not folder.is_dir():
        return None
    if (folder / CLAIM).exists() and stage_of(folder) is not Stage.UNCLAIMED:
        claim = read_claim(folder)
        if stage_of(folder) is Stage.CLAIMED and not attempts.count(folder):
            move_in(disk, folders, claim)
        return claim
    if {path.name for path in folder.iterdir()} <= _OURS_ALONE:
        forget(disk, folder)
    return None
