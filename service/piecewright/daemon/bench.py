"""The bench: jobs in work, each taken from stage to stage until it lies in done/ or failed/.

Terms: see jobs.py; a *stage* is what jobfolder.py reads from a job folder.
"""

from __future__ import annotations

import errno
import json
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

import structlog

from piecewright.cutting.errors import PiecewrightError
from piecewright.daemon import attempts, claims, handover, jobfolder, outbox
from piecewright.daemon.errors import DropFailed, InternalFault
from piecewright.daemon.jobfolder import RULES, Claim, Stage, stage_of
from piecewright.daemon.jobs import Job, advised
from piecewright.daemon.outbox import Ready
from piecewright.daemon.outcome import Outcome, of_ready, of_refusal

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from piecewright.daemon.disk import Disk
    from piecewright.daemon.folders import Folders
    from piecewright.daemon.foreman import Foreman
    from piecewright.daemon.rulebook import Rulebook

_MOST_SECOND_TRIES: Final = 8
"""Drops that wait for a second try on the bench; with more the inbox has to wait."""
_REST_AFTER_S: Final = 60.0
"""Without work for so long the workshop gives its memory back."""
_GRACE_S: Final = 30.0
"""A worker this much over its time means that the bench itself is stuck."""

_log = structlog.get_logger(__name__)


