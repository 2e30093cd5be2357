"""The nursery's own process; see nursery.py. POSIX only."""

from __future__ import annotations

import gc
import json
import os
import select
import signal
import socket
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from piecewright.daemon import worker

if TYPE_CHECKING:
    from collections.abc import Iterator
    from types import FrameType

_STANDARD_INPUT: Final = 0
_STANDARD_ERROR: Final = 2


def main() -> None:
    """Fork workers until the service closes the channel."""
    channel = socket.socket(fileno=_STANDARD_INPUT)
    worker.warm_up()
    gc.freeze()  # what is imported stays shared between all workers
    Forge(channel).run()


class Forge:
    """Forks, kills and reaps."""

    def __init__(self, channel: socket.socket) -> None:
        """Take over the channel."""
        self._channel = channel
        self._received = b""
        self._workers: dict[int, int] = {}
        self._lifeline, self._held = os.pipe()
        self._woken, waker = os.pipe()
        os.set_blocking(waker, False)
        os.set_blocking(self._woken, False)
        signal.set_wakeup_fd(waker, warn_on_full_buffer=False)
        signal.signal(signal.SIGCHLD, _take_note)

    def run(self) -> None:
        """Serve until the channel closes, then end every worker."""
        while self._serve():
            pass
        for pid in self._workers.values():
            os.killpg(pid, signal.SIGKILL)

    def _serve(self) -> bool:
        ready, _, _ = select.select([self._channel.fileno(), self._woken], [], [])
        if self._woken in ready:
            os.read(self._woken, 4096)
            self._reap()
        if self._channel.fileno() in ready:
            received = self._channel.recv(65536)
            if not received:
                return False
            for order in self._orders(received):
                self._obey(order)
        return True

    def _orders(self, received: bytes) -> Iterator[dict[str, Any]]:
        *lines, self._received = (self._received + received).split(b"\n")
        yield from map(json.loads, lines)

    def _obey(self, order: dict[str, Any]) -> None:
        if "start" in order:
            self._fork(order)
        elif order["kill"] in self._workers:
            os.killpg(self._workers[order["kill"]], signal.SIGKILL)

    def _fork(self, order: dict[str, Any]) -> None:
        pid = os.fork()
        if pid == 0:
            _become_worker(order, self._lifeline, self._held, self._channel)
        # Both sides name the group, since neither knows which of the two runs first.
        _lead_group(pid)
        self._workers[order["start"]] = pid

    def _reap(self) -> None:
        """Its number stays taken until the rest of its group is ended too."""
        for token, pid in list(self._workers.items()):
            if os.waitid(os.P_PID, pid, os.WEXITED | os.WNOHANG | os.WNOWAIT) is None:
                continue
            os.killpg(pid, signal.SIGKILL)
            _pid, status = os.waitpid(pid, 0)
            del self._workers[token]
            ended = {"ended": token, "code": os.waitstatus_to_exitcode(status)}
            self._channel.sendall(json.dumps(ended).encode() + b"\n")


def _become_worker(order: dict[str, Any], lifeline: int, held: int, channel: socket.socket) -> None:
    """Never returns."""
    code = worker.BROKEN
    try:
        signal.set_wakeup_fd(-1)
        signal.signal(signal.SIGCHLD, signal.SIG_DFL)
        _lead_group(0)
        os.close(held)
        os.dup2(os.open(os.devnull, os.O_RDONLY), channel.fileno())
        log = os.open(order["log"], os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o644)
        os.dup2(log, _STANDARD_ERROR)
        worker.end_with(lifeline)
        code = worker.run(Path(order["folder"]), Path(order["out"]), order["memory"])
        sys.stderr.flush()
    finally:
        os._exit(code)


def _lead_group(pid: int) -> None:
    try:
        os.setpgid(pid, 0)
    except OSError:  # it has ended already, or has done so itself
        return


def _take_note(_number: int, _frame: FrameType | None) -> None:
    """The wake-up pipe tells; without a handler there would be no signal at all."""


if __name__ == "__main__":
    main()
