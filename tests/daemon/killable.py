"""A service that starts one misbehaving worker and then waits to be killed."""

from __future__ import annotations

import sys
import threading
import time
from pathlib import Path

from piecewright.daemon.nursery import Nursery
from piecewright.daemon.processes import Processes

if __name__ == "__main__":
    kind, folder = sys.argv[1], Path(sys.argv[2])
    command = (sys.executable, "-m", "tests.daemon.misbehaving", kind)
    never = threading.Event()
    workshop = Nursery(never.set, command) if kind == "forking" else Processes(never.set, command)
    workshop.start(folder, folder / "out-1", memory=1_000_000_000, deadline=time.monotonic() + 3600)
    threading.Event().wait()
