"""The service as a real process, listened to as systemd would."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.daemon.waiting import until

TOP = Path(__file__).resolve().parents[2]
PATIENCE_S = 60.0


class DaemonProcess:
    """``piecewright watch`` on a root."""

    def __init__(self, config: Path, root: Path) -> None:
        """Start it."""
        self.root = root
        self.said: list[str] = []
        self._folder = tempfile.TemporaryDirectory()
        address = str(Path(self._folder.name, "notify"))
        self._socket = socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM)
        self._socket.bind(address)
        self._socket.setblocking(False)
        self._log = Path(self._folder.name, "log")
        with self._log.open("wb") as log:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "piecewright", "watch", "--config", str(config), "--root", str(root)],
                env={
                    **os.environ,
                    "PYTHONPATH": os.pathsep.join((str(TOP / "service"), str(TOP))),
                    "NOTIFY_SOCKET": address,
                },
                stdout=log,
                stderr=log,
            )

    @property
    def log(self) -> str:
        return self._log.read_text()

    def hear(self) -> list[str]:
        """Everything said so far."""
        while True:
            try:
                self.said.append(self._socket.recv(4096).decode())
            except BlockingIOError:
                return self.said

    def until_said(self, what: str) -> None:
        """Wait until something is said from now on."""
        known = len(self.hear())
        until(lambda: any(what in line for line in self.hear()[known:]), within=PATIENCE_S)

    def until_ready(self) -> None:
        until(lambda: any("READY=1" in line for line in self.hear()), within=PATIENCE_S)

    def until_logged(self, *words: str) -> None:
        until(
            lambda: any(all(word in line for word in words) for line in self.log.splitlines()),
            within=PATIENCE_S,
        )

    def stop(self) -> int:
        """Stop it as systemd does, and give its exit code."""
        self.process.send_signal(signal.SIGTERM)
        return self.process.wait(PATIENCE_S)

    def end(self) -> None:
        """Whatever it does, it is gone."""
        self.process.kill()
        self.process.wait()
        self._socket.close()
        self._folder.cleanup()
