"""Hand-over: the cut files of a published job, copied to a second folder such as a USB stick.

Terms: what is to be handed over is *put by* in the job folder before the job is published, so that neither
an operator who takes the output at once nor an absent stick can make it incomplete.
"""

from __future__ import annotations

import contextlib
import hashlib
from typing import TYPE_CHECKING, Final

from piecewright.cutting.errors import PiecewrightError
from piecewright.daemon.disk import Disk, sync_tree

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

_PUT_BY: Final = "hand-over"
HANDED_OVER: Final = "handed-over"
"""What was put by is renamed at once; removed file by file, it could be taken for something else."""


class HandOverBlocked(PiecewrightError):  # noqa: N818 - names the thing
    """The second folder is absent, full, or holds something else under the same name."""

    code = "hand-over"
    blame = "ours"


def put_by(disk: Disk, folder: Path, results: Path, names: Sequence[str]) -> None:
    """Copy the cut files inside the job folder, whole or not at all; done once."""
    kept = folder / _PUT_BY
    if kept.exists() or not names:
        return
    new = folder / f"{_PUT_BY}.new"
    disk.remove(new)
    disk.make_folder(new)
    for name in names:
        disk.copy(results / name, new / name)
    sync_tree(disk, new)
    disk.rename(new, kept)
    disk.sync(folder)


def is_pending(folder: Path) -> bool:
    """Whether a job still has something to hand over."""
    return (folder / _PUT_BY).exists()


def hand_over(disk: Disk, folder: Path, target: Path, name: str) -> None:
    """Copy what was put by into a folder of its own in the second folder, whole or not at all.

    Args:
        disk: The disk.
        folder: The job folder.
        target: The second folder; it must exist, since a missing one is a stick that is not plugged in.
        name: Name of the folder to be made there.

    Raises:
        HandOverBlocked: If it cannot be done now; it is to be tried again.
    """
    kept, final, new = folder / _PUT_BY, target / name, target / f".{name}.new"
    if not target.is_dir():
        message = f"{target} is not there, or no folder."
        raise HandOverBlocked(message, "Plug it in or mount it; the files are copied then.")
    if final.exists():
        if not _same_files(kept, final):
            message = f"{final} holds other files."
            raise HandOverBlocked(message, "Move it away; nothing is ever overwritten.")
    else:
        _copy_whole(disk, kept, new, final)
    disk.rename(kept, folder / HANDED_OVER)
    disk.sync(folder)


def _copy_whole(disk: Disk, kept: Path, new: Path, final: Path) -> None:
    try:
        disk.remove(new)
        disk.make_folder(new)
        for path in sorted(kept.iterdir()):
            disk.copy(path, new / path.name)
        sync_tree(disk, new)
        disk.rename(new, final)
        disk.sync(final.parent)
    except OSError as error:
        with contextlib.suppress(OSError):
            disk.remove(new)  # half a copy is of no use, and takes the room that somebody makes
        message = f"{final.parent} takes no copy: {error.strerror or error}."
        raise HandOverBlocked(message, "Make room there, or let it be written.") from error


def _same_files(one: Path, other: Path) -> bool:
    return _hashes(one) == _hashes(other)


def _hashes(folder: Path) -> dict[str, str]:
    return {
        path.name: hashlib.sha256(path.read_bytes()).hexdigest()
        for path in folder.iterdir()
        if path.is_file()
    }
