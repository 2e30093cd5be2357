"""One service's time on one root: sweep, claim, work, publish, retire, over and over.

Terms: a *tick* is one turn of the loop, never blocking for long; a *job* here is what the loop remembers of
a job folder, all of which can be lost, since the folder's stage says how to go on.
"""

from __future__ import annotations

import datetime as dt
import json
import time
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Final

import structlog

from piecewright.cutting.errors import PiecewrightError
from piecewright.daemon import outbox
from piecewright.daemon.claims import OUT, REPORT, Claim, Stage, is_untouched, read_claim, stage_of, take
from piecewright.daemon.disk import Disk, RealDisk, write_whole
from piecewright.daemon.folders import Folders
from piecewright.daemon.outcome import Outcome, printable
from piecewright.daemon.sweep import Settling, settle, sweep
from piecewright.daemon.workshop import Workshop
from piecewright.daemon.writers import being_written

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from piecewright.cutting.rules import JobRules
    from piecewright.daemon.rulebook import Rulebook
    from piecewright.daemon.sweep import Sighting
    from piecewright.daemon.workshop import Worker

_FIRST_DELAY_S: Final = 5.0
_LONGEST_DELAY_S: Final = 300.0
"""A fault of ours is tried again after 5, 10, 20 ... seconds: soon enough for a slip, rare enough for a
drive that is gone over night."""

_log = structlog.get_logger(__name__)


class DropFailed(PiecewrightError):  # noqa: N818 - names the thing
    """The workers could not survive this drop."""

    code = "drop-failed"


class SpecialFile(PiecewrightError):  # noqa: N818 - names the thing
    """A link, pipe or device was dropped."""

    code = "special-file"


@dataclass(slots=True, kw_only=True)
class Job:
    """What the loop remembers of a job folder."""

    folder: Path
    claim: Claim
    worker: Worker | None = None
    attempt: int = 0
    not_before: float = 0.0
    delay: float = _FIRST_DELAY_S
    message: str = ""


