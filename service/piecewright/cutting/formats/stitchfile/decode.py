"""Decoding: pyembroidery reads the records, whatever it stumbles over becomes a refusal."""

from __future__ import annotations

from io import BytesIO
from typing import TYPE_CHECKING

from pyembroidery.EmbThreadPec import EmbThreadPec

from piecewright.cutting.errors import LimitPassed, UnreadableDesign
from piecewright.cutting.formats.stitchfile.refusals import NOT_THIS, cut_short
from piecewright.cutting.formats.stitchfile.tape import STUMBLES, Recorder
from piecewright.cutting.formats.stitchfile.threads import thread_of, with_palette

if TYPE_CHECKING:
    from piecewright.cutting.design import Thread
    from piecewright.cutting.formats.stitchfile.catalogue import Format
    from piecewright.cutting.formats.stitchfile.containers import Promise
    from piecewright.cutting.formats.stitchfile.tape import Tape


def decode(data: bytes, name: str, form: Format, promise: Promise) -> Tape:
    """Read the records.

    Returns:
        The tape, perhaps not whole.

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
    return out.tape(_threads(out, promise))


def _threads(out: Recorder, promise: Promise) -> tuple[Thread, ...]:
    threads = tuple(thread_of(thread) for thread in out.threadlist)
    own = not all(thread is None or isinstance(thread, EmbThreadPec) for thread in out.threadlist)
    return with_palette(threads, promise.palette, own=own) if promise.palette else threads
