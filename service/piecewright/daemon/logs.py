"""Log lines: JSON for a service's journal, readable on a terminal, in a file where there is neither.

A line that cannot be written is lost; the work that it tells of is not. Journals fill up, and the reader of a
pipe goes away.
"""

from __future__ import annotations

import contextlib
import os
import sys
from pathlib import Path
from typing import Final, TextIO

import structlog

LOG: Final = ".piecewright.log"
_LARGEST: Final = 5_000_000
"""Bytes of the file, months of work; then it is kept once as the older one."""


def set_up(stream: TextIO | None = None, *, level: str = "info", beside: Path | None = None) -> None:
    """Write log lines of this level and above.

    Args:
        stream: Where to; standard error if left out.
        level: The least that is written.
        beside: The folder of the log file that is used where there is no standard error either, as for
            programs without a window on Windows.
    """
    target = stream if stream is not None else sys.stderr
    last: structlog.typing.Processor = (
        structlog.dev.ConsoleRenderer()
        if target is not None and target.isatty()
        else structlog.processors.JSONRenderer()
    )
    structlog.configure(
        processors=[
            structlog.processors.add_log_level,
            structlog.processors.TimeStamper(fmt="iso", utc=True),
            structlog.processors.format_exc_info,
            structlog.processors.UnicodeDecoder(),
            last,
        ],
        wrapper_class=structlog.make_filtering_bound_logger(level),
        logger_factory=lambda *_names: Lines(target, (beside or Path()) / LOG),
        cache_logger_on_first_use=False,
    )


class Lines:
    """Writes whole lines; what structlog calls a logger."""

    def __init__(self, stream: TextIO | None, file: Path) -> None:
        """Write to the stream, or to the end of the file if there is none."""
        self._stream = stream
        self._file = file

    def msg(self, message: str) -> None:
        """Write one line, or lose it."""
        with contextlib.suppress(OSError, ValueError):
            if self._stream is not None:
                self._stream.write(message + "\n")
                self._stream.flush()
            else:
                self._append(message)

    debug = info = warning = error = critical = exception = msg

    def _append(self, message: str) -> None:
        with contextlib.suppress(FileNotFoundError):
            if self._file.stat().st_size > _LARGEST:
                os.replace(self._file, self._file.with_name(f"{LOG}.older"))  # noqa: PTH105 - text and path alike
        with self._file.open("a", encoding="utf-8", errors="backslashreplace") as file:
            file.write(message + "\n")
