"""The workshop: one child process per job, with limits, that can be ended whatever it does.

Terms: a *worker* is the child process; a *group* is the worker with whatever it has started, ended
together; an *ending* is what the service learns of it.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final

from piecewright.daemon.worker import BROKEN, FINISHED, MEMORY_VARIABLE, OURS, OUT_OF_MEMORY

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

DEFAULT_COMMAND: Final = (sys.executable, "-m", "piecewright.daemon.worker")

_ONE_THREAD: Final = dict.fromkeys(
    ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "RAYON_NUM_THREADS"), "1"
)
"""Each thread of a numerical library reserves address space, which is what the memory limit counts."""


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


class Worker:
    """One running worker."""

    def __init__(self, process: subprocess.Popen[bytes], deadline: float, log: Path) -> None:
        """Take over a process that has just been started."""
        self._process = process
        self.deadline = deadline
        self._log = log
        self._out_of_time = False
        self._ended = threading.Event()

    def tell_when_ended(self, wake: Callable[[], None]) -> None:
        """Call ``wake`` from another thread as soon as the worker has ended."""

        def wait() -> None:
            _wait_without_reaping(self._process)
            self._ended.set()
            wake()

        threading.Thread(target=wait, daemon=True, name="piecewright-worker-end").start()

    def poll(self, now: float) -> Ending | None:
        """How it ended; None while it runs. One that has run out of time is ended here."""
        if not self._ended.is_set():
            if now < self.deadline:
                return None
            self._out_of_time = True
            self.end()
            self._ended.wait()
        _kill_group(self._process)
        code = self._process.wait()
        if self._process.stdin is not None:
            self._process.stdin.close()
        return _ending(code, self._log, out_of_time=self._out_of_time)

    def end(self) -> None:
        """End the whole group now."""
        _kill_group(self._process)


class Workshop:
    """Starts workers."""

    def __init__(self, wake: Callable[[], None], command: Sequence[str] = DEFAULT_COMMAND) -> None:
        """``wake`` is called from another thread when a worker has ended."""
        self._wake = wake
        self._command = tuple(command)

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
        log = folder / f"{out.name}.log"
        with log.open("wb") as log_file:
            process = subprocess.Popen(  # noqa: S603 - our own program
                [*self._command, str(folder), str(out)],
                stdin=subprocess.PIPE,
                stdout=subprocess.DEVNULL,
                stderr=log_file,
                cwd=folder.parent,
                env=_environment(memory),
                start_new_session=os.name != "nt",
            )
        worker = Worker(process, deadline, log)
        worker.tell_when_ended(self._wake)
        return worker


def _environment(memory: int) -> dict[str, str]:
    package_home = str(Path(__file__).resolve().parents[2])
    path = os.pathsep.join(filter(None, (package_home, os.environ.get("PYTHONPATH", ""))))
    fixed = {"PYTHONPATH": path, "PYTHONHASHSEED": "0", MEMORY_VARIABLE: str(memory)}
    return {**os.environ, **_ONE_THREAD, **fixed}


def _wait_without_reaping(process: subprocess.Popen[bytes]) -> None:
    """Wait for the end but leave the process's number taken, so that its group cannot become another's."""
    if sys.platform == "win32":
        process.wait()
    else:
        os.waitid(os.P_PID, process.pid, os.WEXITED | os.WNOWAIT)


def _kill_group(process: subprocess.Popen[bytes]) -> None:
    if sys.platform == "win32":
        taskkill = Path(os.environ["SYSTEMROOT"], "System32", "taskkill.exe")
        subprocess.run(  # noqa: S603 - the system's own program
            [taskkill, "/PID", str(process.pid), "/T", "/F"], capture_output=True, check=False
        )
        return
    try:
        os.killpg(process.pid, signal.SIGKILL)
    except (ProcessLookupError, PermissionError):  # nothing of the group is left
        return


def _ending(code: int, log: Path, *, out_of_time: bool) -> Ending:
    if out_of_time:
        return Ending(finished=False, message="It took longer than limits.job_time.")
    if code == FINISHED:
        return Ending(finished=True)
    if code == OUT_OF_MEMORY or code == -getattr(signal, "SIGKILL", 9):
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
