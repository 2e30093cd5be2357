"""Claim: move settled entries out of the inbox into a job folder, by renames alone.

Terms: see jobfolder.py; a *claim* is what a job takes, written down before anything is moved.
"""

from __future__ import annotations

import hashlib
from dataclasses import replace
from typing import TYPE_CHECKING

from piecewright.cutting.errors import PiecewrightError
from piecewright.daemon.disk import Disk, write_whole
from piecewright.daemon.jobfolder import (
    CLAIM,
    DROP,
    RULES,
    Claim,
    Entry,
    Stage,
    folder_name,
    stage_of,
    write_claim,
)
from piecewright.daemon.sweep import Sighting, Signature, sight

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Sequence
    from pathlib import Path

    from piecewright.cutting.rules import JobRules
    from piecewright.daemon.folders import Folders


class NotMoved(PiecewrightError):  # noqa: N818 - names the thing
    """What lies in the inbox may not be moved out of it."""

    code = "not-moved"
    blame = "ours"


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
    write_claim(disk, folder, claim)
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
    write_claim(disk, folder, renewed)
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
