"""The stage as a list of its steps."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from piecewright.cutting.geometry import frozen
from piecewright.cutting.passes.bites import bites_of
from piecewright.cutting.passes.kinds import stitches_of
from piecewright.cutting.passes.lines import repeating, twice_sewn
from piecewright.cutting.passes.measures import measure, spines_of
from piecewright.cutting.passes.stretches import find_stretches
from piecewright.cutting.passes.trace import steps_of, trace_of
from piecewright.cutting.passes.traits import LINES
from piecewright.cutting.passes.values import Run, Stitch

if TYPE_CHECKING:
    from piecewright.cutting.design import Design
    from piecewright.cutting.geometry import FloatArray, IntArray
    from piecewright.cutting.passes.measures import Measures, Spines
    from piecewright.cutting.passes.stretches import Stretches
    from piecewright.cutting.passes.trace import Steps, Trace


def find_runs(design: Design) -> tuple[Run, ...]:
    """Split every block into runs, cut where the manner of stitching changes, and tell what they are."""
    trace = trace_of(design)
    steps = steps_of(trace)
    bites = bites_of(steps)
    stretches = find_stretches(steps, bites)
    if not len(stretches.first):
        return ()
    spines = spines_of(steps, stretches, bites)
    measures = measure(steps, stretches, spines, bites)
    kinds = stitches_of(
        stretches.manner, measures, twice_sewn(steps, stretches, measures), repeating(steps, stretches)
    )
    return _runs(trace, steps, stretches, spines, measures, kinds)


def _runs(
    trace: Trace,
    steps: Steps,
    stretches: Stretches,
    spines: Spines,
    measures: Measures,
    kinds: list[Stitch],
) -> tuple[Run, ...]:
    points, spine = frozen(trace.points), frozen(spines.points)
    first, last = _reach(trace, steps, stretches)
    width, spacing = _widths(measures, kinds)
    closed = (measures.gap_mm <= np.maximum(2 * measures.stitch_mm, 1.5)) & (measures.points > 3)  # noqa: PLR2004
    block, place = trace.block[first].tolist(), trace.place[first].tolist()
    return tuple(
        Run(
            block=block[i],
            first=place[i],
            last=place[i] + int(last[i] - first[i]),
            points=points[first[i] : last[i] + 1],
            stitch=kind,
            width_mm=float(width[i]),
            spacing_mm=float(spacing[i]),
            stitch_length_mm=float(measures.stitch_mm[i]),
            closed=bool(closed[i]),
            spine=spine[spines.start[i] : spines.start[i + 1]],
        )
        for i, kind in enumerate(kinds)
    )


def _reach(trace: Trace, steps: Steps, stretches: Stretches) -> tuple[IntArray, IntArray]:
    """First and last point of each stretch in the trace, idle points included."""
    first = steps.at[stretches.first]
    last = np.r_[first[1:], len(trace.points)] - 1
    return first, last


def _widths(m: Measures, kinds: list[Stitch]) -> tuple[FloatArray, FloatArray]:
    """Width and spacing of each, 0 for lines."""
    leg = np.where(m.leg_mm > 0, m.leg_mm, m.stitch_mm)
    across = np.sqrt(np.maximum(leg**2 - (m.advance_mm / 2) ** 2, 0))
    width, spacing = np.zeros(len(kinds)), np.zeros(len(kinds))
    for i, kind in enumerate(kinds):
        if kind is Stitch.BLANKET:
            width[i], spacing[i] = m.bite_mm[i], m.apart_mm[i]
        elif kind is Stitch.FILL:
            width[i], spacing[i] = across[i], m.row_mm[i]
        elif kind not in LINES:
            width[i], spacing[i] = across[i], m.advance_mm[i]
    return width, spacing
