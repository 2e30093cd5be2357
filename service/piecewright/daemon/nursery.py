"""The nursery: a process that has imported everything once and forks one worker for each job.

Importing the numerical libraries takes longer than most jobs. The nursery pays for it once and never looks
at anything that was dropped; each worker starts from the same clean state, as a new Python would.

Terms: the *channel* is the socket between service and nursery; each sends lines of JSON. A *token* is the
service's number for a worker. The *lifeline* is a pipe that only the nursery holds open: workers end when
it breaks, and the nursery ends when its channel does, so nothing outlives the service.
"""

from __future__ import annotations

import contextlib
import itertools
import json
import socket
import subprocess
import sys
import threading
from typing import TYPE_CHECKING, Any, Final

from piecewright.daemon.worker import BROKEN
from piecewright.daemon.workshop import Worker, environment

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

_COMMAND: Final = (sys.executable, "-m", "piecewright.daemon.forking")
_CLOSE_WITHIN_S: Final = 5.0
"""It has nothing to do but to end its workers."""


class Nursery:
    """The service's end of it; see ``Workshop``. Starts the nursery when a first job needs it."""

    def __init__(self, wake: Callable[[], None], command: tuple[str, ...] = _COMMAND) -> None:
        """``wake`` is called from another thread when a worker has ended."""
        self._wake = wake
        self._command = command
        self._tokens = itertools.count(1)
        self._open: _Open | None = None

    def start(self, folder: Path, out: Path, *, memory: int, deadline: float) -> Worker:
        """See ``Workshop``."""
        token = next(self._tokens)
        log = folder / f"{out.name}.log"
        nursery = self._nursery()
        worker = Worker(deadline=deadline, log=log, kill=lambda: nursery.kill(token))
        order = {"start": token, "folder": str(folder), "out": str(out), "memory": memory, "log": str(log)}
        nursery.begin(token, worker, order)
        return worker

    def rest(self) -> None:
        """Let the nursery go; it holds about 100 MB that an idle shop has better uses for."""
        nursery, self._open = self._open, None
        if nursery is not None:
            nursery.close()

    def _nursery(self) -> _Open:
        if self._open is None or self._open.is_gone:
            self._open = _Open(self._command, self._wake)
        return self._open


class _Open:
    """A running nursery."""

    def __init__(self, command: tuple[str, ...], wake: Callable[[], None]) -> None:
        ours, theirs = socket.socketpair()
        with theirs:
            self._process = subprocess.Popen(  # noqa: S603 - our own program
                command,
                stdin=theirs.fileno(),
                stdout=subprocess.DEVNULL,
                env=environment(),
                start_new_session=True,
            )
        self._channel = ours
        self._wake = wake
        self._lock = threading.Lock()
        self._workers: dict[int, Worker] = {}
        self._doomed: set[int] = set()
        self.is_gone = False
        self._listener = threading.Thread(target=self._listen, daemon=True, name="piecewright-nursery")
        self._listener.start()

    def begin(self, token: int, worker: Worker, order: dict[str, Any]) -> None:
        """Ask for a worker."""
        with self._lock:
            if self.is_gone:
                message = "the nursery has ended"
                raise OSError(message)
            self._workers[token] = worker
        self._send(order)

    def kill(self, token: int) -> None:
        """Ask for a worker's end; the nursery alone knows whether its number is still its own.

        Asked in vain once, it does not answer any more and is ended itself, and its workers with it.
        """
        if token in self._doomed:
            self._process.kill()
            return
        self._doomed.add(token)
        self._send({"kill": token})

    def close(self) -> None:
        """End it with all its workers."""
        with contextlib.suppress(OSError):
            self._channel.shutdown(socket.SHUT_WR)
        self._listener.join(_CLOSE_WITHIN_S)
        if self._listener.is_alive():
            self._process.kill()
            self._listener.join(_CLOSE_WITHIN_S)

    def _send(self, message: dict[str, Any]) -> None:
        with contextlib.suppress(OSError):  # it has just ended; ``_listen`` tells the workers
            self._channel.sendall(json.dumps(message).encode() + b"\n")

    def _listen(self) -> None:
        # One that is killed with a message unread resets the channel instead of closing it.
        with contextlib.suppress(ConnectionError), self._channel.makefile("rb") as lines:
            for line in lines:
                said = json.loads(line)
                self._end(said["ended"], said["code"])
        self._process.kill()
        self._process.wait()
        with self._lock:
            self.is_gone = True
        self._channel.close()
        for token in list(self._workers):
            self._end(token, BROKEN)

    def _end(self, token: int, code: int) -> None:
        worker = self._workers.pop(token, None)
        self._doomed.discard(token)
        if worker is not None:
            worker.ended(code)
            self._wake()
