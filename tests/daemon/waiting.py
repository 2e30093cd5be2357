"""Wait for a condition, never for a while."""

from __future__ import annotations

import threading
import time
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable

T = TypeVar("T")


def until(condition: Callable[[], T | None], *, within: float) -> T:
    """The first true value of a condition; fails if none comes in time."""
    deadline = time.monotonic() + within
    pause = threading.Event()
    while True:
        value = condition()
        if value:
            return value
        assert time.monotonic() < deadline, f"waited {within} s in vain"
        pause.wait(0.02)
