"""Entries of a drop: every file that it holds, also inside its zips, found without trusting any of them."""

from __future__ import annotations

import os
import stat
from pathlib import Path
from typing import TYPE_CHECKING, Final

from piecewright.cutting.errors import LimitPassed
from piecewright.daemon.drops.entry import Entry, RefusedDrop, ending_of, is_junk, refuse_archive, shown
from piecewright.daemon.drops.zips import zipped

if TYPE_CHECKING:
    from collections.abc import Iterator
    from contextlib import ExitStack

    from piecewright.cutting.rules import ReadingRules

_DEEPEST: Final = 20
"""Folders inside each other; nobody sorts designs deeper."""


def entries_of(folder: Path, limits: ReadingRules, open_zips: ExitStack) -> list[Entry]:
    """Everything that a claimed drop holds, sorted by path; zips are looked into.

    Args:
        folder: Holds what was dropped.
        limits: Most files and most bytes, unpacked.
        open_zips: Closes the zips when the entries have been read.

    Raises:
        RefusedDrop: If something in it is neither a file nor a folder, or a zip is not safe.
        LimitPassed: If it holds too much.
    """
    found: list[Entry] = []
    total = 0
    for entry in _walk(folder, limits, open_zips):
        total += entry.size
        if len(found) >= limits.drop_files:
            message = f"The drop holds more than {limits.drop_files:,} files."
            raise LimitPassed(message, "Drop fewer at a time, or raise limits: drop_files in the rules.")
        if total > limits.drop_bytes:
            message = f"The drop holds more than {limits.drop_bytes:,} bytes, unpacked."
            raise LimitPassed(message, "Drop fewer at a time, or raise limits: drop_bytes in the rules.")
        found.append(entry)
    return sorted(found, key=lambda entry: entry.path)


def _walk(folder: Path, limits: ReadingRules, open_zips: ExitStack) -> Iterator[Entry]:
    for parent, folders, files in os.walk(folder, followlinks=False, onerror=_stop):
        inside = Path(parent).relative_to(folder)
        if len(inside.parts) > _DEEPEST:
            message = f"The drop has more than {_DEEPEST} folders inside each other."
            raise RefusedDrop(message, "Drop the folder that holds the designs.")
        folders[:] = sorted(name for name in folders if not is_junk(name))
        for name in sorted([*files, *folders]):
            path = Path(parent) / name
            mode = path.lstat().st_mode
            if stat.S_ISDIR(mode) or is_junk(name):
                continue
            if not stat.S_ISREG(mode):
                message = f"{shown(name)} is a link, pipe or device, not a file."
                raise RefusedDrop(message, "Drop a copy of the file itself.")
            yield from _looked_into(path, shown((inside / name).as_posix()), limits, open_zips)


def _stop(error: OSError) -> None:
    raise error


def _looked_into(path: Path, label: str, limits: ReadingRules, open_zips: ExitStack) -> Iterator[Entry]:
    refuse_archive(label, label)
    if ending_of(label) == "zip":
        yield from zipped(path, label, limits, open_zips)
        return

    def read() -> bytes:
        with path.open("rb") as stream:
            return stream.read(limits.file_bytes + 1)

    yield Entry(path=label, size=path.stat().st_size, read=read)
