"""Claim: move settled entries out of the inbox into a job's own folder, by renames alone.

Terms: a *job folder* is ``work/<id>``; its *stage* is read from what lies in it, so that recovery after a
crash is the ordinary way of going on and not a second program.
"""

from __future__ import annotations

import enum
import hashlib
import json
import re
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final

from piecewright.daemon.disk import Disk, write_whole
from piecewright.daemon.sweep import Sighting, Signature, sight

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Sequence

    from piecewright.cutting.rules import JobRules
    from piecewright.daemon.folders import Folders

CLAIM: Final = "claim.json"
RULES: Final = "rules.json"
DROP: Final = "in"
READY: Final = "READY"
REPORT: Final = "report.json"
OUT: Final = "out-{attempt}"


class Stage(enum.Enum):
    """How far a job folder has come."""

    UNCLAIMED = "unclaimed"
    CLAIMED = "claimed"
    WORKED = "worked"
    PUBLISHED = "published"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One entry of the inbox that a job has taken: where it lay, relative to the inbox."""

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


def take(
    disk: Disk, folders: Folders, sightings: Sequence[Sighting], rules: JobRules, now: dt.datetime
) -> Claim | None:
    """Claim entries as one job.

    Returns:
        The claim, or None if the entries have gone or cannot be moved now; then nothing has changed.
    """
    first = sightings[0]
    job = new_id(folders, sightings, now)
    entries = tuple(Entry(name=s.name, tray=s.tray, signature=s.signature) for s in sightings)
    claim = Claim(
        job=job,
        name=first.name if len(sightings) == 1 else f"{first.tray} ({len(sightings)})",
        tray=first.tray,
        product=rules.product.name,
        claimed=now.isoformat(timespec="seconds"),
        entries=entries,
    )
    folder = folders.work / job
    disk.make_folder(folder)
    disk.make_folder(folder / DROP)
    write_whole(disk, folder / RULES, rules.model_dump_json(indent=1).encode())
    write_whole(disk, folder / CLAIM, json.dumps(asdict(claim), indent=1).encode())
    disk.sync(folders.work)
    if not move_in(disk, folders, claim):
        disk.remove(folder)
        return None
    return claim


def move_in(disk: Disk, folders: Folders, claim: Claim) -> bool:
    """Move what is left of a claim's entries into its folder; False if none could be moved."""
    drop = folders.work / claim.job / DROP
    moved = False
    for entry in claim.entries:
        source = folders.inbox / entry.tray / entry.name
        seen = sight(source)
        if seen is None or seen[0] != entry.signature:
            continue
        try:
            disk.rename(source, drop / entry.name)
        except (FileNotFoundError, PermissionError):  # taken back by the operator, or locked (Windows)
            continue
        moved = True
    disk.sync(drop)
    for tray in {entry.tray for entry in claim.entries}:
        disk.sync(folders.inbox / tray)
    return moved


def read_claim(folder: Path) -> Claim:
    """Read back what ``take`` wrote down.

    Raises:
        OSError: If there is no claim.
        ValueError: If it is damaged.
    """
    raw = json.loads((folder / CLAIM).read_bytes())
    entries = tuple(
        Entry(name=e["name"], tray=e["tray"], signature=Signature(*e["signature"]))
        for e in raw.pop("entries")
    )
    return Claim(entries=entries, **raw)


def stage_of(folder: Path) -> Stage:
    """Where a job stands, from its folder alone."""
    if (folder / REPORT).exists():
        return Stage.REFUSED
    if (folder / READY).exists():
        out = folder / json.loads((folder / READY).read_bytes())["out"]
        return Stage.WORKED if out.exists() else Stage.PUBLISHED
    drop = folder / DROP
    if not drop.is_dir() or not any(drop.iterdir()):
        return Stage.UNCLAIMED
    return Stage.CLAIMED


def is_untouched(folder: Path, claim: Claim) -> bool:
    """Whether nobody has written to the claimed entries since they had settled."""
    for entry in claim.entries:
        seen = sight(folder / DROP / entry.name)
        if seen is not None and seen[0] != entry.signature:
            return False
    return True


def new_id(folders: Folders, sightings: Sequence[Sighting], now: dt.datetime) -> str:
    """Short, sorted by time of claim (UTC), and never used before in any of the folders."""
    stamp = now.strftime("%y%m%d-%H%M%S")
    salt = 0
    while True:
        seed = repr((salt, [(s.path, s.signature) for s in sightings])).encode(errors="surrogateescape")
        job = f"{stamp}-{hashlib.blake2b(seed, digest_size=2).hexdigest()}"
        if not _is_used(folders, job):
            return job
        salt += 1


def _is_used(folders: Folders, job: str) -> bool:
    if any((place / job).exists() for place in (folders.work, folders.done, folders.failed)):
        return True
    return any(folders.outbox.glob(f"*_{job}"))


def safe_name(name: str) -> str:
    """A folder name that Windows, shares and shells take: the drop's name without its ending."""
    stem = Path(name).stem if not name.startswith(".") else name
    cleaned = re.sub(r"[^\w\-]+", "-", stem.encode("utf-8", "replace").decode()).strip("-_")
    short = cleaned.encode()[:80].decode(errors="ignore")
    return short or "drop"
