"""Kills itself by SIGKILL at every step, for real: one forked process for each schedule.

Run as a module with a folder; prints how many schedules were run.
"""

from __future__ import annotations

import os
import signal
import sys
from dataclasses import dataclass
from pathlib import Path

from piecewright.daemon import logs
from tests.daemon.shop import FakeWorkshop, Shop, TracedDisk


@dataclass
class SelfKillingDisk(TracedDisk):
    """Ends its process as nothing can prevent."""

    def _die(self) -> None:
        os.kill(os.getpid(), signal.SIGKILL)


def in_a_process_of_its_own(shop: Shop, kill: int | None) -> bool:
    """Serve until done or killed; whether it was killed."""
    pid = os.fork()
    if pid == 0:
        code = 1
        try:
            disk = SelfKillingDisk(kill_at=kill)
            shop.run(disk, FakeWorkshop(disk))
            code = 0
        finally:
            os._exit(code)
    _pid, status = os.waitpid(pid, 0)
    code = os.waitstatus_to_exitcode(status)
    assert code in (0, -signal.SIGKILL), code
    return code != 0


def main(place: Path) -> int:
    """A kill at every step, and in its recovery one at the step of that number; how many there were."""
    kill = 0
    while True:
        kill += 1
        shop = Shop(place / str(kill) / "root")
        shop.drop("runner.dst", b"one")
        if not in_a_process_of_its_own(shop, kill):
            return kill - 1
        in_a_process_of_its_own(shop, kill)
        assert not in_a_process_of_its_own(shop, None)
        assert list(shop.originals().elements()) == [b"one"]
        assert len(shop.published()) == 1
        assert not list(shop.folders.work.iterdir())


if __name__ == "__main__":
    logs.set_up(level="critical")
    sys.stdout.write(f"{main(Path(sys.argv[1]))}\n")
