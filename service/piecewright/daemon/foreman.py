"""The foreman: gives jobs to workers, one attempt after another, and judges what they leave.

Terms: see jobs.py and workshop.py; an *attempt* counts against the drop unless it is taken back.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import TYPE_CHECKING

import structlog

from piecewright.daemon import attempts, claims, jobfolder, outbox
from piecewright.daemon.attempts import Attempt
from piecewright.daemon.jobfolder import RULES
from piecewright.daemon.outbox import BadResults

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Callable

    from piecewright.daemon.disk import Disk
    from piecewright.daemon.jobs import Job
    from piecewright.daemon.rulebook import LimitRules
    from piecewright.daemon.workshop import Ending, Workshop

_log = structlog.get_logger(__name__)


@dataclass(frozen=True, slots=True, kw_only=True)
class Foreman:
    """Gives jobs to workers.

    Attributes:
        disk: Every change to the disk goes through it.
        clock: Monotonic seconds.
        today: The time for people.
        workshop: Starts workers.
        earlier: Jobs that cut the same content (SHA-256) by the same rules (SHA-256).
    """

    disk: Disk
    clock: Callable[[], float]
    today: Callable[[], dt.datetime]
    workshop: Workshop
    earlier: Callable[[str, str], tuple[str, ...]]

    def has_settled(self, job: Job, patience_s: float) -> bool:
        """Whether the drop is what was claimed; if somebody wrote to it since, it settles again in work/.

        Args:
            job: The job; it then takes the drop as it is now, and waits.
            patience_s: How long the drop must stay the same.
        """
        if claims.is_untouched(job.folder, job.claim):
            return True
        job.claim = claims.with_present_signatures(self.disk, job.folder, job.claim)
        job.not_before = self.clock() + patience_s
        _log.warning("still being written", job=job.claim.job)
        return False

    def start(self, job: Job, limits: LimitRules) -> None:
        """Write an attempt down and start a worker on it.

        Raises:
            OSError: If the system can start no process now, which is no fault of the drop.
        """
        job.attempt = self._new_attempt(job, limits)
        attempts.begin(self.disk, job.folder, job.attempt)
        deadline = self.clock() + limits.job_time
        results = job.folder / job.attempt.results
        try:
            job.worker = self.workshop.start(job.folder, results, memory=limits.memory, deadline=deadline)
        except OSError:  # no memory for a process, or too many of them
            attempts.take_back(self.disk, job.folder, job.attempt.number)
            raise
        job.started = self.clock()
        job.put_off = job.second_try = False
        _log.info("in work", job=job.claim.job, attempt=job.attempt.number)

    def collect(self, job: Job) -> None:
        """Look at what a worker has left, if it has ended."""
        if job.worker is None or job.attempt is None:
            return
        ending = job.worker.poll(self.clock())
        if ending is None:
            return
        job.worker = None
        if not claims.is_untouched(job.folder, job.claim):
            attempts.take_back(self.disk, job.folder, job.attempt.number)
        elif ending.ours:
            attempts.take_back(self.disk, job.folder, job.attempt.number)
            job.put_it_off(ending.message, self.clock())
        else:
            self._judge(job, job.attempt, ending)

    def end(self, job: Job) -> None:
        """End its worker; what that had begun does not count as an attempt."""
        if job.worker is not None and job.attempt is not None:
            job.worker.end()
            attempts.take_back(self.disk, job.folder, job.attempt.number)
            job.worker = None

    def _new_attempt(self, job: Job, limits: LimitRules) -> Attempt:
        content = _content_of(job, limits.drop_bytes)
        rules = hashlib.sha256((job.folder / RULES).read_bytes()).hexdigest()
        return Attempt(
            number=attempts.next_number(job.folder),
            started=self.today().isoformat(timespec="seconds"),
            content=content,
            rules=rules,
            earlier=self.earlier(content, rules) if content else (),
        )

    def _judge(self, job: Job, attempt: Attempt, ending: Ending) -> None:
        job.message = ending.message
        if ending.finished:
            try:
                self._accept(job, attempt)
            except BadResults as error:
                job.message = str(error)
        if job.message:
            job.let_others_go_first(self.clock())
            _log.warning("attempt failed", job=job.claim.job, attempt=attempt.number, message=job.message)

    def _accept(self, job: Job, attempt: Attempt) -> None:
        results = job.folder / attempt.results
        report = outbox.check_results(results)
        if report["status"] == "refused":
            outbox.take_refusal(self.disk, job.folder, results)
            return
        outbox.make_ready(self.disk, job.folder, job.claim, attempt, report)
        _log.info("ready", job=job.claim.job, status=report["status"])


def _content_of(job: Job, most: int) -> str:
    """A drop that is too large to be worked on would only keep everything waiting while it is read."""
    size = sum(entry.signature.size for entry in job.claim.entries)
    return jobfolder.content_hash(job.folder) if size <= most else ""
