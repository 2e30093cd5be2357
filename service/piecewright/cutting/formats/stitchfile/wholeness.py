"""Wholeness: what was read, held against what the file says of itself and against its end mark."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.findings import Finding
from piecewright.cutting.formats.stitchfile.refusals import AGAIN, NOT_THIS, cut_short, unreadable

if TYPE_CHECKING:
    from piecewright.cutting.formats.stitchfile.catalogue import Format
    from piecewright.cutting.formats.stitchfile.containers import Promise
    from piecewright.cutting.formats.stitchfile.tape import Tape

_REACH_UNITS: Final = 20
_RECORDS_SHARE: Final = 0.02
_RECORDS: Final = 3
"""Headers count jumps, halts and the end each in their own way, and round their reach; only more than
this is a disagreement."""

_PADDING: Final = 64
_PADDING_SHARE: Final = 0.02
_PADDING_KINDS: Final = 3
"""Writers fill up the last block of a file with what they like; more bytes, of more than so many values,
are stitches that were not read."""

_COMPARE: Final = (
    "Compare the picture on the job sheet with the design; if something is missing, export it again."
)


def hold_against_promise(
    tape: Tape, data: bytes, name: str, form: Format, promise: Promise
) -> tuple[Finding, ...]:
    """Refuse what was not read to its end.

    Returns:
        What is doubtful but can be a whole design.

    Raises:
        UnreadableDesign: If the stitches are cut short, or bytes among them make no sense.
    """
    end = len(data) if tape.end is None else tape.end
    left = data[end:] if _is_more_than_padding(data[end:], len(data)) else b""
    missing = _records_missing(tape, promise)
    if promise.last_byte is not None and end > promise.last_byte:
        unreadable(f"{name} has stitches beyond the place where it says that they end.", AGAIN)
    if form.ended is not None and form.ended(data, end):
        return _behind_end_mark(tape, left, name, form, promise, missing=missing)
    if left and (form.ended is not None or form.bare or _outweighs(left, tape)):
        unreadable(f"{name} makes no sense as {form.name} at byte {end}.", NOT_THIS)
    if form.ended is not None or missing:
        mark = " without an end mark" if form.ended is not None else ""
        told = f", and its header tells of {promise.records}" if promise.records else ""
        cut_short(name, f"the stitches stop after {len(tape.what)} records{mark}{told}")
    doubt = Finding(
        code="bytes-unread",
        says="Of the {format} file the last {bytes:,} bytes were not understood.",
        values={"format": form.name, "bytes": len(left)},
        advice=_COMPARE,
    )
    return (doubt,) if left else ()


def _behind_end_mark(
    tape: Tape, left: bytes, name: str, form: Format, promise: Promise, *, missing: bool
) -> tuple[Finding, ...]:
    """A mark is the end, unless the header and the rest of the file both say that it is damage."""
    end = tape.end or 0
    if left and form.bare and (missing or (promise.records is None and _outweighs(left, tape))):
        unreadable(f"{name} has {len(left):,} bytes behind its end mark, at byte {end}.", AGAIN)
    if missing and _reach_missed(tape, promise.reach) > _REACH_UNITS:
        doubt = Finding(
            code="header-disagrees",
            says="The {format} file's header tells of more and farther stitches than there are.",
            values={"format": form.name},
            advice=_COMPARE,
        )
        return (doubt,)
    return ()


def _records_missing(tape: Tape, promise: Promise) -> bool:
    told = promise.records or 0
    return len(tape.what) < told * (1 - _RECORDS_SHARE) - _RECORDS


def _is_more_than_padding(rest: bytes, size: int) -> bool:
    return len(rest) > max(_PADDING, _PADDING_SHARE * size) and len(set(rest)) > _PADDING_KINDS


def _outweighs(left: bytes, tape: Tape) -> bool:
    """Whether more was left than read; no record takes less than two bytes."""
    return len(left) > 2 * len(tape.what)


def _reach_missed(tape: Tape, reach: tuple[int, int, int, int] | None) -> float:
    """By how much the records stay behind the header's reach, in stitch units.

    Writers disagree about signs and about which way y points, so only sizes are compared.
    """
    if reach is None or not len(tape.at):
        return 0.0
    there = np.abs([tape.at.min(axis=0), tape.at.max(axis=0)])
    told = np.array(reach, dtype=float).reshape(2, 2)  # one row for x, one for y
    return float(np.max(np.sort(told, axis=1) - np.sort(there, axis=0).T))
