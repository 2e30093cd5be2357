"""Decoding: pyembroidery reads the records, and what it read is held against the file's promise."""

from __future__ import annotations

from io import BytesIO
from typing import TYPE_CHECKING, Final

import numpy as np
from pyembroidery.EmbThreadPec import EmbThreadPec

from piecewright.cutting.errors import LimitPassed, UnreadableDesign
from piecewright.cutting.findings import Finding
from piecewright.cutting.formats.stitchfile.refusals import AGAIN, NOT_THIS, cut_short, unreadable
from piecewright.cutting.formats.stitchfile.tape import STUMBLES, Recorder, Tape
from piecewright.cutting.formats.stitchfile.threads import thread_of, with_palette

if TYPE_CHECKING:
    from piecewright.cutting.design import Thread
    from piecewright.cutting.formats.stitchfile.catalogue import Format
    from piecewright.cutting.formats.stitchfile.containers import Promise

_REACH_UNITS: Final = 20
_PADDING: Final = 64
_PADDING_SHARE: Final = 0.02
_PADDING_KINDS: Final = 3
"""Writers fill up the last block of the file with what they like; more bytes, of more
than so many values, are stitches."""

_RECORDS_SHARE: Final = 0.02
"""Headers count jumps, halts and the end each in their own way; only more than this is a disagreement."""


def decode(data: bytes, name: str, form: Format, promise: Promise) -> tuple[Tape, tuple[Finding, ...]]:
    """Read the records.

    Returns:
        The tape, and what is doubtful about it.

    Raises:
        UnreadableDesign: If the records end in the middle, or make no sense.
        LimitPassed: If they ask for more memory than there is.
    """
    stream = BytesIO(data)
    out = Recorder(stream, promise.starts)
    try:
        form.decode(stream, out)
    except STUMBLES as error:
        if stream.tell() >= len(data):
            cut_short(name, f"it ends after {len(out)} records, in the middle of something")
        message = f"{name} makes no sense as {form.name} at byte {stream.tell()}."
        raise UnreadableDesign(message, NOT_THIS) from error
    except MemoryError as error:
        message = f"{name} asks for more memory than a job may take."
        raise LimitPassed(message, "It is most likely damaged; copy or export it again.") from error
    tape = out.tape(_threads(out, promise))
    return tape, _hold_against(tape, data, name, form, promise)


def _threads(out: Recorder, promise: Promise) -> tuple[Thread, ...]:
    threads = tuple(thread_of(thread) for thread in out.threadlist)
    own = not all(thread is None or isinstance(thread, EmbThreadPec) for thread in out.threadlist)
    return with_palette(threads, promise.palette, own=own) if promise.palette else threads


def _hold_against(tape: Tape, data: bytes, name: str, form: Format, promise: Promise) -> tuple[Finding, ...]:
    end = len(data) if tape.end is None else tape.end
    marked = form.ended is not None and form.ended(data, end)
    if not marked and _is_worth_reading(data[end:], len(data)):
        unreadable(f"{name} makes no sense as {form.name} at byte {end}.", NOT_THIS)
    if marked and form.closes and _is_worth_reading(data[end:], len(data)):
        unreadable(f"{name} has {len(data) - end:,} bytes behind its end mark, at byte {end}.", AGAIN)
    if promise.last_byte is not None and end > promise.last_byte:
        unreadable(f"{name} has stitches beyond the place where it says that they end.", AGAIN)
    missing = promise.records is not None and len(tape.what) < promise.records * (1 - _RECORDS_SHARE) - 3
    if not marked and (form.ended is not None or missing):
        mark = " without an end mark" if form.ended is not None else ""
        told = f", and its header tells of {promise.records}" if promise.records else ""
        cut_short(name, f"the stitches stop after {len(tape.what)} records{mark}{told}")
    return _doubts(form) if missing and _reach_missed(tape, promise.reach) > _REACH_UNITS else ()


def _is_worth_reading(rest: bytes, size: int) -> bool:
    """Whether more than padding lies behind the place where a reader gave up."""
    return len(rest) > max(_PADDING, _PADDING_SHARE * size) and len(set(rest)) > _PADDING_KINDS


def _doubts(form: Format) -> tuple[Finding, ...]:
    doubt = Finding(
        code="header-disagrees",
        message=f"The {form.name} file's header tells of more and farther stitches than there are.",
        advice="Compare the picture on the job sheet with the design; if something is missing, "
        "export it again.",
    )
    return (doubt,)


def _reach_missed(tape: Tape, reach: tuple[int, int, int, int] | None) -> float:
    """By how much the records stay behind the header's reach, in stitch units.

    Writers disagree about signs and about which way y points, so only sizes are compared.
    """
    if reach is None or not len(tape.at):
        return 0.0
    there = np.abs([tape.at.min(axis=0), tape.at.max(axis=0)])
    told = np.array(reach, dtype=float).reshape(2, 2)  # one row for x, one for y
    return float(np.max(np.sort(told, axis=1) - np.sort(there, axis=0).T))
