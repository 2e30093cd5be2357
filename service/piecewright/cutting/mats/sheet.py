"""The way ``sheet``: all pieces of one fabric on as few mats as possible, the last used as little as can be.

The layout by boxes is always made, and taken where nesting finds nothing better or is not to be had.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import chain
from typing import TYPE_CHECKING, TypeAlias

from piecewright.cutting.mats.boxlaying import lay_boxes
from piecewright.cutting.mats.filling import Filler
from piecewright.cutting.mats.holes import lodge, moved_in
from piecewright.cutting.mats.narrowing import narrowed, rectangle
from piecewright.cutting.mats.nesting import shapes_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from piecewright.cutting.mats.copies import Bed, Copy, Spot
    from piecewright.cutting.mats.engine import Engine
    from piecewright.cutting.mats.enginefaults import EngineError
    from piecewright.cutting.rules import LayingRules

Mats: TypeAlias = "tuple[tuple[Spot, ...], ...]"
"""For each mat, where its copies lie."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sheets:
    """The mats of one fabric.

    Attributes:
        mats: For each mat, where its copies lie.
        fault: Why the engine gave no answer, if it did not.
    """

    mats: Mats
    fault: EngineError | None = None


def lay_sheets(engine: Engine, copies: Sequence[Copy], bed: Bed, laying: LayingRules) -> Sheets:
    """Lay the copies of one fabric, each of which fits an empty bed.

    Args:
        engine: The nesting engine.
        copies: At least one.
        bed: What may be cut on.
        laying: Gap, effort, whether holes are used.
    """
    if not laying.in_holes:
        return _snug(engine, copies, bed, laying)
    lodging = lodge(copies, laying.gap)
    hosts = _snug(engine, lodging.others, bed, laying)
    mats = tuple(tuple(chain(spots, *(moved_in(spot, lodging) for spot in spots))) for spots in hosts.mats)
    return Sheets(mats=mats, fault=hosts.fault)


def _snug(engine: Engine, copies: Sequence[Copy], bed: Bed, laying: LayingRules) -> Sheets:
    """The best layout, its last mat narrower where that takes less fabric."""
    best = _best(engine, copies, bed, laying)
    *full, last = best.mats
    few = [spot.copy for spot in last]
    snug = narrowed(last, bed, lambda narrow: _best(engine, few, narrow, laying).mats)
    return Sheets(mats=(*full, snug), fault=best.fault)


def _best(engine: Engine, copies: Sequence[Copy], bed: Bed, laying: LayingRules) -> Sheets:
    """The best of the layouts that the effort allows: fewest mats, then shortest on the last."""
    tries = [Sheets(mats=lay_boxes(copies, bed, laying.gap))]
    if laying.effort > 0:
        tries += _nested(engine, copies, bed, laying)
    best = min(tries, key=lambda sheets: (len(sheets.mats), round(rectangle(sheets.mats[-1])[1], 3)))
    return Sheets(mats=best.mats, fault=next((s.fault for s in tries if s.fault is not None), None))


def _nested(engine: Engine, copies: Sequence[Copy], bed: Bed, laying: LayingRules) -> Iterator[Sheets]:
    """Mats filled by true shape; where copies may be turned over, also with every second one so."""
    for alternate in (False, True) if any(len(copy.sides) > 1 for copy in copies) else (False,):
        filler = Filler(engine=engine, bed=bed, gap_mm=laying.gap, effort=laying.effort)
        mats = filler.fill(shapes_of(copies, laying.gap, alternate=alternate))
        yield Sheets(mats=mats, fault=filler.fault)
