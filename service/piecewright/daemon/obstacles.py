"""What keeps a settled entry from being claimed: a stalled copy looks as quiet as a finished one.

Linux tells by refusing a read lease (fcntl(2), F_SETLEASE) on a file that is open for writing; Windows by
refusing to rename it. Elsewhere, and for files of other users, nothing can be said.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from piecewright.daemon.printable import printable
from piecewright.daemon.trees import files_of

if TYPE_CHECKING:
    from piecewright.daemon.sweep import Sighting


def obstacle(sighting: Sighting) -> str:
    """Why the entry must stay where it is for now, as a sentence with what to do; "" if nothing does."""
    if sighting.hindrance:
        return sighting.hindrance
    if sighting.signature.kind == "folder" and not os.access(sighting.path, os.W_OK):
        return "It may not be moved; give the service, or its group, the right to write in that folder."
    try:
        return next(filter(None, map(_why_not, files_of(sighting.path))), "")
    except OSError:  # it has just changed; the next sweep sees how
        return "It is being changed."


def _why_not(file: tuple[str, str]) -> str:
    path = Path(file[1])
    if not os.access(path, os.R_OK):
        return f"{printable(path.name)} cannot be read; give the service the right to read it."
    if _is_being_written(path):
        return f"{printable(path.name)} is still open in another program; it is taken when that closes it."
    return ""


def _is_being_written(path: Path) -> bool:
    if sys.platform == "win32":
        return _refuses_renaming(path)
    if sys.platform == "linux":
        return _refuses_lease(path)
    return False


def _refuses_lease(path: Path) -> bool:
    import fcntl  # noqa: PLC0415 - Windows has none
    import signal  # noqa: PLC0415 - only used here

    try:
        handle = os.open(path, os.O_RDONLY | os.O_NONBLOCK | os.O_NOFOLLOW)
    except OSError:
        return False
    try:
        # If somebody opens the file in this very moment, the signal sent must be one that is ignored.
        fcntl.fcntl(handle, fcntl.F_SETSIG, signal.SIGURG)
        fcntl.fcntl(handle, fcntl.F_SETLEASE, fcntl.F_RDLCK)
        fcntl.fcntl(handle, fcntl.F_SETLEASE, fcntl.F_UNLCK)
    except BlockingIOError:
        return True
    except OSError:  # another user's file, or a filesystem without leases
        return False
    finally:
        os.close(handle)
    return False


def _refuses_renaming(path: Path) -> bool:
    try:
        path.rename(path)
    except PermissionError:
        return True
    except OSError:
        return False
    return False
