"""Fixtures of the daemon's tests."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
import structlog

from piecewright.daemon.disk import RealDisk
from tests.daemon.shop import Shop

if TYPE_CHECKING:
    from collections.abc import Iterator

_MEMORY = Path("/dev/shm")  # noqa: S108 - a folder for temporary files is what is wanted


@pytest.fixture(autouse=True)
def _quiet_log() -> Iterator[None]:
    """Thousands of runs would fill the report with log lines; tests of the log set up their own."""
    structlog.configure(wrapper_class=structlog.make_filtering_bound_logger("critical"))
    yield
    structlog.reset_defaults()


@pytest.fixture
def swift_path() -> Iterator[Path]:
    """A temporary folder in memory where there is one: nothing here should wait for a busy drive."""
    in_memory = _MEMORY if os.access(_MEMORY, os.W_OK) else None
    path = Path(tempfile.mkdtemp(prefix="piecewright-", dir=in_memory))
    yield path
    RealDisk().remove(path)  # also trees that are deeper than rmtree reaches


@pytest.fixture
def shop(swift_path: Path) -> Shop:
    """An empty shop."""
    return Shop(swift_path / "root")
