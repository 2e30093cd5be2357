"""A real browser, driven from Python."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import Browser, sync_playwright

from tests.conftest import NO_BROWSER, chromium

if TYPE_CHECKING:
    from collections.abc import Iterator


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Headless Chromium as the system has it; nothing is downloaded."""
    program = chromium()
    if program is None:
        pytest.fail(NO_BROWSER, pytrace=False)
    with sync_playwright() as playwright:
        # Containers run the tests as root, where Chromium's own sandbox does not start.
        browser = playwright.chromium.launch(executable_path=program, args=["--no-sandbox"])
        yield browser
        browser.close()
