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
from typing import TYPE_CHECKING, Final, Literal, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Mapping
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
    """A sighting, and the monotonic time since which its signature has been the same.

    Attributes:
        sighting: What was seen.
        since: Monotonic seconds.
        stamp: Times and numbers by which a file is known again at once; none for a folder.
    """

    sighting: Sighting
    since: float
    stamp: tuple[int, int, int, int] | None = None


class Before(NamedTuple):
    """What is known before a sweep.

    Attributes:
        now: Monotonic time.
        settling: What the last sweep found.
        unwanted: What is known by its name alone to be no drop; only whether it is there is looked at, for
            thousands may lie there for days.
    """

    now: float
    settling: Mapping[str, Settling]
    unwanted: Mapping[str, Settling]


def sweep(inbox: Path, trays: Collection[str], before: Before) -> dict[str, Settling]:
    """Look at every entry of the inbox and of its trays.

    Args:
        inbox: The inbox.
        trays: Its standing folders, which are no entries themselves.
        before: What is known of it.

    Returns:
        Every entry by its path, and since when it has been the same; what is gone is forgotten.

    Raises:
        OSError: If the inbox is gone.
    """
    after = dict(_sweep_folder(str(inbox), "", frozenset(trays), before))
    for tray in trays:
        try:
            after.update(_sweep_folder(str(inbox / tray), tray, frozenset(), before))
        except FileNotFoundError:
            continue
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


def _sweep_folder(
    folder: str, tray: str, passed_over: frozenset[str], before: Before
) -> Iterator[tuple[str, Settling]]:
    with os.scandir(folder) as entries:
        for entry in entries:
            if entry.name in passed_over:
                continue
            if entry.path in before.unwanted:
                yield entry.path, before.unwanted[entry.path]
                continue
            known = before.settling.get(entry.path)
            if known is None and is_temporary(entry.name):
                continue
            try:
                status = _status(entry)
                seen = known if _is_the_same(known, status) else _look_into(entry, tray, status, before)
            except OSError:  # it has just gone
                continue
            if seen is not None:
                yield entry.path, seen


def _is_the_same(known: Settling | None, status: os.stat_result) -> bool:
    """Told at once for a file that has not changed."""
    if known is None or known.stamp is None:
        return False
    return known.stamp == (status.st_mtime_ns, status.st_size, status.st_ino, status.st_mode)


def _look_into(entry: os.DirEntry[str], tray: str, status: os.stat_result, before: Before) -> Settling | None:
    signature, unfinished = _measure(entry.path, status)
    known = before.settling.get(entry.path)
    if known is not None and known.sighting.signature == signature:
        return known
    if not signature.files and signature.kind == "folder":
        return None
    sighting = Sighting(entry.name, tray, entry.path, signature, unfinished)
    return Settling(sighting, before.now, _stamp(status))


def _stamp(status: os.stat_result) -> tuple[int, int, int, int] | None:
    if stat.S_ISDIR(status.st_mode):
        return None
    return (status.st_mtime_ns, status.st_size, status.st_ino, status.st_mode)


def _measure(path: str, status: os.stat_result) -> tuple[Signature, str]:
    """Signature of a file or tree; a folder's own times are left out, for they change when it is moved."""
    if not stat.S_ISDIR(status.st_mode):
        mark = f"{status.st_mtime_ns}:{status.st_ino}"
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
    return Signature(status.st_mode, size, files, f"{digest.hexdigest()}:{status.st_ino}"), unfinished


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
    parts = (path, status.st_mode, status.st_size, status.st_mtime_ns, status.st_ino)
    return "\0".join(map(str, parts)).encode(errors="surrogateescape") + b"\n"


def _looks_unfinished(path: str) -> bool:
    name = path.rpartition("/")[2]
    return name.lower().endswith(_UNFINISHED_ENDS) or _RSYNC_NAME.fullmatch(name) is not None


def _status_of_file(entry: os.DirEntry[str]) -> os.stat_result:
    return os.lstat(entry.path)


def _status_in_folder(entry: os.DirEntry[str]) -> os.stat_result:
    return entry.stat(follow_symlinks=False)


_status: Final = _status_of_file if os.name == "nt" else _status_in_folder
"""Windows caches size and time of open files in the folder, so there the file itself is asked."""
