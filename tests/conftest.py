"""What all tests share: the flag for kept files, and whether there is a browser to look at pages with."""

from __future__ import annotations

import os
import shutil
from typing import TYPE_CHECKING

from hypothesis import settings

from tests.benchmarks import daemon_unit

if TYPE_CHECKING:
    import pytest

settings.register_profile("untimed", deadline=None)  # a busy machine is no fault of an example
settings.load_profile("untimed")

NO_BROWSER = "Chromium is missing: `apt-get install chromium`, or put chromium or google-chrome on the path"


def pytest_addoption(parser: pytest.Parser) -> None:
    """Kept files are only written anew by an explicit flag."""
    parser.addoption(
        "--update-golden",
        action="store_true",
        help="write the files in tests/golden anew; look at the difference before you commit it",
    )


def chromium() -> str | None:
    """The browser's program, if there is one."""
    return next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)


def pytest_report_header() -> list[str]:
    """Say at the top whether the pages are looked at and the unit is booted."""
    booted = (
        "in a container"
        if daemon_unit.can_boot()
        else f"not booted, that test is left out; it needs {daemon_unit.NEEDS}"
    )
    return [
        f"browser: {chromium() or 'none, its tests are left out; ' + NO_BROWSER}",
        f"unit: {booted}",
    ]


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Begin with the slow ones, so that no core waits for one at the end.

    What needs a browser is left out on a machine without one; CI must have it, so there it fails.
    """
    items.sort(key=lambda item: item.get_closest_marker("slow") is None)
    if chromium() or os.environ.get("CI"):
        return
    left_out = [item for item in items if item.get_closest_marker("browser")]
    config.hook.pytest_deselected(items=left_out)
    items[:] = [item for item in items if item not in left_out]
