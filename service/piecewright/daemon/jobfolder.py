"""A job folder: what lies in it, and what that says of the job.

Terms: a *job folder* is ``work/<id>``; its *stage* is read from what lies in it, so that recovery after a
crash is the ordinary way of going on and not a second program.

========== ================================================ =============================
stage      what lies in the job folder                      what is done next
========== ================================================ =============================
unclaimed  ``in/`` is missing or empty                      forget the folder
claimed    ``in/`` holds the drop                           work on it (again)
worked     READY, and the results that it names             publish
published  READY, its results have left                     hand over if asked, retire
refused    ``report.json``                                  set aside
========== ================================================ =============================
"""

from __future__ import annotations

import enum
import hashlib
import json
import re
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, Final

from piecewright.daemon.disk import Disk, write_whole
from piecewright.daemon.sweep import Signature
from piecewright.daemon.trees import files_of

CLAIM: Final = "claim.json"
RULES: Final = "rules.json"
DROP: Final = "in"
READY: Final = "READY"
REPORT: Final = "report.json"
OUT: Final = "out-{attempt}"
"""Results of one attempt; so that a worker left over from a service that was killed writes nowhere else."""

_LONGEST_NAME: Final = 80
"""Bytes of a drop's name kept in folder names, so that paths stay short enough for Windows."""


class Stage(enum.Enum):
    """How far a job folder has come; see the table above."""

    UNCLAIMED = "unclaimed"
    CLAIMED = "claimed"
    WORKED = "worked"
    PUBLISHED = "published"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One entry of the inbox that a job has taken."""

    name: str
    tray: str
    signature: Signature


@dataclass(frozen=True, slots=True, kw_only=True)
class Claim:
    """What is written down before anything is moved.

    Attributes:
        job: Id of the job.
        name: The name that the operator knows it by.
        tray: The tray, or "".
        product: Name of the product.
        claimed: UTC, ISO 8601; for people, never compared.
        entries: What the job takes; several only for an order gathered in a tray.
    """

    job: str
    name: str
    tray: str
    product: str
    claimed: str
    entries: tuple[Entry, ...]


def read_claim(folder: Path) -> Claim:
    """Read back what ``take`` wrote down.

    Raises:
        OSError: If there is no claim.
        ValueError: If it is damaged.
    """
    raw = json.loads((folder / CLAIM).read_bytes())
    try:
        entries = tuple(Entry(**{**e, "signature": Signature(*e["signature"])}) for e in raw.pop("entries"))
        return Claim(entries=entries, **raw)
    except (KeyError, TypeError) as error:
        message = f"{folder / CLAIM} is damaged."
        raise ValueError(message) from error


def stage_of(folder: Path) -> Stage:
    """Where a job stands, from its folder alone.

    Raises:
        OSError: If the folder cannot be read.
        ValueError: If READY is damaged.
    """
    if (folder / REPORT).exists():
        return Stage.REFUSED
    if (folder / READY).exists():
        results = folder / str(json.loads((folder / READY).read_bytes())["out"])
        return Stage.WORKED if results.exists() else Stage.PUBLISHED
    drop = folder / DROP
    return Stage.CLAIMED if drop.is_dir() and any(drop.iterdir()) else Stage.UNCLAIMED


def read_report(folder: Path) -> dict[str, Any]:
    """The report of a refused job as plain JSON data.

    Raises:
        OSError: If there is none.
        ValueError: If it is damaged.
    """
    report: dict[str, Any] = json.loads((folder / REPORT).read_bytes())
    return report


def write_claim(disk: Disk, folder: Path, claim: Claim) -> None:
    """Write down what a job takes, such that it is there whole or not at all."""
    write_whole(disk, folder / CLAIM, json.dumps(asdict(claim), indent=1).encode())


def content_hash(folder: Path) -> str:
    """SHA-256 over what was dropped: paths inside folders count, the drop's own name does not."""
    whole = hashlib.sha256()
    for entry in sorted((folder / DROP).iterdir()):
        for inner, path in sorted(files_of(str(entry))):
            with Path(path).open("rb") as file:
                name = inner.encode(errors="surrogateescape")
                whole.update(name + b"\0" + hashlib.file_digest(file, "sha256").digest())
    return whole.hexdigest()


def folder_name(name: str, job: str) -> str:
    """Name of the job's folder in the outbox."""
    return f"{_safe(name)}_{job}"


def _safe(name: str) -> str:
    """What Windows, shares and shells take of a drop's name, without its ending."""
    stem = Path(name).stem.encode("utf-8", "replace").decode()
    cleaned = re.sub(r"[^\w\-]+", "-", stem).strip("-_")
    return cleaned.encode()[:_LONGEST_NAME].decode(errors="ignore") or "drop"
