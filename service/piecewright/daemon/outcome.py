"""What became of one drop, as the command line, the index and the ledger show it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

from piecewright.daemon.printable import printable, printable_lines

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from piecewright.daemon.jobfolder import Claim
    from piecewright.daemon.outbox import Ready

Status = Literal["cut", "nothing-to-cut", "refused", "waiting"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What became of one drop.

    Attributes:
        job: Id of the job; "" if it was never claimed.
        name: What was dropped.
        status: ``waiting`` means that it still lies in the inbox, or that we could not finish it.
        folder: Where it, or what was cut, now lies.
        pieces: Pieces laid.
        mats: Mats they are laid on.
        findings: How many doubts the report holds.
        message: Why it was refused or waits; "" if all is well.
    """

    job: str
    name: str
    status: Status
    folder: Path
    pieces: int = 0
    mats: int = 0
    findings: int = 0
    message: str = ""

    def as_json(self) -> dict[str, Any]:
        """For programs."""
        return {
            "job": self.job,
            "name": printable(self.name),
            "status": self.status,
            "folder": printable(str(self.folder)),
            "pieces": self.pieces,
            "mats": self.mats,
            "findings": self.findings,
            "message": printable_lines(self.message),
        }

    def line(self) -> str:
        """For people: one line."""
        name = printable(self.name)
        if self.status == "cut":
            doubts = f", {_count(self.findings, 'finding')}" if self.findings else ""
            laid = f"{_count(self.pieces, 'piece')} on {_count(self.mats, 'mat')}{doubts}"
            return f"{name}: cut, {laid}: {printable(str(self.folder))}"
        if self.status == "nothing-to-cut":
            return f"{name}: nothing to cut: {printable(str(self.folder))}"
        message = self.message.replace("\n", " ")
        return f"{name}: {self.status}: {printable(message)}"


def of_ready(ready: Ready, claim: Claim, outbox: Path) -> Outcome:
    """The outcome of a job that was published."""
    return Outcome(
        job=claim.job,
        name=claim.name,
        status="cut" if ready.status == "cut" else "nothing-to-cut",
        folder=outbox / ready.published,
        pieces=ready.pieces,
        mats=ready.mats,
        findings=ready.findings,
    )


def of_refusal(report: Mapping[str, Any], claim: Claim, failed: Path) -> Outcome:
    """The outcome of a job that was set aside; the report as plain JSON data."""
    return outcome_of(report, name=claim.name, folder=failed / claim.job)


def outcome_of(report: Mapping[str, Any], *, name: str, folder: Path) -> Outcome:
    """The outcome that a report tells of; the report as plain JSON data."""
    error = report.get("error")
    return Outcome(
        job=report["job"],
        name=name,
        status=report["status"],
        folder=folder,
        pieces=sum(len(mat["laid"]) for mat in report["mats"]),
        mats=len(report["mats"]),
        findings=len(report["findings"]),
        message=f"{error['message']} {error['advice']}" if error else "",
    )


def _count(number: int, thing: str) -> str:
    return f"{number} {thing}" + ("" if number == 1 else "s")
