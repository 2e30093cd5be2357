"""A real browser, driven from Python; it must be there where the checks run."""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import Browser, sync_playwright

if TYPE_CHECKING:
    from collections.abc import Iterator


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Headless Chromium as Debian packs it."""
    program = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    if program is None:
        pytest.fail("These tests need Chromium: install it with `apt-get install chromium`.", pytrace=False)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=["--no-sandbox"])
        yield browser
        browser.close()
