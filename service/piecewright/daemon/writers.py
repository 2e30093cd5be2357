"""Whether somebody still has a file open for writing: a stalled copy looks as quiet as a finished one.

Linux tells by refusing a read lease (fcntl(2), F_SETLEASE) on a file that is open for writing; Windows by
refusing to open it. Elsewhere, and for files of other users, nothing can be said.
"""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path


def being_written(path: Path) -> Path | None:
    """The first file of an entry that is open for writing; None if none is known to be."""
    if path.is_symlink() or not path.is_dir():
        return path if _is_open(path) else None
    for here, _folders, files in os.walk(path):
        for name in files:
            file = path.__class__(here, name)
            if _is_open(file):
                return file
    return None


def _is_open(path: Path) -> bool:
    if path.is_symlink() or not path.is_file():
        return False
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
