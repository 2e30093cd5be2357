"""Screenshots of every page for a person to look at: ``python -m tests.browser.look FOLDER``."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Literal

from playwright.sync_api import Browser, sync_playwright

from tests.browser.pages import write_pages
from tests.conftest import NO_BROWSER, chromium

WIDTHS = {"phone": 390, "desktop": 1200}
SCHEMES: tuple[Literal["light", "dark"], ...] = ("light", "dark")


def main() -> int:
    """Write the pages and their screenshots, and their prints as PDF."""
    program = chromium()
    if program is None or len(sys.argv) != 2:
        sys.stderr.write(f"usage: python -m tests.browser.look FOLDER\n{'' if program else NO_BROWSER}\n")
        return 2
    folder = Path(sys.argv[1])
    folder.mkdir(parents=True)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=["--no-sandbox"])
        for name, page in write_pages(folder / "shop").items():
            _photograph(browser, page.resolve().as_uri(), folder / name)
        browser.close()
    return 0


def _photograph(browser: Browser, address: str, target: Path) -> None:
    for place, width in WIDTHS.items():
        for scheme in SCHEMES:
            page = browser.new_page(viewport={"width": width, "height": 844}, color_scheme=scheme)
            page.goto(address)
            page.screenshot(path=f"{target}-{place}-{scheme}.png", full_page=True)
            if (place, scheme) == ("desktop", "dark"):
                page.pdf(path=f"{target}-print.pdf", format="A4")
            page.close()


if __name__ == "__main__":
    sys.exit(main())
