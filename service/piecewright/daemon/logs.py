"""Log lines: JSON for a service's journal, readable on a terminal."""

from __future__ import annotations

import sys
from typing import TextIO

import structlog


def set_up(stream: TextIO | None = None, *, level: str = "info") -> None:
    """Write log lines of this level and above to a stream, standard error if left out."""
    target = stream if stream is not None else sys.stderr
    terminal = target.isatty()
    last: structlog.typing.Processor = (
        structlog.dev.ConsoleRenderer() if terminal else structlog.processors.JSONRenderer()
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
        logger_factory=structlog.PrintLoggerFactory(target),
        cache_logger_on_first_use=False,
    )
