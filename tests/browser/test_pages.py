"""The job sheet and the index in a real browser: accessible, self-contained, whole at every width.

Checked with axe-core (through axe-playwright-python), which tests against the Web Content Accessibility
Guidelines 2.2, levels A and AA.
"""

from __future__ import annotations

from collections import Counter
from contextlib import closing
from typing import TYPE_CHECKING, Literal

import pypdfium2
import pytest
from axe_playwright_python.sync_playwright import Axe

from tests.browser.pages import PAGES, SHEETS, write_pages

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from playwright.sync_api import Browser, Page, ViewportSize

pytestmark = pytest.mark.browser

Scheme = Literal["light", "dark"]
PHONE_PX, DESKTOP_PX = 360, 1280
FOCUS_AND_OUTLINE = """() => {
  const element = document.activeElement, style = getComputedStyle(element);
  const place = [...document.querySelectorAll('*')].indexOf(element);
  return place + '|' + (style.outlineStyle === 'none' ? '' : style.outlineWidth);
}"""


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Every kind of page by its name."""
    return write_pages(tmp_path_factory.mktemp("shop"))


@pytest.fixture
def opened(browser: Browser, shop: dict[str, Path]) -> Iterator[Callable[..., Page]]:
    """Opens a page of the shop; complaints of the browser fail the test."""
    contexts = []
    complaints: list[str] = []

    def open_page(name: str, width: int = DESKTOP_PX, scheme: Scheme = "light") -> Page:
        size: ViewportSize = {"width": width, "height": 800}
        context = browser.new_context(viewport=size, color_scheme=scheme, bypass_csp=True)
        contexts.append(context)
        page = context.new_page()
        page.on("console", lambda message: complaints.append(message.text))
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.on("request", lambda request: complaints.append(request.url))
        page.goto(shop[name].as_uri())
        complaints.remove(shop[name].as_uri())
        return page

    yield open_page
    for context in contexts:
        context.close()
    assert not complaints


@pytest.mark.parametrize(("width", "scheme"), [(PHONE_PX, "light"), (DESKTOP_PX, "dark")])
@pytest.mark.parametrize("name", PAGES)
def test_axe_finds_no_fault(opened: Callable[..., Page], name: str, width: int, scheme: Scheme) -> None:
    found = Axe().run(opened(name, width, scheme))
    assert found.response["testEngine"]["name"] == "axe-core"
    assert len(found.response["passes"]) > 10
    assert not found.response["violations"], found.generate_report()


def test_axe_would_find_a_fault(opened: Callable[..., Page]) -> None:
    page = opened("sheet")
    page.evaluate("document.querySelector('.mat-picture').removeAttribute('aria-label')")
    page.evaluate("document.querySelector('.kicker').style.color = '#dddddd'")
    found = {violation["id"] for violation in Axe().run(page).response["violations"]}
    assert {"svg-img-alt", "color-contrast"} <= found


@pytest.mark.parametrize("name", PAGES)
def test_nothing_is_wider_than_the_screen(opened: Callable[..., Page], name: str) -> None:
    # WCAG 2.2, 1.4.10 Reflow: no scrolling in two directions at a width of 320 CSS pixels.
    page = opened(name)
    for width in (320, PHONE_PX, 600, 768, DESKTOP_PX):
        page.set_viewport_size({"width": width, "height": 800})
        assert page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("name", ["sheet", "patches", "index", "month"])
def test_tables_stay_tables_for_a_screen_reader_on_a_phone(opened: Callable[..., Page], name: str) -> None:
    page = opened(name, PHONE_PX)
    tree = page.context.new_cdp_session(page).send("Accessibility.getFullAXTree")
    roles = Counter(node["role"]["value"] for node in tree["nodes"] if not node["ignored"])
    for role, selector in {
        "table": "table",
        "row": "tr",
        "columnheader": "th[scope=col]",
        "rowheader": "th[scope=row]",
        "cell": "td",
    }.items():
        assert roles[role] == page.locator(selector).count() > 0, role


@pytest.mark.parametrize("name", PAGES)
def test_every_link_and_tick_box_is_reached_by_keyboard_and_shows_it(
    opened: Callable[..., Page], name: str
) -> None:
    page = opened(name)
    expected = page.evaluate("document.querySelectorAll('a[href], input').length")
    reached = set()
    for _ in range(expected):
        page.keyboard.press("Tab")
        reached.add(page.evaluate(FOCUS_AND_OUTLINE))
    assert len(reached) == expected
    assert all(outline for _, outline in (entry.split("|") for entry in reached))


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("name", SHEETS)
def test_a_printed_sheet_fits_the_paper_and_keeps_pictures_and_steps_whole(
    opened: Callable[..., Page], name: str, paper: str, tmp_path: Path
) -> None:
    printed = opened(name).pdf(format=paper, path=tmp_path / "sheet.pdf")
    with closing(pypdfium2.PdfDocument(printed)) as document:
        texts = [page.get_textpage().get_text_range() for page in document]
        sizes = {(round(page.get_width()), round(page.get_height())) for page in document}
    # ISO 216 A4 210 x 297 mm and ANSI/ASME Y14.1 Letter 8.5 x 11 in, in points of 1/72 in.
    width, height = (595, 842) if paper == "A4" else (612, 792)
    assert all(abs(w - width) <= 1 and abs(h - height) <= 1 for w, h in sizes), sizes
    assert all(text.strip() for text in texts)
    assert not any("Skip to the sheet" in text for text in texts)


def test_the_job_sheet_prints_dark_on_white_even_where_the_screen_is_dark(
    opened: Callable[..., Page],
) -> None:
    page = opened("sheet", scheme="dark")
    page.emulate_media(media="print", color_scheme="dark")
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
    assert page.evaluate("getComputedStyle(document.body).color") == "rgb(0, 0, 0)"
