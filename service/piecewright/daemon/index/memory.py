"""The index's own notes: which jobs are known, and on which page each stands.

Terms: a *page* is named after its month, ``2026-11``, and from the second on its number, ``2026-11-2``.
"""

from __future__ import annotations

import itertools
import json
from collections import Counter
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Final

from piecewright.daemon.index.entries import Entry

if TYPE_CHECKING:
    from pathlib import Path

PAGE_SIZE: Final = 500
"""Jobs on a page: a browser opens that many rows with pictures at once on a phone."""

_KNOWN: Final = "known.json"
FAILED: Final = "failed"


class MemoryDamaged(Exception):  # noqa: N818 - never leaves the index; it only means: begin afresh
    """The notes cannot be read."""


@dataclass(slots=True, kw_only=True)
class Memory:
    """What the index remembers; changed only by ``rebuild``.

    Attributes:
        folder: Where it is kept.
        edition: What the pages are made with; notes of another edition are forgotten.
        known: Page of each job folder.
        gone: Those job folders that have been taken out of the outbox.
    """

    folder: Path
    edition: str
    known: dict[str, str] = field(default_factory=dict)
    gone: set[str] = field(default_factory=set)
    _pages: dict[str, dict[str, Entry]] = field(default_factory=dict)
    _sizes: Counter[str] = field(init=False)

    def __post_init__(self) -> None:
        """Count once what each page lists."""
        self._sizes = Counter(self.known.values())

    @classmethod
    def load(cls, folder: Path, edition: str) -> Memory:
        """Read what is known; empty if nothing is, or if it is of another edition.

        Raises:
            MemoryDamaged: If it is there and cannot be read.
        """
        if not (folder / _KNOWN).exists():
            return cls(folder=folder, edition=edition)
        raw = _read(folder / _KNOWN)
        if raw.get("edition") != edition:
            return cls(folder=folder, edition=edition)
        try:
            return cls(folder=folder, edition=edition, known=dict(raw["known"]), gone=set(raw["gone"]))
        except (KeyError, TypeError, ValueError) as error:
            raise MemoryDamaged from error

    def page(self, name: str) -> dict[str, Entry]:
        """The entries of one page by folder, to read and to change.

        Raises:
            MemoryDamaged: If the page was written before and cannot be read.
        """
        if name not in self._pages:
            self._pages[name] = self._load_page(name) if name == FAILED or self.size(name) else {}
        return self._pages[name]

    def add(self, entry: Entry, month: str) -> str:
        """Note a job on the first page of its month that has room; gives the page's name."""
        page = next(p for n in itertools.count(1) if self.size(p := page_name(month, n)) < PAGE_SIZE)
        self.page(page)[entry.folder] = entry
        self.known[entry.folder] = page
        self._sizes[page] += 1
        return page

    def size(self, page: str) -> int:
        """How many jobs a page lists; 0 if there is no such page."""
        return self._sizes[page]

    def newest_pages(self) -> list[str]:
        """Names of all pages, the newest first."""
        return sorted(self._sizes, key=_page_order, reverse=True)

    def page_json(self, name: str) -> bytes:
        """One page as it is written down."""
        return json.dumps({key: entry.as_json() for key, entry in self.page(name).items()}).encode()

    def known_json(self) -> bytes:
        """The rest as it is written down."""
        return json.dumps({"edition": self.edition, "known": self.known, "gone": sorted(self.gone)}).encode()

    def path(self, name: str) -> Path:
        """Where a page is written down."""
        return self.folder / f"{name}.json"

    @property
    def known_path(self) -> Path:
        """Where the rest is written down."""
        return self.folder / _KNOWN

    def _load_page(self, name: str) -> dict[str, Entry]:
        if name == FAILED and not self.path(name).exists():
            return {}  # nothing has ever been set aside
        try:
            return {key: Entry.from_json(value) for key, value in _read(self.path(name)).items()}
        except (KeyError, TypeError, AttributeError) as error:
            raise MemoryDamaged from error


def page_name(month: str, number: int) -> str:
    """``2026-11`` for the first page of a month, ``2026-11-2`` for the second."""
    return month if number == 1 else f"{month}-{number}"


def _page_order(page: str) -> tuple[int, ...]:
    year, month, *number = page.split("-")
    return (int(year), int(month), int(number[0]) if number else 1)


def _read(path: Path) -> dict[str, Any]:
    try:
        raw = json.loads(path.read_bytes())
    except (OSError, ValueError) as error:
        raise MemoryDamaged from error
    if not isinstance(raw, dict):
        raise MemoryDamaged
    return raw
