"""Limits on what is read, and whether what was read can be a design at all."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.formats.stitchfile.refusals import NOT_THIS, limit_passed, unreadable
from piecewright.cutting.formats.stitchfile.tape import Record
from piecewright.cutting.units import MM_PER_STITCH_UNIT

if TYPE_CHECKING:
    from piecewright.cutting.formats.stitchfile.tape import Tape
    from piecewright.cutting.rules import ReadingRules

MEDIAN_STITCH_MM: Final = 8.0
"""Basting, the longest that is sewn, has stitches of 4 to 7 mm (common practice, no source); noise read
as bytes of 12.7 mm range has a median near 10."""

FEW: Final = 12
"""Under so many stitches a median says nothing."""

ENOUGH: Final = 20_000
"""The median of so many says all; noise is noise from the start."""

WIDEST_MM: Final = 3000.0
"""No machine's field is wider; bytes that are no stitches wander farther."""


def check_size(data: bytes, name: str, rules: ReadingRules) -> None:
    """Refuse files that hold nothing or too much.

    Raises:
        UnreadableDesign: If the file is empty, or was created but never written.
        LimitPassed: If it is larger than the rules allow.
    """
    if not data:
        unreadable(f"{name} is empty.", "Copy or export it again, and drop it when that is done.")
    if len(data) > rules.file_bytes:
        limit_passed(
            f"{name} is larger than the {rules.file_bytes:,} bytes that the rules read at most.", "file_bytes"
        )
    if not data.strip(b"\0"):
        unreadable(
            f"{name} holds nothing but zeros: its copy was begun and never finished.",
            "Copy it again and wait until the copy is done.",
        )


def check_promised_stitches(count: int, name: str, rules: ReadingRules) -> None:
    """Refuse by the file's own count, before anything is unpacked.

    Raises:
        LimitPassed: If the file announces more stitches than the rules allow.
    """
    if count > rules.stitches:
        limit_passed(
            f"{name} announces {count:,} stitches; the rules read at most {rules.stitches:,}.", "stitches"
        )


def check_stitches(tape: Tape, name: str, rules: ReadingRules) -> None:
    """Refuse what has too many stitches, or cannot have been sewn.

    Raises:
        LimitPassed: If there are more needle points than the rules allow.
        UnreadableDesign: If most stitches are longer than any machine's, the field is metres wide, or
            there are more halts than stitches.
    """
    points = tape.at[tape.what == Record.SEW]
    if len(points) > rules.stitches:
        limit_passed(
            f"{name} has {len(points):,} stitches; the rules read at most {rules.stitches:,}.", "stitches"
        )
    halts = int(np.count_nonzero(tape.what >= Record.COLOUR))
    if halts > max(len(points), FEW):
        unreadable(f"{name} cannot be a design: it halts {halts:,} times.", NOT_THIS)
    if len(points) < FEW:
        return
    steps = np.diff(points[:ENOUGH], axis=0)
    median = float(np.median(np.hypot(steps[:, 0], steps[:, 1]))) * MM_PER_STITCH_UNIT
    if median > MEDIAN_STITCH_MM:
        unreadable(
            f"{name} cannot be a design: half of its stitches are longer than {median:.1f} mm.", NOT_THIS
        )
    width, height = (float(np.ptp(column)) * MM_PER_STITCH_UNIT for column in points.T)
    if max(width, height) > WIDEST_MM:
        unreadable(f"{name} cannot be a design: it is {width:,.0f} by {height:,.0f} mm large.", NOT_THIS)
