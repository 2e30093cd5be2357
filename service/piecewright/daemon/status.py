"""What ``piecewright status`` shows: inbox, bench and latest jobs, without disturbing a service."""

from __future__ import annotations

import contextlib
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

from piecewright.daemon import handover
from piecewright.daemon.folders import FolderError, Folders, is_held
from piecewright.daemon.intake import trays_of
from piecewright.daemon.jobfolder import read_claim, stage_of
from piecewright.daemon.ledger import Ledger, Row
from piecewright.daemon.printable import printable
from piecewright.daemon.sweep import Lying, sweep

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from piecewright.daemon.rulebook import Rulebook


@dataclass(frozen=True, slots=True, kw_only=True)
class InWork:
    """A job that is not over: its stage, and whether a hand-over holds it."""

    job: str
    name: str
    product: str
    stage: str
    hand_over: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Status:
    """How things stand.

    Attributes:
        running: Whether a service works on this root.
        inbox: How many drops wait in the inbox and its trays.
        in_work: Jobs that are not over.
        counts: How many jobs ended in each status.
        latest: The newest jobs.
    """

    running: bool
    inbox: int
    in_work: tuple[InWork, ...]
    counts: dict[str, int]
    latest: tuple[Row, ...]

    def as_json(self) -> dict[str, Any]:
        """For programs."""
        return asdict(self)

    def lines(self) -> Iterator[str]:
        """For people."""
        yield "A service is running." if self.running else "No service is running."
        yield f"{self.inbox} in the inbox, {len(self.in_work)} in work."
        for job in self.in_work:
            waits = ", waits for its hand-over" if job.hand_over else ""
            yield f"  {job.job}  {job.stage}{waits}  {job.name}"
        yield (
            "Ended: "
            + (", ".join(f"{n} {status}" for status, n in self.counts.items()) or "nothing yet")
            + "."
        )
        for row in self.latest:
            message = row.message.replace("\n", " ")
            yield f"  {row.job}  {row.status:14}  {row.name}  {message}".rstrip()


def status(rulebook: Rulebook, *, latest: int = 20) -> Status:
    """Look at a root.

    Raises:
        FolderError: If there is no inbox.
        OSError: If the folders cannot be read.
    """
    folders = Folders.of(rulebook.inbox)
    if not folders.inbox.is_dir():
        message = f"{folders.inbox} is not there."
        raise FolderError(message, "Check root in the rules, plug in its drive, or start the service once.")
    with contextlib.closing(Ledger.look(folders)) as ledger:
        return Status(
            running=is_held(folders.root),
            inbox=sweep(folders.inbox, trays_of(rulebook), Lying.nothing(), 0.0).entries,
            in_work=tuple(_in_work(folders.work)),
            counts=ledger.counts(),
            latest=ledger.latest(latest),
        )


def _in_work(work: Path) -> Iterator[InWork]:
    for folder in sorted(work.iterdir()) if work.is_dir() else ():
        try:
            claim, stage = read_claim(folder), stage_of(folder)
        except (OSError, ValueError):
            continue
        yield InWork(
            job=claim.job,
            name=printable(claim.name),
            product=claim.product,
            stage=stage.value,
            hand_over=handover.is_pending(folder),
        )
