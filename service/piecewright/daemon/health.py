"""What the service tells systemd; the protocol of sd_notify(3) is one datagram.

Terms: the *watchdog* is systemd's: it restarts a service that has not said for a while that it is alive.
"""

from __future__ import annotations

import os
import socket
import sys


class Notifier:
    """Tells systemd; silent where there is none."""

    def __init__(self, address: str | None = None) -> None:
        """``address`` is the socket's path; $NOTIFY_SOCKET if left out."""
        self._address = os.environ.get("NOTIFY_SOCKET", "") if address is None else address

    def ready(self, status: str) -> None:
        """The service is up."""
        self._send(f"READY=1\nSTATUS={status}")

    def alive(self, status: str) -> None:
        """The service does its work; said only while that is true."""
        self._send(f"WATCHDOG=1\nSTATUS={status}")

    def stopping(self) -> None:
        """The service ends by itself."""
        self._send("STOPPING=1")

    def _send(self, message: str) -> None:
        if not self._address or sys.platform == "win32":
            return
        address = "\0" + self._address[1:] if self._address.startswith("@") else self._address
        try:
            with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as channel:
                channel.setblocking(False)
                channel.sendto(message.encode("utf-8", "replace"), address)
        except OSError:  # nobody listens, or not fast enough; the work must not wait for that
            return
