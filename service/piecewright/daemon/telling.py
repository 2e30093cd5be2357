"""What a session tells the operator of drops that wait and jobs that are held up."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from piecewright.daemon.outcome import Outcome
from piecewright.daemon.printable import printable, printable_lines

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from piecewright.daemon.intake import Intake
    from piecewright.daemon.jobs import Job


def notices(intake: Intake, left_alone: Mapping[str, str], jobs: Iterable[Job]) -> Iterator[str]:
    """For the index: one sentence each, many drops that wait for the same reason in one.

    Args:
        intake: What lies in the inbox.
        left_alone: What lies in work/ and cannot be gone on with, and why.
        jobs: Jobs in work.
    """
    for tray, why in intake.lying.closed.items():
        yield f"The tray {printable(tray)} cannot be used. {_closed(why)}"
    for name, why in left_alone.items():
        yield printable(
            f"{name} in the folder of jobs in work {why} Move what was dropped back to the inbox."
        )
    by_reason: dict[str, list[str]] = {}
    for path, reason in intake.waiting.items():
        by_reason.setdefault(reason, []).append(path)
    for reason, paths in by_reason.items():
        first = printable(Path(min(paths)).name)
        who = f"{first} waits" if len(paths) == 1 else f"{first} and {len(paths) - 1} more wait"
        yield f"{who} in the inbox. {reason}"
    for job in jobs:
        if job.put_off:
            yield f"{printable(job.claim.name)} is tried again. {printable_lines(job.message)}"


def left_waiting(intake: Intake, jobs: Iterable[Job]) -> Iterator[Outcome]:
    """For whoever works through an inbox once: what is left behind."""
    reasons = {str(intake.inbox / tray): _closed(why) for tray, why in intake.lying.closed.items()}
    for path, reason in sorted({**reasons, **intake.waiting}.items()):
        where = Path(path)
        yield Outcome(job="", name=where.name, status="waiting", folder=where, message=reason)
    for job in jobs:
        if not job.told:
            name, folder = job.claim.name, job.folder
            yield Outcome(job=job.claim.job, name=name, status="waiting", folder=folder, message=job.message)


def _closed(why: str) -> str:
    return f"{why}: put a folder of that name in the inbox that the service may read and write."
