"""A new Python for each job: slower than the nursery, but every system can do it."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
from pathlib import Path
from typing import TYPE_CHECKING, Final

from piecewright.daemon.worker import MEMORY_VARIABLE
from piecewright.daemon.workshop import Worker, environment

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

_COMMAND: Final = (sys.executable, "-m", "piecewright.daemon.worker")


class Processes:
    """Starts a process for each job; see ``Workshop``."""

    def __init__(self, wake: Callable[[], None], command: Sequence[str] = _COMMAND) -> None:
        """``wake`` is called from another thread when a worker has ended."""
        self._wake = wake
        self._command = tuple(command)

    def start(self, folder: Path, out: Path, *, memory: int, deadline: float) -> Worker:
        """See ``Workshop``."""
        log = folder / f"{out.name}.log"
        with log.open("wb") as log_file:
            process = subprocess.Popen(  # noqa: S603 - our own program
                [*self._command, str(folder), str(out)],
                stdin=subprocess.PIPE,
                stdout=subprocess.DEVNULL,
                stderr=log_file,
                cwd=folder.parent,
                env=environment() | {MEMORY_VARIABLE: str(memory)},
                start_new_session=os.name != "nt",
            )
        worker = Worker(deadline=deadline, log=log, kill=lambda: _kill_group(process))
        threading.Thread(target=self._wait, args=(process, worker), daemon=True).start()
        return worker

    def rest(self) -> None:
        """See ``Workshop``; there is nothing to put away."""

    def _wait(self, process: subprocess.Popen[bytes], worker: Worker) -> None:
        _wait_without_reaping(process)
        _kill_group(process)
        code = process.wait()
        if process.stdin is not None:
            process.stdin.close()
        worker.ended(code)
        self._wake()


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
