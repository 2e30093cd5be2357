"""Sweep and settle: what lies in the inbox, and since when it has not changed.

Terms: an *entry* is one name in the inbox or in a tray: a file or a folder; a *signature* is what
changes when somebody still writes to an entry; a *sighting* is an entry with its signature; an entry
*settles* while its signature stays the same.

A sweep is the truth; events only say that one is due. Measured on Linux: of 5,000 files copied as a tree
up to 2,248 had no close event, moved files never have one, an overflow drops thousands without a word.
"""

from __future__ import annotations

import hashlib
import os
import re
import stat
from typing import TYPE_CHECKING, Literal, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Iterator, Mapping
    from pathlib import Path

_CLUTTER = frozenset({"thumbs.db", "desktop.ini", "ehthumbs.db"})
"""Files that file managers leave behind by themselves."""
_UNFINISHED_ENDS = (".tmp", ".temp", ".part", ".partial", ".crdownload", ".filepart", ".download")
_UNFINISHED_STARTS = (".", "~$")
"""Outside a folder a leading dot says enough: rsync, browsers and sync programs all write such names."""
_RSYNC_NAME = re.compile(r"\..+\.[A-Za-z0-9]{6}")
"""Inside a folder only this one, since Macs leave harmless ``._`` files everywhere."""


class Signature(NamedTuple):
    """What must stay the same; equal before and after the entry is renamed.

    Attributes:
        mode: Type and permissions of the entry itself.
        size: Bytes of all its files.
        files: How many it has.
        mark: Stands for every path, size, modification time and inode.
    """

    mode: int
    size: int
    files: int
    mark: str

    @property
    def kind(self) -> Literal["file", "folder", "special"]:
        """What the entry is; links and devices are special and are never opened."""
        if stat.S_ISREG(self.mode):
            return "file"
        return "folder" if stat.S_ISDIR(self.mode) else "special"


class Sighting(NamedTuple):
    """One entry as a sweep saw it.

    Attributes:
        name: Its name, which may hold bytes that are no UTF-8 as surrogates.
        tray: The tray that it lies in, or "".
        path: Where it is.
        signature: What must stay the same.
        unfinished: A file of the entry whose name says that it is still being copied, or "".
    """

    name: str
    tray: str
    path: str
    signature: Signature
    unfinished: str


class Settling(NamedTuple):
    """A sighting, and the monotonic time since which its signature has been the same."""

    sighting: Sighting
    since: float


def sweep(inbox: Path, trays: Collection[str]) -> Iterator[Sighting]:
    """Look at every entry of the inbox and of its trays.

    Raises:
        OSError: If the inbox is gone.
    """
    yield from _sweep_folder(str(inbox), "", frozenset(trays))
    for tray in trays:
        try:
            yield from _sweep_folder(str(inbox / tray), tray, frozenset())
        except FileNotFoundError:
            continue


def settle(before: Mapping[str, Settling], seen: Iterable[Sighting], now: float) -> dict[str, Settling]:
    """Carry over since when each entry has been the same; what is gone is forgotten."""
    after: dict[str, Settling] = {}
    for sighting in seen:
        known = before.get(sighting.path)
        same = known is not None and known.sighting.signature == sighting.signature
        after[sighting.path] = known if known is not None and same else Settling(sighting, now)
    return after


def sight(path: Path) -> tuple[Signature, str] | None:
    """The signature of an entry where it now lies, and what in it is unfinished; None if it is gone."""
    try:
        return _measure(str(path), path.lstat())
    except OSError:
        return None


def is_temporary(name: str) -> bool:
    """Whether programs use such a name while they still write, so that it is no drop yet."""
    lowered = name.lower()
    return lowered.startswith(_UNFINISHED_STARTS) or lowered.endswith(_UNFINISHED_ENDS) or lowered in _CLUTTER


def _sweep_folder(folder: str, tray: str, passed_over: frozenset[str]) -> Iterator[Sighting]:
    with os.scandir(folder) as entries:
        for entry in entries:
            if entry.name in passed_over or is_temporary(entry.name):
                continue
            try:
                signature, unfinished = _measure(entry.path, _status(entry))
            except OSError:  # it has just gone
                continue
            if signature.files or signature.kind == "special":
                yield Sighting(entry.name, tray, entry.path, signature, unfinished)


def _measure(path: str, status: os.stat_result) -> tuple[Signature, str]:
    """Signature of a file or tree; a folder's own times are left out, for they change when it is moved."""
    if not stat.S_ISDIR(status.st_mode):
        mark = f"{status.st_mtime_ns}:{_inode(status)}"
        return Signature(status.st_mode, status.st_size, 1, mark), ""
    size = files = 0
    unfinished = ""
    digest = hashlib.blake2b(digest_size=16)
    for inner, inner_status in _below(path, ""):
        digest.update(_line(inner, inner_status))
        if not stat.S_ISDIR(inner_status.st_mode):
            size += inner_status.st_size
            files += 1
            unfinished = unfinished or (inner if _looks_unfinished(inner) else "")
    return Signature(status.st_mode, size, files, f"{digest.hexdigest()}:{_inode(status)}"), unfinished


def _below(folder: str, prefix: str) -> Iterator[tuple[str, os.stat_result]]:
    with os.scandir(folder) as entries:
        inside = sorted(entries, key=lambda entry: entry.name)
    for entry in inside:
        status = _status(entry)
        path = prefix + entry.name
        yield path, status
        if stat.S_ISDIR(status.st_mode):
            yield from _below(entry.path, path + "/")


def _line(path: str, status: os.stat_result) -> bytes:
    if stat.S_ISDIR(status.st_mode):
        return f"{path}\0{status.st_mode}\n".encode(errors="surrogateescape")
    parts = (path, status.st_mode, status.st_size, status.st_mtime_ns, _inode(status))
    return "\0".join(map(str, parts)).encode(errors="surrogateescape") + b"\n"


def _looks_unfinished(path: str) -> bool:
    name = path.rpartition("/")[2]
    return name.lower().endswith(_UNFINISHED_ENDS) or _RSYNC_NAME.fullmatch(name) is not None


def _status(entry: os.DirEntry[str]) -> os.stat_result:
    """Windows caches size and time of open files in the folder, so there the file itself is asked."""
    return os.lstat(entry.path) if os.name == "nt" else entry.stat(follow_symlinks=False)


def _inode(status: os.stat_result) -> int:
    return status.st_ino
