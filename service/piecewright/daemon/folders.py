"""The five folders under one root, who may use them, and whether they are still the same ones.

Terms: the *root* holds inbox, work, outbox, done and failed, all on one filesystem, because moving by
rename is all or nothing only there; the *lock* is held by the one service that works on a root.
"""

from __future__ import annotations

import contextlib
import os
import sys
import time
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Self

from piecewright.cutting.errors import PiecewrightError

if TYPE_CHECKING:
    from collections.abc import Iterator
    from contextlib import AbstractContextManager
    from pathlib import Path

    from piecewright.daemon.rulebook import FolderRules

LOCK: Final = ".piecewright.lock"
_NOT_IN_NAMES: Final = frozenset('/\\:*?"<>|')
_LONGEST_NAME: Final = 200
"""Bytes; most file systems allow 255."""
_ASKING_S: Final = 0.5


class FolderError(PiecewrightError):
    """The folders of the rules cannot be used."""

    code = "folders"
    blame = "ours"


class RootInUse(FolderError):  # noqa: N818 - names the thing
    """Another service works on this root."""

    code = "root-in-use"


class RootLost(FolderError):  # noqa: N818 - names the thing
    """The root, or the lock by which it is held, is gone, or another has taken its place."""

    code = "root-lost"

    def __init__(self, root: Path) -> None:
        """Say which."""
        message = f"{root} is gone, or no longer the folder that it was."
        super().__init__(message, "Bring it back; what was in work goes on when it is used again.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Folders:
    """Where everything lies; absolute paths."""

    root: Path
    inbox: Path
    work: Path
    outbox: Path
    done: Path
    failed: Path

    @classmethod
    def of(cls, rules: FolderRules) -> Self:
        """The folders that the rules name.

        Raises:
            FolderError: If two are the same, or one is not directly under the root.
        """
        names = (rules.inbox, rules.work, rules.outbox, rules.done, rules.failed)
        if len({name.casefold() for name in names}) < len(names):
            message = "Two of the folders inbox, work, outbox, done and failed have the same name."
            raise FolderError(message, "Give each its own name in the section inbox of the rules.")
        for name in names:
            if not is_plain_name(name):
                message = f"{name!r} is no plain folder name."
                raise FolderError(message, "Name folders directly under root, such as outbox.")
        inbox, work, outbox, done, failed = (rules.root / name for name in names)
        return cls(root=rules.root, inbox=inbox, work=work, outbox=outbox, done=done, failed=failed)

    def all(self) -> tuple[Path, ...]:
        """The five folders, the inbox first."""
        return (self.inbox, self.work, self.outbox, self.done, self.failed)


def is_plain_name(name: str) -> bool:
    """Whether a name is that of a folder directly below another, on every system."""
    odd = name.startswith(".") or name != name.strip() or not name.isprintable() or set(name) & _NOT_IN_NAMES
    return bool(name) and not odd and len(name.encode()) <= _LONGEST_NAME


def prepare(folders: Folders) -> None:
    """Create what is missing and make sure that renames between the folders are possible.

    Raises:
        FolderError: If a folder cannot be made, is none, or lies on another filesystem.
    """
    for folder in (folders.root, *folders.all()):
        try:
            folder.mkdir(parents=folder == folders.root, exist_ok=True)
        except OSError as error:
            message = f"The folder {folder} cannot be made: {error.strerror or error}."
            raise FolderError(message, "Check the path and who may write there.") from error
        if not os.access(folder, os.R_OK | os.W_OK | os.X_OK):
            message = f"The folder {folder} cannot be written."
            raise FolderError(message, "Give the account that runs Piecewright the right to write there.")
    device = folders.root.stat().st_dev
    for folder in folders.all():
        if folder.stat().st_dev != device:
            message = f"{folder} lies on another filesystem than {folders.root}."
            advice = "Keep all five folders on one drive; use hand_over to reach another one."
            raise FolderError(message, advice)


def identity(folder: Path) -> tuple[int, int] | None:
    """What stays the same while a folder is the same, whatever its name; None if it is gone."""
    try:
        status = folder.stat()
    except OSError:
        return None
    return (status.st_dev, status.st_ino)


def locked(folders: Folders) -> AbstractContextManager[None]:
    """Hold the root of a service; see ``held``."""
    return held(folders.root)


@contextlib.contextmanager
def held(folder: Path) -> Iterator[None]:
    """Hold a folder; the system lets go when the process ends, however it ends.

    Raises:
        RootInUse: If another process holds it.
    """
    handle = os.open(folder / LOCK, os.O_RDWR | os.O_CREAT | getattr(os, "O_CLOEXEC", 0), 0o644)
    try:
        if not _take_soon(handle):
            message = f"Another Piecewright works on {folder}."
            raise RootInUse(message, "Stop it first, or give this one another folder.")
        yield
    finally:
        os.close(handle)


def is_held(folder: Path) -> bool:
    """Whether a process holds a folder; asks without the right to write and leaves nothing behind."""
    try:
        handle = os.open(folder / LOCK, os.O_RDONLY | getattr(os, "O_CLOEXEC", 0))
    except FileNotFoundError:
        return False
    try:
        return not _take(handle)
    finally:
        os.close(handle)


def _take_soon(handle: int) -> bool:
    """Somebody who only asks holds it for an instant too."""
    end = time.monotonic() + _ASKING_S
    while not _take(handle):
        if time.monotonic() > end:
            return False
        time.sleep(_ASKING_S / 10)
    return True


def _take(handle: int) -> bool:
    try:
        if sys.platform == "win32":
            import msvcrt  # noqa: PLC0415 - only Windows has it

            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        else:
            import fcntl  # noqa: PLC0415 - Windows has none

            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True
