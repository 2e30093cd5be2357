"""Zips of a drop, read where they lie and never unpacked to disk; what one says of itself is not trusted."""

from __future__ import annotations

import errno
import os
import re
import stat
import struct
import zipfile
import zlib
from contextlib import contextmanager
from typing import TYPE_CHECKING, Final

from piecewright.cutting.errors import LimitPassed
from piecewright.daemon.drops.entry import (
    REPACK,
    UNPACK,
    Entry,
    RefusedDrop,
    ending_of,
    is_junk,
    refuse_archive,
    shown,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from contextlib import ExitStack
    from pathlib import Path

    from piecewright.cutting.rules import ReadingRules

_STUMBLES: Final = (
    zipfile.BadZipFile,
    zlib.error,
    struct.error,
    ArithmeticError,
    EOFError,
    LookupError,
    RuntimeError,
    ValueError,
)

_RATIO: Final = 100
_RATIO_FROM: Final = 1_000_000
"""Stitch files pack to a tenth at the very best; more than a megabyte from under a hundredth is a bomb."""

_END_SEARCH: Final = 22 + 65_535
"""The end record and the longest comment after it."""

_LISTED_BYTES: Final = 1_000
"""Bytes of the list for one file: 46 and its name, with room for what systems add."""


def zipped(path: Path, label: str, limits: ReadingRules, open_zips: ExitStack) -> Iterator[Entry]:
    """Every file that a zip holds.

    Args:
        path: The zip.
        label: Its path in the drop, for people.
        limits: Most files, and the largest design.
        open_zips: Closes it when the entries have been read.

    Raises:
        RefusedDrop: If it is not safe or not whole.
        LimitPassed: If it lists too much.
    """
    _check_directory(path, label, limits)
    with _refusing(_not_whole(label)):
        archive = open_zips.enter_context(zipfile.ZipFile(path))
        infos = [info for info in archive.infolist() if not info.is_dir()]
    _check_bomb(infos, path.stat().st_size, label)
    seen: set[str] = set()
    for info in infos:
        name = _zip_name(info)
        if any(is_junk(part) for part in name.split("/")):
            continue
        _check_entry(info, name, label)
        if name in seen:
            message = f"{label} holds two files of one name: {shown(name)}."
            raise RefusedDrop(message, REPACK)
        seen.add(name)
        read = _reader(archive, info, f"{label}: {shown(name)}", limits.file_bytes)
        yield Entry(path=f"{label[: -len('.zip')]}/{shown(name)}", size=info.file_size, read=read)


@contextmanager
def _refusing(refusal: RefusedDrop) -> Iterator[None]:
    """Whatever ``zipfile`` stumbles over is the zip's fault, except what the disk says."""
    try:
        yield
    except _STUMBLES as error:
        raise refusal from error
    except OSError as error:
        if error.errno != errno.EINVAL:  # a place before the start of the file, from a damaged list
            raise
        raise refusal from error


def _damaged(label: str) -> RefusedDrop:
    message = f"{label} is damaged."
    return RefusedDrop(message, "Copy the zip again, or unpack it and drop the folder.")


def _not_whole(label: str) -> RefusedDrop:
    message = f"{label} is no whole zip: it is damaged, cut short, or something else."
    return RefusedDrop(message, "Copy it again, or unpack it and drop the folder.")


def _check_directory(path: Path, label: str, limits: ReadingRules) -> None:
    """Look at the length of the zip's list of files before the list is read into memory.

    The end record is the one of APPNOTE 4.3.16: signature, four counts of two bytes, then the length.
    """
    with path.open("rb") as stream:
        size = stream.seek(0, os.SEEK_END)
        stream.seek(max(0, size - _END_SEARCH))
        tail = stream.read()
    at = tail.rfind(b"PK\x05\x06")
    if at < 0 or at + 16 > len(tail):
        raise _not_whole(label)
    if int.from_bytes(tail[at + 12 : at + 16], "little") > limits.drop_files * _LISTED_BYTES:
        message = f"{label} lists far more than {limits.drop_files:,} files."
        raise LimitPassed(message, "Drop fewer at a time, or raise limits: drop_files in the rules.")


def _check_bomb(infos: list[zipfile.ZipInfo], size: int, label: str) -> None:
    packed = sum(info.compress_size for info in infos)
    blown = any(i.file_size > _RATIO_FROM and i.file_size > _RATIO * i.compress_size for i in infos)
    if packed > size or blown:
        message = f"{label} unpacks to far more than its size; such zips are made to fill disks."
        raise RefusedDrop(message, "If you made it yourself, unpack it and drop only the designs.")


def _check_entry(info: zipfile.ZipInfo, name: str, label: str) -> None:
    kind = stat.S_IFMT(info.external_attr >> 16)
    if info.flag_bits & 0x1:
        message = f"{label} is locked with a password."
        raise RefusedDrop(message, UNPACK)
    if name.startswith("/") or re.match(r"[A-Za-z]:", name) or ".." in name.split("/"):
        message = f"{label} holds a file that wants to lie outside of it: {shown(name)}."
        raise RefusedDrop(message, f"Do not trust this zip. {UNPACK}")
    if kind not in {0, stat.S_IFREG}:
        message = f"{label} holds something that is no file: {shown(name)}."
        raise RefusedDrop(message, UNPACK)
    if ending_of(name) == "zip":
        message = f"{label} holds another zip: {shown(name)}."
        raise RefusedDrop(message, UNPACK)
    refuse_archive(name, shown(name))
    if info.compress_type not in {zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED}:
        message = f"{label} is packed in an unusual way."
        raise RefusedDrop(message, REPACK)


def _reader(archive: zipfile.ZipFile, info: zipfile.ZipInfo, label: str, most: int) -> Callable[[], bytes]:
    def read() -> bytes:
        wanted = min(info.file_size, most) + 1
        with _refusing(_damaged(label)), archive.open(info) as stream:
            data = stream.read(wanted)
        if info.file_size <= most and len(data) != info.file_size:
            message = f"{label} does not unpack to the size that the zip tells."
            raise RefusedDrop(message, REPACK)
        return data

    return read


def _zip_name(info: zipfile.ZipInfo) -> str:
    """The name with ``/`` between folders; UTF-8 names that are not marked as such are put right."""
    name = info.filename
    if not info.flag_bits & 0x800:
        try:
            name = name.encode("cp437").decode("utf-8")
        except UnicodeError:
            name = info.filename
    return name.replace("\\", "/")
