"""The one small port through which the daemon changes a disk, so that tests can trace and cut off every step.

Terms: a *step* is one call that changes what a crash would leave behind; *syncing* a file or folder
makes its contents survive a power cut; *whole* means that readers see all of a file or none of it.
"""

from __future__ import annotations

import errno
import os
import shutil
import stat
from pathlib import Path
from typing import Protocol

from piecewright.daemon.trees import below

_NEW = ".new"
_NO_SUCH_SYNC = frozenset({errno.EINVAL, errno.ENOSYS, errno.ENOTSUP})
"""What fsync(2) says of a folder on filesystems that cannot sync one."""


class Disk(Protocol):
    """The steps of which the inbox-to-outbox protocol is made."""

    def make_folder(self, path: Path) -> None:
        """Create one folder that must not exist yet."""

    def write(self, path: Path, data: bytes) -> None:
        """Write a file that nobody reads yet."""

    def copy(self, source: Path, target: Path) -> None:
        """Copy the bytes of one file to a file that nobody reads yet."""

    def sync(self, path: Path) -> None:
        """Make a file's bytes, or a folder's list of names, survive a power cut."""

    def rename(self, source: Path, target: Path) -> None:
        """Move to a free name on the same filesystem, at once or not at all."""

    def replace(self, source: Path, target: Path) -> None:
        """Move a file over another, at once or not at all."""

    def remove_empty(self, path: Path) -> None:
        """Remove a folder that holds nothing; fails if it holds anything."""

    def remove(self, path: Path) -> None:
        """Remove a file, or a folder with all that it holds; nothing happens if it is not there."""


class RealDisk:
    """The disk of this machine."""

    def make_folder(self, path: Path) -> None:
        """See ``Disk``."""
        path.mkdir()

    def write(self, path: Path, data: bytes) -> None:
        """See ``Disk``."""
        path.write_bytes(data)

    def copy(self, source: Path, target: Path) -> None:
        """See ``Disk``."""
        shutil.copyfile(source, target)

    def sync(self, path: Path) -> None:
        """See ``Disk``; Windows and some shares cannot sync a folder and journal its names themselves."""
        is_folder = path.is_dir()
        if os.name == "nt" and is_folder:
            return
        handle = os.open(path, os.O_RDONLY if is_folder or os.name != "nt" else os.O_RDWR)
        try:
            os.fsync(handle)
        except OSError as error:
            if not (is_folder and error.errno in _NO_SUCH_SYNC):
                raise
        finally:
            os.close(handle)

    def rename(self, source: Path, target: Path) -> None:
        """See ``Disk``; POSIX would silently replace a file, so that is asked first."""
        if os.path.lexists(target):
            raise FileExistsError(errno.EEXIST, "The name is taken", str(target))
        source.rename(target)

    def replace(self, source: Path, target: Path) -> None:
        """See ``Disk``."""
        source.replace(target)

    def remove_empty(self, path: Path) -> None:
        """See ``Disk``."""
        path.rmdir()

    def remove(self, path: Path) -> None:
        """See ``Disk``."""
        try:
            mode = path.lstat().st_mode
        except FileNotFoundError:
            return
        if stat.S_ISDIR(mode):
            _remove_tree(path)
        else:
            path.unlink(missing_ok=True)


def write_whole(disk: Disk, path: Path, data: bytes) -> None:
    """Write a file such that after any crash it is there with all its bytes, or not at all."""
    new = path.with_name(path.name + _NEW)
    disk.write(new, data)
    disk.sync(new)
    disk.replace(new, path)
    disk.sync(path.parent)


def move(disk: Disk, source: Path, target: Path) -> None:
    """Rename such that the new place survives a power cut before anything is built on it."""
    disk.rename(source, target)
    disk.sync(target.parent)
    if source.parent != target.parent:
        disk.sync(source.parent)


def sync_tree(disk: Disk, folder: Path) -> None:
    """Sync every file below a folder, then the folders, innermost first."""
    for here, _folders, files in os.walk(folder, topdown=False):
        inside = Path(here)
        for name in sorted(files):
            disk.sync(inside / name)
        disk.sync(inside)


def _remove_tree(path: Path) -> None:
    """However deep; folders that were dropped without the right to write are opened first."""
    folders = [str(path)]
    _open_for_removing(str(path), path.lstat())
    for _inner, inside, status in below(str(path)):
        if stat.S_ISDIR(status.st_mode):
            _open_for_removing(inside, status)
            folders.append(inside)
        else:
            os.unlink(inside)  # noqa: PTH108 - paths of trees are text, for speed
    for folder in reversed(folders):
        os.rmdir(folder)  # noqa: PTH106 - likewise


def _open_for_removing(folder: str, status: os.stat_result) -> None:
    if status.st_mode & stat.S_IRWXU != stat.S_IRWXU:
        os.chmod(folder, stat.S_IRWXU)  # noqa: PTH101 - likewise
