"""From the tape to blocks: needle points in mm, parted at the halts, with cuts and travels marked."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.design import Block, Thread
from piecewright.cutting.findings import Finding
from piecewright.cutting.formats.stitchfile.tape import Record
from piecewright.cutting.units import MM_PER_STITCH_UNIT

if TYPE_CHECKING:
    import numpy.typing as npt

    from piecewright.cutting.formats.stitchfile.catalogue import Format
    from piecewright.cutting.formats.stitchfile.tape import Tape
    from piecewright.cutting.geometry import BoolArray, FloatArray

UNITS_PER_MM: Final = round(1 / MM_PER_STITCH_UNIT)
"""Dividing by ten keeps 0.3 mm exactly 0.3; multiplying by 0.1 does not."""

LONGEST_STITCH_MM: Final = 12.7
"""Machines sew no longer stitch (common practice, no source); in VP3, which has no jumps, it is a travel."""

STANDSTILL: Final = 1e-6
"""Stitch units under which jumps add up to nothing; only rounding of VP3's absolute places is smaller."""


def blocks_of(tape: Tape, form: Format) -> tuple[tuple[Block, ...], tuple[Finding, ...]]:
    """Part the tape at its halts.

    Returns:
        The blocks, and what is doubtful about them.
    """
    sewn = np.flatnonzero(tape.what == Record.SEW)
    if not len(sewn):
        return (), ()
    points = tape.at[sewn] / UNITS_PER_MM
    cut, travel = _between(tape, sewn, form)
    travel, doubts = _long_moves(points, travel, form)
    halts = _halts(tape, first=int(sewn[0]))
    number = np.searchsorted(halts, sewn)
    starts = np.searchsorted(number, np.arange(int(number[-1]) + 2))
    threads = _threads(tape, halts, count=len(starts) - 1)
    for column in (points, cut, travel):
        column.setflags(write=False)
    blocks = tuple(
        Block(
            number=k + 1,
            thread=threads[k],
            points=points[a:b],
            cut_before=cut[a:b],
            travel_before=travel[a:b],
        )
        for k, (a, b) in enumerate(zip(starts[:-1].tolist(), starts[1:].tolist(), strict=True))
    )
    return blocks, doubts


def _halts(tape: Tape, first: int) -> npt.NDArray[np.intp]:
    """Indices of the records that halt the machine; choosing the needle to begin with is none."""
    halts = np.flatnonzero(tape.what >= Record.COLOUR)
    begins: BoolArray = (tape.what[halts] != Record.NEEDLE) | (halts > first)
    return halts[begins]


def _threads(tape: Tape, halts: npt.NDArray[np.intp], count: int) -> list[Thread]:
    """The thread of each block: a stop goes on with the same one."""
    new_thread = tape.what[halts[: count - 1]] != Record.STOP
    index = np.concatenate(([0], np.cumsum(new_thread))).tolist()
    return [tape.threads[i] if i < len(tape.threads) else Thread() for i in index]


def _between(tape: Tape, sewn: npt.NDArray[np.intp], form: Format) -> tuple[BoolArray, BoolArray]:
    """Whether the thread was cut, and whether the hoop travelled, before each needle point.

    Nearly every needle point follows another; only those behind other records are looked at.
    """
    before = np.concatenate(([-1], sewn[:-1]))
    apart = np.flatnonzero(sewn - before > 1)
    first, last = before[apart], sewn[apart] - 1
    start = np.where(first[:, None] >= 0, tape.at[first], 0.0)
    moved = np.abs(tape.at[last] - start).max(axis=1)
    cuts = _count(tape, Record.TRIM, first, last) > 0
    if form.jumps_that_cut:
        cuts |= _count(tape, Record.JUMP, first, last) >= form.jumps_that_cut
    if form.travel_that_cuts_mm:
        cuts |= moved > form.travel_that_cuts_mm * UNITS_PER_MM
    cut, travel = np.zeros(len(sewn), dtype=bool), np.zeros(len(sewn), dtype=bool)
    cut[apart], travel[apart] = cuts, moved > STANDSTILL
    return cut, travel


def _count(
    tape: Tape, what: Record, first: npt.NDArray[np.intp], last: npt.NDArray[np.intp]
) -> npt.NDArray[np.intp]:
    """How many records of a kind lie behind ``first`` up to ``last``."""
    places = np.flatnonzero(tape.what == what)
    return np.searchsorted(places, last, "right") - np.searchsorted(places, first, "right")


def _long_moves(points: FloatArray, travel: BoolArray, form: Format) -> tuple[BoolArray, tuple[Finding, ...]]:
    """Mark travels that the format writes as stitches."""
    if not form.travels_as_stitches:
        return travel, ()
    step = np.hypot(*np.diff(points, axis=0, prepend=points[:1]).T)
    long = (step > LONGEST_STITCH_MM) & ~travel
    if not long.any():
        return travel, ()
    first = int(np.flatnonzero(long)[0])
    doubt = Finding(
        code="travels-unmarked",
        says="{format} has no jumps; {travels} stitches over {longest_mm} are taken for travels, and shorter "
        "travels may be among the stitches.",
        values={"format": form.name, "travels": int(long.sum()), "longest_mm": LONGEST_STITCH_MM},
        advice="Check the outlines on the job sheet; if one is wrong, export the design as PES, JEF or DST.",
        place=(float(points[first, 0]), float(points[first, 1])),
    )
    return travel | long, (doubt,)
