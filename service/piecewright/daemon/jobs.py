"""What the bench remembers of each job, and when a job is tried again.

Terms: a *job* here is a job folder with what is remembered of it, all of which may be lost, since the stage
of the folder says how to go on; a job is *put off* when a fault of ours keeps it from going on.
"""

from __future__ import annotations

import errno
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import structlog

from piecewright.daemon.printable import printable

if TYPE_CHECKING:
    from pathlib import Path

    from piecewright.daemon.attempts import Attempt
    from piecewright.daemon.jobfolder import Claim
    from piecewright.daemon.workshop import Worker

_FIRST_DELAY_S: Final = 5.0
_LONGEST_DELAY_S: Final = 300.0
"""A fault of ours is tried again after 5, 10, 20 ... seconds: soon enough for a slip, rare enough for a
drive that is gone over night."""
_LEAST_PAUSE_S: Final = 1.0
"""A drop whose worker broke lets others go first for as long as the attempt took, and no less than this, so
that a poisonous one never takes more than half of a worker's time."""

_MEND: Final = "It goes on by itself once that is mended."
_RIGHTS: Final = "Give the service the right to write there; it goes on by itself then."
_ROOM: Final = "Make room on that drive; it goes on by itself then."
_ADVICE: Final = {
    errno.EEXIST: "Move that away; it goes on by itself then.",
    errno.ENOSPC: _ROOM,
    getattr(errno, "EDQUOT", errno.ENOSPC): _ROOM,
    errno.EACCES: _RIGHTS,
    errno.EPERM: _RIGHTS,
    errno.EROFS: _RIGHTS,
}

_log = structlog.get_logger(__name__)


@dataclass(slots=True, kw_only=True)
class Job:
    """What the bench remembers of a job folder.

    Attributes:
        folder: The job folder.
        claim: What it took.
        worker: The worker on it, if one is.
        attempt: The attempt that the worker makes.
        started: Monotonic time at which it was begun.
        second_try: Whether it waits to be tried again after a worker broke on it.
        not_before: Monotonic time before which nothing is tried again.
        put_off: Whether a fault of ours holds it up.
        alone: Whether that fault is no concern of the other jobs.
        message: What went wrong last.
        delay: Seconds after which it is tried again when it is put off the next time.
        told: Whether its outcome has been told.
    """

    folder: Path
    claim: Claim
    worker: Worker | None = None
    attempt: Attempt | None = None
    started: float = 0.0
    second_try: bool = False
    not_before: float = 0.0
    delay: float = _FIRST_DELAY_S
    put_off: bool = False
    alone: bool = False
    message: str = ""
    told: bool = False

    @property
    def holds_up(self) -> bool:
        """Whether what holds it up, such as a full disk, would hold others up too."""
        return self.put_off and not (self.told or self.alone)

    def put_it_off(self, message: str, now: float, *, alone: bool = False) -> None:
        """Try again later, each time after a longer while; see the attributes."""
        self.message, self.put_off, self.alone = message, True, alone
        self.not_before = now + self.delay
        _log.warning("put off", job=self.claim.job, seconds=self.delay, message=message)
        self.delay = min(2 * self.delay, _LONGEST_DELAY_S)

    def let_others_go_first(self, now: float) -> None:
        """A worker broke on it; try again when others had as much time as it took."""
        self.second_try = True
        self.not_before = now + max(_LEAST_PAUSE_S, now - self.started)


def advised(error: OSError) -> str:
    """What the system says, and what the operator can do about it."""
    where = f": {printable(str(error.filename))}" if error.filename else ""
    return f"{error.strerror or error}{where}. {_ADVICE.get(error.errno or 0, _MEND)}"