@dataclass(slots=True, kw_only=True)
class Session:
    """The loop's state. ``tick`` does all that can be done now.

    Attributes:
        rulebook: The rules for what is claimed from now on.
        told: Called with each outcome as it comes about.
        wake: Called from other threads when a tick is due.
    """

    rulebook: Rulebook
    told: Callable[[Outcome], None]
    wake: Callable[[], None]
    disk: Disk = field(default_factory=RealDisk)
    clock: Callable[[], float] = time.monotonic
    today: Callable[[], dt.datetime] = lambda: dt.datetime.now(dt.UTC)
    workshop: Workshop = None  # type: ignore[assignment]  # set below, for it needs ``wake``
    folders: Folders = field(init=False)
    jobs: dict[str, Job] = field(default_factory=dict)
    settling: dict[str, Settling] = field(default_factory=dict)
    waiting: dict[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Find the folders."""
        self.folders = Folders.of(self.rulebook.inbox)
        if self.workshop is None:
            self.workshop = Workshop(self.wake)

    def recover(self) -> None:
        """Take up what an earlier service has left in work/."""
        for folder in sorted(self.folders.work.iterdir()):
            if not folder.is_dir():
                self.disk.remove(folder)
                continue
            if stage_of(folder) is Stage.UNCLAIMED:
                self.disk.remove(folder)
                continue
            claim = read_claim(folder)
            self.jobs[folder.name] = Job(folder=folder, claim=claim)
            _log.info("taken up", job=folder.name, drop=printable(claim.name), stage=stage_of(folder).value)

    def tick(self) -> None:
        """Do all that can be done now."""
        for job in list(self.jobs.values()):
            self._tend(job)
        self._sweep()
        for job in list(self.jobs.values()):
            self._tend(job)

    def stop(self) -> None:
        """End the workers; their jobs are taken up by the next session."""
        for job in self.jobs.values():
            if job.worker is not None:
                job.worker.end()
                (job.folder / f"attempt-{job.attempt}.json").unlink(missing_ok=True)

    @property
    def running(self) -> int:
        """How many workers run."""
        return sum(job.worker is not None for job in self.jobs.values())

    def next_due(self) -> float:
        """Monotonic time of the next tick, if nothing wakes the loop before."""
        now = self.clock()
        due = [now + self.rulebook.inbox.sweep]
        due += [job.not_before for job in self.jobs.values() if job.worker is None]
        due += [s.since + self._quiet_for(s.sighting) for s in self.settling.values()]
        return min((time for time in due if time > now), default=now)

    def _sweep(self) -> None:
        trays = [product.tray for product in self.rulebook.products if product.tray]
        for tray in trays:
            (self.folders.inbox / tray).mkdir(exist_ok=True)
        now = self.clock()
        self.settling = settle(self.settling, sweep(self.folders.inbox, trays), now)
        self.waiting = {}
        for settled in list(self.settling.values()):
            if len(self.jobs) >= self.rulebook.limits.workers:
                return
            if now - settled.since >= self._quiet_for(settled.sighting):
                self._claim(settled.sighting)

    def _quiet_for(self, sighting: Sighting) -> float:
        rules = self.rulebook.inbox
        slow = rules.share or sighting.signature.kind == "folder"
        return rules.settle_slow if slow else rules.settle

    def _claim(self, sighting: Sighting) -> None:
        reason, rules = self._may_claim(sighting)
        if rules is None:
            self.waiting[sighting.path] = reason
            return
        claim = take(self.disk, self.folders, [sighting], rules, self.today())
        self.settling.pop(sighting.path, None)
        if claim is None:
            return
        folder = self.folders.work / claim.job
        job = Job(folder=folder, claim=claim)
        self.jobs[claim.job] = job
        _log.info("claimed", job=claim.job, drop=printable(claim.name), product=claim.product)
        if sighting.signature.kind == "special":
            message = f"{printable(sighting.name)} is a link or a device, not a file."
            error = SpecialFile(message, "Drop the file itself.")
            outbox.refuse(self.disk, folder, claim.product, error)

    def _may_claim(self, sighting: Sighting) -> tuple[str, JobRules | None]:
        if sighting.unfinished:
            return f"{printable(sighting.unfinished)} is still being copied, or was left half copied.", None
        product = self.rulebook.product_for(sighting.name, tray=sighting.tray)
        if product is None:
            return "No product of the rules takes it.", None
        path = self.folders.inbox / sighting.tray / sighting.name
        writer = being_written(path)
        if writer is not None:
            return f"{printable(writer.name)} is still open in another program.", None
        return "", self.rulebook.job_rules(product)

    def _tend(self, job: Job) -> None:
        try:
            self._go_on(job)
        except OSError as error:
            self._delay(job, f"{error.strerror or error}: {printable(str(error.filename or ''))}")

    def _go_on(self, job: Job) -> None:
        if job.worker is not None:
            self._collect(job)
            return
        if self.clock() < job.not_before:
            return
        stage = stage_of(job.folder)
        if stage is Stage.CLAIMED:
            self._start(job)
        elif stage is Stage.WORKED:
            outbox.publish(self.disk, self.folders, job.folder)
            _log.info("published", job=job.claim.job)
            self._go_on(job)
        elif stage is Stage.PUBLISHED:
            self._done(job, outbox.retire(self.disk, self.folders, job.folder))
        elif stage is Stage.REFUSED:
            self._done(job, outbox.set_aside(self.disk, self.folders, job.folder))
        else:
            self.disk.remove(job.folder)
            del self.jobs[job.claim.job]

    def _start(self, job: Job) -> None:
        if self.running >= self.rulebook.limits.workers or not self._still_untouched(job):
            return
        attempts = sorted(job.folder.glob("attempt-*.json"))
        if len(attempts) >= self.rulebook.limits.attempts:
            message = f"It was tried {len(attempts)} times in vain. {job.message}".strip()
            error = DropFailed(message, "Save the design anew and drop it again.")
            outbox.refuse(self.disk, job.folder, job.claim.product, error)
            self._go_on(job)
            return
        job.attempt = 1 + max((int(a.stem.removeprefix("attempt-")) for a in attempts), default=0)
        started = {"started": self.today().isoformat(timespec="seconds")}
        write_whole(self.disk, job.folder / f"attempt-{job.attempt}.json", json.dumps(started).encode())
        out = job.folder / OUT.format(attempt=job.attempt)
        self.disk.remove(out)
        limits = self.rulebook.limits
        deadline = self.clock() + limits.job_time
        job.worker = self.workshop.start(job.folder, out, memory=limits.memory, deadline=deadline)
        _log.info("in work", job=job.claim.job, attempt=job.attempt)

    def _still_untouched(self, job: Job) -> bool:
        if is_untouched(job.folder, job.claim):
            return True
        self._delay(job, "It was still being written when it was claimed.")
        return False

    def _collect(self, job: Job) -> None:
        if job.worker is None:
            return
        ending = job.worker.poll(self.clock())
        if ending is None:
            return
        job.worker = None
        if ending.ours:
            (job.folder / f"attempt-{job.attempt}.json").unlink(missing_ok=True)
            self._delay(job, ending.message)
            return
        if ending.finished:
            try:
                self._accept(job)
            except outbox.BadResults as error:
                job.message = str(error)
        else:
            job.message = ending.message
            _log.warning("attempt failed", job=job.claim.job, attempt=job.attempt, message=ending.message)
        self._go_on(job)

    def _accept(self, job: Job) -> None:
        out = job.folder / OUT.format(attempt=job.attempt)
        report: dict[str, Any] = outbox.check_results(out)
        if report["status"] == "refused":
            outbox.write_report(self.disk, job.folder, (out / REPORT).read_bytes())
        else:
            outbox.make_ready(self.disk, job.folder, out, job.claim, report)
            _log.info("ready", job=job.claim.job, status=report["status"])

    def _delay(self, job: Job, message: str) -> None:
        job.message = message
        job.not_before = self.clock() + job.delay
        _log.warning("put off", job=job.claim.job, seconds=job.delay, message=message)
        job.delay = min(2 * job.delay, _LONGEST_DELAY_S)

    def _done(self, job: Job, outcome: Outcome) -> None:
        del self.jobs[job.claim.job]
        _log.info("done", job=outcome.job, status=outcome.status, folder=printable(str(outcome.folder)))
        self.told(outcome)


def left_waiting(session: Session) -> Iterator[Outcome]:
    """What a session leaves behind, with reasons."""
    for path, reason in session.waiting.items():
        where = session.folders.inbox.__class__(path)
        yield Outcome(job="", name=where.name, status="waiting", folder=where, message=reason)
    for job in session.jobs.values():
        yield Outcome(
            job=job.claim.job, name=job.claim.name, status="waiting", folder=job.folder, message=job.message
        )
