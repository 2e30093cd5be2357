"""Bringing copies into the inbox: whole or not at all, and never over anything that lies there."""

from __future__ import annotations

import itertools
import os
import shutil
import stat
import uuid
from pathlib import Path
from typing import TYPE_CHECKING, Final

from piecewright.daemon.disk import RealDisk
from piecewright.daemon.errors import SpecialFile
from piecewright.daemon.printable import printable
from piecewright.daemon.trees import below

if TYPE_CHECKING:
    from collections.abc import Iterator

_KEPT: Final = 40
"""Characters of a name that is made longer: it may be as long as the filesystem allows."""


def bring(source: Path, place: Path, name: str) -> Path:
    """Copy a file or folder: under a name that is no drop yet, then all at once under its own.

    Args:
        source: The file or folder; links in it are copied as links.
        place: The inbox or a tray.
        name: What it is to be called; numbered if the name is taken.

    Returns:
        Where it lies.

    Raises:
        SpecialFile: If it, or something in it, is neither a file, a folder nor a link.
        OSError: If it cannot be copied.
    """
    under_way = place / f".{name[:_KEPT]}.{uuid.uuid4().hex[:8]}"
    try:
        _copy(source, under_way)
        return _give_name(under_way, place, name)
    finally:
        RealDisk().remove(under_way)  # gone already, unless something went wrong


def _copy(source: Path, target: Path) -> None:
    mode = source.lstat().st_mode
    if not stat.S_ISDIR(mode):
        _copy_file(source, target, mode)
        return
    target.mkdir()
    for inner, path, status in below(str(source)):
        copied = Path(target, inner)
        if stat.S_ISDIR(status.st_mode):
            copied.mkdir()
        elif stat.S_ISLNK(status.st_mode):
            copied.symlink_to(os.readlink(path))  # noqa: PTH115 - what it says, not where it leads
        else:
            _copy_file(Path(path), copied, status.st_mode)


def _copy_file(source: Path, target: Path, mode: int) -> None:
    if not stat.S_ISREG(mode):
        message = f"{printable(source.name)} is a link or a device, not a file."
        raise SpecialFile(message, "Drop the file itself.")
    shutil.copyfile(source, target)


def _give_name(under_way: Path, place: Path, name: str) -> Path:
    for target in _free_names(place, name):
        try:
            RealDisk().rename(under_way, target)
        except FileExistsError:
            continue
        return target
    raise AssertionError  # there is always one more number


def _free_names(place: Path, name: str) -> Iterator[Path]:
    yield place / name
    named = Path(name)
    for number in itertools.count(2):
        yield place / f"{named.stem[:_KEPT]}-{number}{named.suffix[:_KEPT]}"
