"""The workshop: one child process per job, with limits, that can be ended whatever it does.

Terms: a *worker* is the child process of one job; its *group* is itself with whatever it has started, ended
together; an *ending* is what the service learns of it.
"""

from __future__ import annotations

import os
import signal
import sys
import threading
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final, Protocol

from piecewright.daemon.worker import BROKEN, FINISHED, OURS, OUT_OF_MEMORY

if TYPE_CHECKING:
    from collections.abc import Callable

_ONE_THREAD: Final = dict.fromkeys(
    ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "RAYON_NUM_THREADS"), "1"
)
"""Each thread of a numerical library reserves address space, which is what the memory limit counts."""

_KILLED: Final = -9
_END_WITHIN_S: Final = 5.0
"""The system needs a moment to take a large process down; more only if the machine is unwell."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ending:
    """How a worker ended.

    Attributes:
        finished: Whether it says that its results are complete.
        ours: Whether it says that the fault is not the drop's.
        message: What happened, one sentence; "" if it finished.
    """

    finished: bool
    ours: bool = False
    message: str = ""


class Workshop(Protocol):
    """Starts workers."""

    def start(self, folder: Path, out: Path, *, memory: int, deadline: float) -> Worker:
        """Start a worker on a job folder.

        Args:
            folder: The job folder.
            out: The folder that the worker creates for its results.
            memory: Address space in bytes.
            deadline: Monotonic time at which it is ended.

        Raises:
            OSError: If the system can start no process now.
        """

    def rest(self) -> None:
        """Nothing is to be done for a while, or ever."""


class Worker:
    """One running worker; whoever started it calls ``ended`` from another thread."""

    def __init__(self, *, deadline: float, log: Path, kill: Callable[[], None]) -> None:
        """``kill`` ends its group; ``log`` is what it wrote to its standard error."""
        self.deadline = deadline
        self._log = log
        self._kill = kill
        self._code = BROKEN
        self._ended = threading.Event()
        self._told_to_end = False

    def ended(self, code: int) -> None:
        """The whole group has ended; ``code`` is its exit code, or the signal as a negative number."""
        self._code = code
        self._ended.set()

    def wait(self, seconds: float) -> None:
        """Wait until it has ended, or so long."""
        self._ended.wait(seconds)

    def poll(self, now: float) -> Ending | None:
        """How it ended; None while it runs. One that has run out of time is ended here."""
        if not self._ended.is_set() and (now < self.deadline or not self.end()):
            return None
        if self._told_to_end:
            return Ending(finished=False, message="It took longer than limits.job_time.")
        return _ending(self._code, self._log)

    def end(self) -> bool:
        """End the whole group now, and wait a while until it has.

        Returns:
            Whether it has ended. A process that waits for a drive that is gone may not even be killed; asked
            again, whatever stands between is ended too, and nothing is waited for any more.
        """
        patience = 0.0 if self._told_to_end else _END_WITHIN_S
        self._told_to_end = True
        self._kill()
        return self._ended.wait(patience)


def environment() -> dict[str, str]:
    """What workers find in their environment: one thread, no chance, and this very package."""
    package_home = str(Path(__file__).resolve().parents[2])
    path = os.pathsep.join(filter(None, (package_home, os.environ.get("PYTHONPATH", ""))))
    return {**os.environ, **_ONE_THREAD, "PYTHONPATH": path, "PYTHONHASHSEED": "0"}


def best_workshop(wake: Callable[[], None]) -> Workshop:
    """The quickest kind that this system allows; ``wake`` is called when a worker has ended."""
    if sys.platform == "win32":
        from piecewright.daemon.processes import Processes  # noqa: PLC0415 - only one of the two is needed

        return Processes(wake)
    from piecewright.daemon.nursery import Nursery  # noqa: PLC0415 - Windows cannot fork

    return Nursery(wake)


def _ending(code: int, log: Path) -> Ending:
    if code == FINISHED:
        return Ending(finished=True)
    if code in (OUT_OF_MEMORY, _KILLED):
        return Ending(finished=False, message="It needed more memory than limits.memory.")
    if code == OURS:
        return Ending(finished=False, ours=True, message=_last_line(log))
    if code == BROKEN:
        return Ending(finished=False, message=f"The program failed on it: {_last_line(log)}.")
    return Ending(finished=False, message=f"The worker crashed ({_signal_name(code)}).")


def _signal_name(code: int) -> str:
    try:
        return signal.Signals(-code).name
    except ValueError:
        return f"exit code {code}"


def _last_line(log: Path) -> str:
    try:
        lines = log.read_text(encoding="utf-8", errors="replace")[-4000:].strip().splitlines()
    except OSError:
        return "no reason given"
    return lines[-1][:300].rstrip(".") if lines else "no reason given"
