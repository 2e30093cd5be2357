"""Text made fit for files and for people: names are whatever somebody typed; lists read as sentences.

Terms: *plain* text is one line without anything that a reader could take for a command.
"""

from __future__ import annotations

import unicodedata
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterable

_NOT_PLAIN: Final = frozenset({"Cc", "Cs", "Co", "Cn", "Zl", "Zp"})
"""Unicode categories: controls, halves of surrogate pairs, private and unassigned, line separators."""

_DIRECTIONS: Final = frozenset(
    "\u200e\u200f\u061c\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufeff"
)
"""Marks that turn the writing direction; they can make a name look like another."""


def plain(text: str, most: int = 200) -> str:
    """One line that every text format takes: no control characters, nothing that XML 1.0 forbids.

    Args:
        text: Anything.
        most: Characters kept.

    Source of what XML allows: XML 1.0 (fifth edition), section 2.2, production 2.
    """
    composed = unicodedata.normalize("NFC", text)
    shown = (" " if _hidden(character) else character for character in composed[: 4 * most])
    return " ".join("".join(shown).split())[:most].rstrip()


def listing(items: Iterable[str]) -> str:
    """Some things as people say them: ``A``, ``A and B``, ``A, B and C``."""
    *head, last = items
    return f"{', '.join(head)} and {last}" if head else last


def per_cent(share: float) -> str:
    """A share, 0 to 1, in whole per cent; rounded down, so that only what is whole is 100 %."""
    whole = int(share * 100 + 1e-9)
    return "under 1 %" if whole == 0 and share > 0 else f"{whole} %"


def _hidden(character: str) -> bool:
    return character in _DIRECTIONS or unicodedata.category(character) in _NOT_PLAIN