@dataclass(slots=True, kw_only=True)
class Bench:
    """Takes jobs from stage to stage.

    Attributes:
        folders: The five folders.
        rulebook: The limits in force.
        disk: Every change to the disk goes through it.
        clock: Monotonic seconds.
        foreman: Gives jobs to workers.
        tell: Told of each outcome, with the claim and READY if there is one.
    """

    folders: Folders
    rulebook: Rulebook
    disk: Disk
    clock: Callable[[], float]
    foreman: Foreman
    tell: Callable[[Outcome, Claim, Ready | None], None]
    jobs: dict[str, Job] = field(default_factory=dict)
    idle_since: float = 0.0

    @property
    def running(self) -> int:
        """How many workers run."""
        return sum(job.worker is not None for job in self.jobs.values())

    @property
    def has_room(self) -> bool:
        """Whether another drop may be claimed: the inbox is the queue, not the bench.

        While a fault of ours puts jobs off, such as a full disk, claiming more would only pile them up.
        """
        second_tries = sum(job.second_try for job in self.jobs.values())
        held_up = sum(job.holds_up for job in self.jobs.values())
        active = sum(not (job.put_off or job.second_try) for job in self.jobs.values())
        return max(active, held_up) < self.rulebook.limits.workers and second_tries < _MOST_SECOND_TRIES

    @property
    def is_stuck(self) -> bool:
        """Whether a worker runs on long after it should have been ended."""
        now = self.clock()
        workers = (job.worker for job in self.jobs.values())
        return any(worker is not None and now > worker.deadline + _GRACE_S for worker in workers)

    def add(self, claim: Claim) -> None:
        """Take a job from now on."""
        self.jobs[claim.job] = Job(folder=self.folders.work / claim.job, claim=claim)

    def next_due(self) -> float | None:
        """Monotonic time at which a job must be looked at again; None if none needs it."""
        now = self.clock()
        times = [job.not_before for job in self.jobs.values() if job.worker is None and job.not_before > now]
        times += [job.worker.deadline for job in self.jobs.values() if job.worker is not None]
        return min(times, default=None)

    def tend(self) -> None:
        """Take every job as far as it goes now."""
        for job in list(self.jobs.values()):
            self._tend(job)
        if self.running:
            self.idle_since = self.clock()
        elif self.clock() - self.idle_since > _REST_AFTER_S:
            self.foreman.workshop.rest()

    def stop(self) -> None:
        """End all workers; what they had begun does not count as an attempt."""
        for job in self.jobs.values():
            self.foreman.end(job)
        self.foreman.workshop.rest()

    def _tend(self, job: Job) -> None:
        try:
            if job.worker is not None:
                self.foreman.collect(job)
            while job.claim.job in self.jobs and job.worker is None and self.clock() >= job.not_before:
                if not self._go_on(job):
                    return
        except PiecewrightError as error:
            job.put_it_off(str(error), self.clock())
        except OSError as error:
            job.put_it_off(advised(error), self.clock(), alone=error.errno == errno.EEXIST)
        except Exception as error:  # noqa: BLE001 - the one catch-all: whatever is wrong with one job, the others go on
            _log.exception("internal fault", job=job.claim.job)
            self._give_up(job, error)

    def _go_on(self, job: Job) -> bool:
        """Take a job to its next stage; False if it has to wait."""
        stage = stage_of(job.folder)
        if stage is Stage.CLAIMED:
            return self._start(job)
        if stage is Stage.WORKED:
            return self._publish(job)
        if stage is Stage.PUBLISHED:
            return self._retire(job)
        if stage is Stage.REFUSED:
            return self._set_aside(job)
        claims.forget(self.disk, job.folder)
        del self.jobs[job.claim.job]
        return False

    def _start(self, job: Job) -> bool:
        limits = self.rulebook.limits
        if self.running >= limits.workers:
            return False
        if not self.foreman.has_settled(job, self.rulebook.inbox.settle_slow):
            return False
        made = attempts.count(job.folder)
        if made >= limits.attempts:
            message = f"It was tried {made} times in vain. {job.message}".strip()
            self._refuse(job, DropFailed(message, "Open the design, save it anew and drop it again."))
            return True
        self.foreman.start(job, limits)
        return False

    def _publish(self, job: Job) -> bool:
        ready = Ready.read(job.folder)
        if self._second_folder(job) is not None:
            handover.put_by(self.disk, job.folder, job.folder / ready.out, ready.cut_files)
        outbox.publish(self.disk, self.folders, job.folder)
        _log.info("published", job=job.claim.job, folder=ready.published)
        return True

    def _retire(self, job: Job) -> bool:
        ready = Ready.read(job.folder)
        if not job.told:
            job.told = True
            self.tell(of_ready(ready, job.claim, self.folders.outbox), job.claim, ready)
        target = self._second_folder(job)
        if target is not None and handover.is_pending(job.folder):
            handover.hand_over(self.disk, job.folder, target, ready.published)
            _log.info("handed over", job=job.claim.job, folder=str(target))
        outbox.retire(self.disk, self.folders, job.folder)
        del self.jobs[job.claim.job]
        _log.info("done", job=job.claim.job, status=ready.status)
        return False

    def _set_aside(self, job: Job) -> bool:
        report = jobfolder.read_report(job.folder)
        outbox.set_aside(self.disk, self.folders, job.folder)
        del self.jobs[job.claim.job]
        outcome = of_refusal(report, job.claim, self.folders.failed)
        _log.info("set aside", job=job.claim.job, message=outcome.message)
        self.tell(outcome, job.claim, None)
        return False

    def _second_folder(self, job: Job) -> Path | None:
        """Read as plain data, for rules written by an earlier version of the program must do too."""
        rules = json.loads((job.folder / RULES).read_bytes())
        named = rules["product"].get("hand_over")
        return self.folders.root / named if named else None

    def _refuse(self, job: Job, error: PiecewrightError) -> None:
        outbox.refuse(self.disk, job.folder, job.claim.product, error)

    def _give_up(self, job: Job, fault: Exception) -> None:
        """Set a job aside that our own program cannot handle, unless its results are already complete."""
        try:
            if job.worker is not None:
                job.worker.end()
                job.worker = None
            if stage_of(job.folder) is Stage.CLAIMED:
                message = f"The program failed on it: {fault}."
                self._refuse(
                    job, InternalFault(message, "Keep the drop and tell those who look after Piecewright.")
                )
                return
        except (OSError, ValueError) as error:
            fault = error
        job.put_it_off(str(fault), self.clock(), alone=True)
