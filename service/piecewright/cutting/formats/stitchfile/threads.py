"""Threads of a file as values: colour, name and catalogue number, where the file gives them.

Terms: the *PEC palette* is the thread table that PEC and PES files count in; its last three entries are
no threads but name the appliqué steps.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from piecewright.cutting.design import Thread

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

PALETTE_LENGTH: Final = 65
APPLIQUE_ENTRIES: Final = {62: "appliqué material", 63: "appliqué position", 64: "appliqué"}
"""Entries of the PEC palette that stand for steps of appliqué: cut the fabric, lay it down, sew it down.
Open source PEC tools list them so; pyembroidery calls 62 and 63 by two threads' names."""
_COLOUR: Final = re.compile("#?[0-9a-fA-F]{6}")


def thread_of(thread: object) -> Thread:
    """One thread as pyembroidery's readers hand it over: an object, a dictionary or nothing."""
    if isinstance(thread, dict):  # JPX: numbers of a palette that nobody knows, with colours thrown by dice
        return Thread(catalog=_text(thread.get("name")))
    colour = getattr(thread, "color", None)
    return Thread(
        colour=f"#{colour & 0xFFFFFF:06x}" if isinstance(colour, int) else None,
        name=_name(getattr(thread, "description", None)),
        catalog=_text(getattr(thread, "catalog_number", None)),
    )


def with_palette(threads: Iterable[Thread], palette: Sequence[int], *, own: bool) -> tuple[Thread, ...]:
    """Threads with what the PEC palette says of the same blocks.

    Args:
        threads: As read, one for each block or fewer.
        palette: Palette entry of each block.
        own: Whether the file describes threads of its own, whose names are then kept.
    """
    listed = list(threads)
    listed += [Thread()] * (len(palette) - len(listed))
    entries = [*palette, *([None] * (len(listed) - len(palette)))]
    return tuple(_with_entry(t, e, own=own) for t, e in zip(listed, entries, strict=True))


def _with_entry(thread: Thread, entry: int | None, *, own: bool) -> Thread:
    number = None if entry is None else entry % PALETTE_LENGTH
    if number is not None and number in APPLIQUE_ENTRIES:
        name = thread.name if own and thread.name else APPLIQUE_ENTRIES[number]
        return Thread(colour=thread.colour, name=name, catalog=f"PEC {number}")
    if own or number is None:
        return thread
    return Thread(colour=thread.colour, name=thread.name, catalog=f"PEC {number}")


def _name(value: object) -> str | None:
    """A name; some writers put the colour where it belongs."""
    text = _text(value)
    return None if text is not None and _COLOUR.fullmatch(text) else text


def _text(value: object) -> str | None:
    text = value.strip("\0 \t\r\n") if isinstance(value, str) else ""
    return text or None
