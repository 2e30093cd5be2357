"""Trees of folders as they were dropped: walked without following a link, however deep they are."""

from __future__ import annotations

import os
import stat
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator


def below(folder: str) -> Iterator[tuple[str, str, os.stat_result]]:
    """Everything below a folder, in the same order each time; without recursion, for depth is an attack.

    Yields:
        The path inside the folder, with ``/`` between folders; the whole path; its own status.

    Raises:
        OSError: If something cannot be looked into, with its name.
    """
    left = [("", folder)]
    while left:
        prefix, here = left.pop()
        with os.scandir(here) as entries:
            inside = sorted(entries, key=lambda entry: entry.name)
        for entry in inside:
            status = status_of(entry)
            yield prefix + entry.name, entry.path, status
            if stat.S_ISDIR(status.st_mode):
                left.append((f"{prefix}{entry.name}/", entry.path))


def files_of(entry: str) -> Iterator[tuple[str, str]]:
    """Every regular file of an entry: of a folder those below it, of a file itself under no inner path.

    Yields:
        The path inside the entry, and the whole path.

    Raises:
        OSError: If something cannot be looked into.
    """
    mode = os.lstat(entry).st_mode
    if stat.S_ISREG(mode):
        yield ".", entry
    elif stat.S_ISDIR(mode):
        yield from ((inner, path) for inner, path, status in below(entry) if stat.S_ISREG(status.st_mode))


def status_of(entry: os.DirEntry[str]) -> os.stat_result:
    """Windows caches size and time of open files in the folder, so there the file itself is asked."""
    return os.lstat(entry.path) if os.name == "nt" else entry.stat(follow_symlinks=False)
