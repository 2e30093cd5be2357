"""Names and messages made fit to be shown, whatever bytes a file name holds."""

from __future__ import annotations

import unicodedata
from typing import Final

_DIRECTIONS: Final = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def printable(text: str) -> str:
    """One line that any terminal and any page takes, whatever bytes a file name holds.

    What could be taken for a command is shown as ``�``: control characters, which move a terminal's cursor,
    line breaks, and those marks that turn the writing direction and make a name look like another.
    """
    whole = text.encode("utf-8", "surrogateescape").decode("utf-8", "replace")
    return "".join("�" if _is_hidden(character) else character for character in whole)


def printable_lines(text: str) -> str:
    """The same for a message of several lines."""
    return "\n".join(map(printable, text.split("\n")))


def _is_hidden(character: str) -> bool:
    return character in _DIRECTIONS or unicodedata.category(character) in {"Cc", "Zl", "Zp"}
