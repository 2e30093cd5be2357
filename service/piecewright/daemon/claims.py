"""Claim: move settled entries out of the inbox into a job's own folder, by renames alone.

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
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from piecewright.cutting.errors import PiecewrightError
from piecewright.daemon.disk import Disk, write_whole
from piecewright.daemon.sweep import Sighting, Signature, sight
from piecewright.daemon.trees import files_of

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
"""Results of one attempt; so that a worker left over from a service that was killed writes nowhere else."""

_LONGEST_NAME: Final = 80
"""Bytes of a drop's name kept in folder names, so that paths stay short enough for Windows."""


class NotMoved(PiecewrightError):  # noqa: N818 - names the thing
    """What lies in the inbox may not be moved out of it."""

    code = "not-moved"
    blame = "ours"


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


def take(
    disk: Disk, folders: Folders, sightings: Sequence[Sighting], rules: JobRules, now: dt.datetime
) -> Claim | None:
    """Claim entries as one job.

    Returns:
        The claim, or None if the entries have gone or changed; then nothing is changed.

    Raises:
        NotMoved: If none of the entries may be moved; then nothing is changed either.
        OSError: If nothing can be written.
    """
    first = sightings[0]
    name = first.name if len(sightings) == 1 else f"{first.tray} ({len(sightings)} drops)"
    claim = Claim(
        job=_new_id(folders, sightings, name, now),
        name=name,
        tray=first.tray,
        product=rules.product.name,
        claimed=now.isoformat(timespec="seconds"),
        entries=tuple(Entry(name=s.name, tray=s.tray, signature=s.signature) for s in sightings),
    )
    folder = folders.work / claim.job
    disk.make_folder(folder)
    disk.make_folder(folder / DROP)
    write_whole(disk, folder / RULES, rules.model_dump_json(indent=1).encode())
    _write_claim(disk, folder, claim)
    disk.sync(folders.work)
    refusal = move_in(disk, folders, claim)
    if stage_of(folder) is not Stage.UNCLAIMED:
        return claim
    forget(disk, folder)
    if refusal is not None:
        message = f"It may not be moved: {refusal.strerror or refusal}."
        advice = "Close it where it is open, or give the service the right to move it."
        raise NotMoved(message, advice) from refusal
    return None


def move_in(disk: Disk, folders: Folders, claim: Claim) -> OSError | None:
    """Move those of a claim's entries that still lie in the inbox, unchanged, into its folder.

    Returns:
        Why one of them was left: locked by another program, another account's folder, a mounted drive.
    """
    refusal: OSError | None = None
    drop = folders.work / claim.job / DROP
    for entry in claim.entries:
        source = folders.inbox / entry.tray / entry.name
        if sight(source) != entry.signature:
            continue
        try:
            disk.rename(source, drop / entry.name)
        except FileNotFoundError:  # taken back by the operator
            continue
        except OSError as error:
            refusal = error
    disk.sync(drop)
    for tray in sorted({entry.tray for entry in claim.entries}):
        disk.sync(folders.inbox / tray)
    return refusal


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


def is_untouched(folder: Path, claim: Claim) -> bool:
    """Whether nobody has written to the claimed entries since they had settled."""
    return all(signature in (None, entry.signature) for entry, signature in _present(folder, claim))


def with_present_signatures(disk: Disk, folder: Path, claim: Claim) -> Claim:
    """Write the claim anew with the signatures that its entries have now."""
    present = [
        entry if signature is None else replace(entry, signature=signature)
        for entry, signature in _present(folder, claim)
    ]
    renewed = replace(claim, entries=tuple(present))
    _write_claim(disk, folder, renewed)
    return renewed


def forget(disk: Disk, folder: Path) -> None:
    """Remove a job folder that never got its drop; cannot remove anything that was dropped."""
    if not folder.exists():
        return
    drop = folder / DROP
    if drop.is_dir():
        disk.remove_empty(drop)
    for name in (RULES, CLAIM):
        disk.remove(folder / f"{name}.new")
        disk.remove(folder / name)
    disk.remove_empty(folder)


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


def _write_claim(disk: Disk, folder: Path, claim: Claim) -> None:
    write_whole(disk, folder / CLAIM, json.dumps(asdict(claim), indent=1).encode())


def _present(folder: Path, claim: Claim) -> list[tuple[Entry, Signature | None]]:
    return [(entry, sight(folder / DROP / entry.name)) for entry in claim.entries]


def _new_id(folders: Folders, sightings: Sequence[Sighting], name: str, now: dt.datetime) -> str:
    """Short, sorted by time of claim (UTC), and never used before.

    A clock that jumps back may repeat a time; the four digits behind it are then counted on until free.
    """
    seed = repr([(s.path, s.signature) for s in sightings]).encode(errors="surrogateescape")
    digits = int.from_bytes(hashlib.blake2b(seed, digest_size=2).digest(), "big")
    stamp = now.strftime("%y%m%d-%H%M%S")
    while _is_used(folders, f"{stamp}-{digits:04x}", name):
        digits = (digits + 1) % 0x10000
    return f"{stamp}-{digits:04x}"


def _is_used(folders: Folders, job: str, name: str) -> bool:
    homes = (
        folders.work / job,
        folders.done / job,
        folders.failed / job,
        folders.outbox / folder_name(name, job),
    )
    return any(home.exists() for home in homes)
