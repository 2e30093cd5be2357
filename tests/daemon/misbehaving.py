"""A worker whose job is what the drop says: real processes that crash, hang or eat memory on request.

Run as a module with ``worker`` and its arguments, or with ``forking``.
"""

from __future__ import annotations

import ctypes
import errno
import os
import signal
import subprocess
import sys
import time
from typing import TYPE_CHECKING

from piecewright.daemon import forking, worker
from piecewright.daemon.disk import RealDisk
from piecewright.daemon.jobfolder import DROP
from tests.daemon.shop import write_results

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path


def _hang(_folder: Path, _argument: str) -> None:
    signal.signal(signal.SIGTERM, signal.SIG_IGN)
    time.sleep(3600)


def _child(folder: Path, argument: str) -> None:
    child = subprocess.Popen([sys.executable, "-c", "import time; time.sleep(3600)"])
    (folder / "child").write_text(str(child.pid))
    time.sleep(float(argument or 3600))


def _full(_folder: Path, _argument: str) -> None:
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def _slip(_folder: Path, argument: str) -> None:
    raise RuntimeError(argument)


_MISDEEDS: dict[str, Callable[[Path, str], object]] = {
    "segfault": lambda _folder, _argument: ctypes.string_at(0),
    "memory": lambda _folder, _argument: bytearray(4_000_000_000),
    "killed": lambda _folder, _argument: os.kill(os.getpid(), signal.SIGKILL),
    "hang": _hang,
    "child": _child,
    "full": _full,
    "slip": _slip,
    "noisy": lambda _folder, _argument: sys.stderr.write("x" * 1_000_000),
    "slow": lambda _folder, argument: time.sleep(float(argument)),
}


def work(folder: Path, out: Path) -> None:
    """Do as the drop says, then work."""
    (dropped,) = (folder / DROP).iterdir()
    what, _, argument = dropped.read_text().partition(" ")
    if what in _MISDEEDS:
        _MISDEEDS[what](folder, argument)
    write_results(RealDisk(), folder, out)


if __name__ == "__main__":
    worker.work = work
    worker.warm_up = lambda: None
    if sys.argv[1] == "forking":
        forking.main()
    else:
        sys.exit(worker.main(sys.argv[2:]))
