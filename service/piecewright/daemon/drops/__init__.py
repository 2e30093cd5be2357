"""Drops: what lies in a claimed drop, as designs to work on.

Terms: an *entry* is one file of the drop, lying in a folder or in a zip; *passed over* are entries that
are no designs, the same design once more in another format, or left out by the order; the *order* is the
small YAML file that a drop may bring along.

Zips are read where they lie and never unpacked to disk, so no name in one can reach outside. A claimed
drop is only ever read.
"""

from __future__ import annotations

from contextlib import ExitStack
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, NoReturn

from piecewright.cutting.formats.stitchfile import read
from piecewright.cutting.job import Source
from piecewright.daemon.drops.choice import choose
from piecewright.daemon.drops.entries import entries_of
from piecewright.daemon.drops.entry import RefusedDrop
from piecewright.daemon.drops.order import Order, OrderError, is_order, read_order

if TYPE_CHECKING:
    from pathlib import Path

    from piecewright.cutting.rules import JobRules
    from piecewright.daemon.drops.entry import Entry

__all__ = ["Drop", "Order", "OrderError", "RefusedDrop", "open_drop"]


_LISTED: Final = 5
"""Names in a message; more would hide the advice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drop:
    """What a drop holds.

    Attributes:
        sources: The designs, at least one, in the order of their names.
        passed_over: Paths inside the drop of everything else.
        rules: The rules of the job with what the drop's own order overrides.
    """

    sources: tuple[Source, ...]
    passed_over: tuple[str, ...]
    rules: JobRules


def open_drop(folder: Path, rules: JobRules) -> Drop:
    """Read what was claimed.

    Args:
        folder: Holds what was dropped: files, zips, trees of folders.
        rules: Limits, and the product whose copies and fabrics the drop's order may override.

    Raises:
        RefusedDrop: If it holds no design, too much, or a zip that is not safe or not whole.
        RefusedFormat: If it is one file of another kind.
        LimitPassed: If a design is larger than the rules allow.
        OrderError: If its order makes no sense.
        OSError: If it cannot be read, which is no fault of the drop.
    """
    with ExitStack() as open_zips:
        entries = entries_of(folder, rules.reading, open_zips)
        order = _order_of(entries, rules)
        chosen, passed_over = choose([entry for entry in entries if not is_order(entry.path)])
        if not chosen:
            _nothing_here(entries, rules)
        copies = order.copies_of([entry.path for entry in chosen], rules.product.dealing.copies)
        names = _names(chosen)
        sources = tuple(
            Source(name=name, data=entry.read(), copies=count)
            for name, entry, count in zip(names, chosen, copies, strict=True)
            if count
        )
    if not sources:
        message = "The order leaves every design of the drop out."
        raise OrderError(message, "Set at least one of its copies to 1 or more.")
    left_out = [entry.path for entry, count in zip(chosen, copies, strict=True) if not count]
    return Drop(
        sources=sources, passed_over=tuple(sorted(passed_over + left_out)), rules=order.applied_to(rules)
    )


def _order_of(entries: list[Entry], rules: JobRules) -> Order:
    """The drop's own order; an empty one if it brings none."""
    found = [entry for entry in entries if is_order(entry.path)]
    if len(found) > 1:
        message = f"The drop holds {len(found)} orders: {', '.join(entry.path for entry in found)}."
        raise OrderError(message, "Keep one order.yaml, beside the designs that it is for.")
    return read_order(found[0], rules) if found else Order()


def _names(chosen: list[Entry]) -> list[str]:
    """File names; with their folders where the drop holds two of one name, numbered where that is not enough.

    The same path twice is two paths that cannot be shown, or that differ only in how a letter is composed.
    """
    short = [entry.path.rpartition("/")[2] for entry in chosen]
    longer = [
        name if short.count(name) == 1 else entry.path for name, entry in zip(short, chosen, strict=True)
    ]
    nth = [longer[:place].count(name) for place, name in enumerate(longer)]
    return [f"{name} ({number + 1})" if number else name for name, number in zip(longer, nth, strict=True)]


def _nothing_here(entries: list[Entry], rules: JobRules) -> NoReturn:
    if len(entries) == 1:
        read(entries[0].read(), entries[0].path.rpartition("/")[2], rules.reading)  # says what it is instead
    seen = ", ".join(entry.path for entry in entries[:_LISTED]) + (" ..." if len(entries) > _LISTED else "")
    message = f"The drop holds no design, only {seen}." if seen else "The drop is empty."
    raise RefusedDrop(message, "Drop stitch files, or a folder or zip that holds some.")
