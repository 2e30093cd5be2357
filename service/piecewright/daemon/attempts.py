"""Attempts, written down before each is made: a drop that takes the whole machine down is counted too."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING

from piecewright.daemon.disk import Disk, write_whole
from piecewright.daemon.jobfolder import OUT

if TYPE_CHECKING:
    from pathlib import Path


@dataclass(frozen=True, slots=True, kw_only=True)
class Attempt:
    """One try at a job.

    Attributes:
        number: From 1.
        started: UTC, ISO 8601.
        content: SHA-256 of what was dropped; "" if it is larger than any drop may be.
        rules: SHA-256 of the rules.
        earlier: Jobs that cut the same content by the same rules.
    """

    number: int
    started: str
    content: str
    rules: str
    earlier: tuple[str, ...]

    @property
    def results(self) -> str:
        """Name of the results' folder."""
        return OUT.format(attempt=self.number)


def count(folder: Path) -> int:
    """How many attempts count against the drop."""
    return len(_files(folder))


def next_number(folder: Path) -> int:
    """A number that no attempt of this job has had, nor any results."""
    taken = [*_files(folder), *folder.glob("out-*")]
    return 1 + max((int(path.stem.rpartition("-")[2]) for path in taken), default=0)


def begin(disk: Disk, folder: Path, attempt: Attempt) -> None:
    """Write an attempt down."""
    write_whole(disk, _path(folder, attempt.number), json.dumps(asdict(attempt), indent=1).encode())


def take_back(disk: Disk, folder: Path, number: int) -> None:
    """Let an attempt not count: it ended through no fault of the drop."""
    disk.remove(_path(folder, number))


def read(folder: Path, number: int) -> Attempt:
    """Read an attempt back."""
    raw = json.loads(_path(folder, number).read_bytes())
    return Attempt(**{**raw, "earlier": tuple(raw["earlier"])})


def _path(folder: Path, number: int) -> Path:
    return folder / f"attempt-{number}.json"


def _files(folder: Path) -> list[Path]:
    return list(folder.glob("attempt-*.json"))
