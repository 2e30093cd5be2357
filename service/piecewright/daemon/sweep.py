"""Sweep and settle: what lies in the inbox, and since when it has not changed.

Terms: an *entry* is one name in the inbox or in a tray: a file or a folder; a *signature* is what
changes when somebody still writes to an entry; a *sighting* is an entry with its signature; an entry
*settles* while its signature stays the same.

A sweep is the truth; events only say that one is due. Measured on Linux: of 5,000 files copied as a tree
up to 2,248 had no close event, moved files never have one, an overflow drops thousands without a word.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import stat
from pathlib import Path
from typing import TYPE_CHECKING, Final, Literal, NamedTuple, Self

from piecewright.daemon.printable import printable
from piecewright.daemon.trees import below, status_of

if TYPE_CHECKING:
    from collections.abc import Collection

_CLUTTER = frozenset({"thumbs.db", "desktop.ini", "ehthumbs.db"})
"""Files that file managers leave behind by themselves."""
_UNFINISHED_ENDS = (".tmp", ".temp", ".part", ".partial", ".crdownload", ".filepart", ".download")
_UNFINISHED_STARTS = (".", "~$")
"""Outside a folder a leading dot says enough: rsync, browsers and sync programs all write such names."""
_RSYNC_NAME = re.compile(r"\..+\.[A-Za-z0-9]{6}")
"""Inside a folder only this one, since Macs leave harmless ``._`` files everywhere."""

_UNFINISHED: Final = "{} in it is still being copied, or was left half copied; finish or remove it."
_CLOSED: Final = "{} in it cannot be looked into ({}); give the service the right to read it, or take it out."


class Signature(NamedTuple):
    """What must stay the same; equal before and after the entry is renamed.

    Attributes:
        mode: Type and permissions of the entry itself.
        size: Bytes of all its files.
        files: How many it has.
        mark: Stands for every path, size, modification time and inode; inside folders, where no rename of
            the entry reaches, for the time of the last change of any kind too.
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
        hindrance: What in it keeps it from being claimed, as a sentence with what to do; "" if nothing does.
    """

    name: str
    tray: str
    path: str
    signature: Signature
    hindrance: str


class Settling(NamedTuple):
    """A sighting, and the monotonic time since which its signature has been the same.

    Attributes:
        sighting: What was seen.
        since: Monotonic seconds.
        stamp: What must stay the same of a file while it lies where it is; None for a folder.
    """

    sighting: Sighting
    since: float
    stamp: tuple[int, ...] | None = None


class Lying(NamedTuple):
    """What lies in the inbox, by path.

    Attributes:
        settling: Entries that are looked at in every sweep.
        unwanted: Entries that no product takes. As that depends on nothing but the name, nothing but the name
            is looked at again; thousands of such entries may lie there for days.
        closed: Trays that cannot be looked into, and why.
    """

    settling: dict[str, Settling]
    unwanted: set[str]
    closed: dict[str, str]

    @classmethod
    def nothing(cls) -> Self:
        """Before the first sweep."""
        return cls({}, set(), {})

    @property
    def entries(self) -> int:
        """How many entries there are."""
        return len(self.settling) + len(self.unwanted)


def sweep(inbox: Path, trays: Collection[str], before: Lying, now: float) -> Lying:
    """Look at every entry of the inbox and of its trays.

    Args:
        inbox: The inbox.
        trays: Its standing folders, which are no entries themselves.
        before: What the last sweep found.
        now: Monotonic time.

    Returns:
        What lies there now, and since when it has been the same; what is gone is forgotten.

    Raises:
        OSError: If the inbox is gone.
    """
    found = Lying.nothing()
    _sweep_folder(str(inbox), "", frozenset(trays), before, found, now)
    for tray in trays:
        try:
            _sweep_folder(str(inbox / tray), tray, frozenset(), before, found, now)
        except OSError as error:
            found.closed[tray] = error.strerror or str(error)
    return found


def sight(path: Path) -> Signature | None:
    """The signature of an entry where it now lies; None if it is gone."""
    try:
        return _measure(str(path), path.lstat())[0]
    except OSError:
        return None


def is_temporary(name: str) -> bool:
    """Whether programs use such a name while they still write, so that it is no drop yet."""
    lowered = name.lower()
    return lowered.startswith(_UNFINISHED_STARTS) or lowered.endswith(_UNFINISHED_ENDS) or lowered in _CLUTTER


def _sweep_folder(
    folder: str, tray: str, passed_over: frozenset[str], before: Lying, found: Lying, now: float
) -> None:
    with os.scandir(folder) as entries:
        for entry in entries:
            if entry.path in before.unwanted:
                found.unwanted.add(entry.path)
            elif entry.name not in passed_over and not is_temporary(entry.name):
                with contextlib.suppress(OSError):  # it has just gone
                    _look_at(entry, tray, before, found, now)


def _look_at(entry: os.DirEntry[str], tray: str, before: Lying, found: Lying, now: float) -> None:
    status = status_of(entry)
    known, stamp = before.settling.get(entry.path), _stamp(status)
    if known is not None and stamp is not None and known.stamp == stamp:
        found.settling[entry.path] = known
        return
    signature, hindrance = _measure(entry.path, status)
    if known is not None and stamp is None and known.sighting.signature == signature:
        found.settling[entry.path] = known
    elif signature.files or hindrance:
        sighting = Sighting(entry.name, tray, entry.path, signature, hindrance)
        found.settling[entry.path] = Settling(sighting, now, stamp)


def _stamp(status: os.stat_result) -> tuple[int, ...] | None:
    """What a file is known again by, with the time of its last change of any kind.

    File servers put the modification time back while they still write. A rename counts as such a change, so
    that it cannot be part of the signature.
    """
    if stat.S_ISDIR(status.st_mode):
        return None
    return (status.st_mtime_ns, status.st_ctime_ns, status.st_size, status.st_ino, status.st_mode)


def _measure(path: str, status: os.stat_result) -> tuple[Signature, str]:
    """Signature of a file or tree, and what in it is a hindrance.

    A folder's own times are left out, for they change when it is moved.

    Raises:
        FileNotFoundError: If it has just gone.
    """
    if not stat.S_ISDIR(status.st_mode):
        return Signature(status.st_mode, status.st_size, 1, f"{status.st_mtime_ns}:{status.st_ino}"), ""
    size = files = 0
    hindrance = ""
    digest = hashlib.blake2b(digest_size=16)
    try:
        for inner, _path, inner_status in below(path):
            digest.update(_line(inner, inner_status))
            if not stat.S_ISDIR(inner_status.st_mode):
                size += inner_status.st_size
                files += 1
                hindrance = hindrance or (_UNFINISHED.format(inner) if _looks_unfinished(inner) else "")
    except FileNotFoundError:
        raise
    except OSError as error:
        closed = Path(str(error.filename)).name
        hindrance = _CLOSED.format(closed, error.strerror)
    mark = f"{digest.hexdigest()}:{status.st_ino}"
    return Signature(status.st_mode, size, files, mark), printable(hindrance)


def _line(path: str, status: os.stat_result) -> bytes:
    if stat.S_ISDIR(status.st_mode):
        return f"{path}\0{status.st_mode}\n".encode(errors="surrogateescape")
    times = (status.st_mtime_ns, status.st_ctime_ns)
    parts = (path, status.st_mode, status.st_size, *times, status.st_ino)
    return "\0".join(map(str, parts)).encode(errors="surrogateescape") + b"\n"


def _looks_unfinished(path: str) -> bool:
    name = path.rpartition("/")[2]
    return name.lower().endswith(_UNFINISHED_ENDS) or _RSYNC_NAME.fullmatch(name) is not None
