"""What a session is given from outside, so that nothing in it reaches for a disk or a clock by itself."""

from __future__ import annotations

import datetime as dt
import time
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from piecewright.daemon.disk import Disk, RealDisk
from piecewright.daemon.workshop import Workshop, best_workshop

if TYPE_CHECKING:
    from collections.abc import Callable


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """Those of this machine, unless a test gives its own.

    Attributes:
        disk: Every change to the disk goes through it.
        clock: Monotonic seconds.
        today: The time for people, with its zone.
        workshop: Makes what starts workers, given what to call when one has ended.
    """

    disk: Disk = field(default_factory=RealDisk)
    clock: Callable[[], float] = time.monotonic
    today: Callable[[], dt.datetime] = lambda: dt.datetime.now(dt.UTC)
    workshop: Callable[[Callable[[], None]], Workshop] = best_workshop
