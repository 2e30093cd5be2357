"""The pages themselves, from templates."""

from __future__ import annotations

import hashlib
import json
import os
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Final
from urllib.parse import quote

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from piecewright import cutting
from piecewright.cutting.units import format_length
from piecewright.daemon.index.entries import CLAIM
from piecewright.daemon.index.memory import FAILED, Memory

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.rules import Product
    from piecewright.daemon.index.entries import Entry
    from piecewright.daemon.index.rebuilding import IndexState
    from piecewright.daemon.rulebook import Rulebook

INDEX: Final = "index.html"
FAILED_SHOWN: Final = 5
"""Jobs set aside that the first page tells of; the others stand on their own page."""

_TEMPLATES: Final = (
    Path(__file__).with_name("templates"),
    Path(cutting.__file__).parent / "sheet" / "templates",  # by path: importing it would load the whole core
)
_LOADER: Final = FileSystemLoader(_TEMPLATES)
_PAGES: Final = Environment(
    loader=_LOADER, autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
)


def _edition() -> str:
    """Changes with the templates, so that a new version of the program writes every page anew."""
    texts = [_LOADER.get_source(_PAGES, name)[0] for name in sorted(_LOADER.list_templates())]
    return hashlib.blake2b("".join(texts).encode(), digest_size=8).hexdigest()


EDITION: Final = _edition()


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """What the pages show besides published jobs; see ``rebuild`` for the fields."""

    outbox: Path
    work: Path
    failed: Path
    state: IndexState
    now: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class InWork:
    """A job that is being worked on."""

    name: str
    product: str
    since: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ProductRow:
    """One product of the rules in force, in words."""

    name: str
    takes: str
    offset: str
    copies: int
    fabrics: str
    files: str


def file_name(page: str) -> str:
    """File of a page: ``index-2026-11.html``."""
    return f"index-{page}.html"


def page(name: str, entries: Sequence[Entry], around: Surroundings) -> bytes:
    """One page of a month, or the page of all jobs set aside."""
    return _render("page.html", around, title=_page_title(name), entries=entries, failed=name == FAILED)


def index(latest: Sequence[Entry], memory: Memory, around: Surroundings) -> bytes:
    """The first page."""
    aside = sorted(memory.page(FAILED).values(), key=lambda e: (e.when, e.folder), reverse=True)
    return _render(
        "index.html",
        around,
        latest=latest,
        months=[(_page_title(name), file_name(name), memory.size(name)) for name in memory.newest_pages()],
        in_work=_in_work(around.work, around.now),
        aside=aside[:FAILED_SHOWN],
        aside_count=len(aside),
        aside_page=file_name(FAILED),
        state=around.state,
        products=_products(around.state.rulebook) if around.state.rulebook else [],
    )


def _render(template: str, around: Surroundings, **values: object) -> bytes:
    zone = around.now.tzinfo

    def when(seconds: float) -> str:
        return datetime.fromtimestamp(seconds, UTC).astimezone(zone).strftime("%Y-%m-%d %H:%M")

    html = _PAGES.get_template(template).render(
        now=around.now.strftime("%Y-%m-%d %H:%M"),
        when=when,
        link=link,
        failed_name=around.failed.name,
        failed_from_here=Path(os.path.relpath(around.failed, around.outbox)).as_posix(),
        **values,
    )
    return html.encode("utf-8", "replace")


def link(*parts: str) -> str:
    """A relative link that holds for any name that a file system allows."""
    return "/".join(quote(os.fsencode(part)) for part in parts)


def _page_title(page: str) -> str:
    if page == FAILED:
        return "Set aside"
    year, month, *number = page.split("-")
    name = datetime(int(year), int(month), 1, tzinfo=UTC).strftime("%B %Y")
    return f"{name}, part {number[0]}" if number else name


def _products(rulebook: Rulebook) -> list[ProductRow]:
    return [_product(product, rulebook) for product in rulebook.products]


def _product(product: Product, rulebook: Rulebook) -> ProductRow:
    offset, tray = product.outline.offset, f"tray {product.tray}" if product.tray else ""
    return ProductRow(
        name=product.name,
        takes=", ".join(filter(None, (tray, *product.match.files))),
        offset=offset if isinstance(offset, str) else format_length(offset, rulebook.show),
        copies=product.dealing.copies,
        fabrics=_fabrics(product, rulebook),
        files=", ".join(product.writing.formats),
    )


def _fabrics(product: Product, rulebook: Rulebook) -> str:
    """What the shop calls the fabrics that a product names, and how they are chosen."""
    dealing = product.dealing
    ways = {
        "in turn": dealing.fabrics,
        "by piece": dealing.by_piece.values(),
        "by block": dealing.by_block.values(),
        "by thread": dealing.by_thread.values(),
        "base layers": (dealing.base_fabric,) if dealing.base_fabric else (),
    }
    return "; ".join(
        f"{way}: {', '.join(rulebook.fabrics[key].label or key for key in dict.fromkeys(keys))}"
        for way, keys in ways.items()
        if keys
    )


def _in_work(work: Path, now: datetime) -> list[InWork]:
    found = (_claim(folder, now) for folder in sorted(work.glob("*/")) if not folder.name.startswith("."))
    return [claim for claim in found if claim is not None]


def _claim(folder: Path, now: datetime) -> InWork | None:
    try:
        raw = json.loads((folder / CLAIM).read_bytes())
        since = datetime.fromisoformat(raw["claimed"]).astimezone(now.tzinfo).strftime("%Y-%m-%d %H:%M")
        return InWork(name=str(raw["name"]), product=str(raw["product"]), since=since)
    except (OSError, ValueError, TypeError, KeyError):
        return None  # between two renames, or already published
