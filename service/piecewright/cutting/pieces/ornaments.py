"""What gives away lines that are drawn together as an ornament, whatever is sewn along them later.

Terms: an open line *floats* if both its ends lie in a ring, away from all lines; a line *winds* if it goes on
inside itself; an *edge run* marks one side of a satin, another line of its block the other. *Echoes* are
three lines or more inside each other at even distances, all of them sewn before anything is sewn along any.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting import geometry as geo
from piecewright.cutting.passes import COVERING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.geometry import FloatArray
    from piecewright.cutting.pieces.company import Company
    from piecewright.cutting.pieces.rings import Ring

REDRAWN: Final = 0.7
"""A line of which so much is sewn again is drawn a second time."""

FLOATS_MM: Final = 5.0
"""Shorter lines may be ties."""

OFF_ENDS_MM: Final = 1.5
"""Lines that end nearer to another may be meant to end on it."""

WINDS: Final = 0.1
"""Share of a line inside itself; the ends of a line that laps lie on it."""

EDGES_APART_MM: Final = 1.0
"""Two lines nearer to each other are one that is sewn twice."""

OVER_EDGE_MM: Final = 0.3
ALL_ALONG: Final = 0.8

EVEN_MM: Final = 0.8
"""The distance of two echoes is even if it is the same on three sides but for this."""

APART_MM: Final = (2.2, 6.0)
"""How far apart the neighbours among echoes lie: farther than tack-downs lie inside their line, and nearer
than pieces inside each other, which leave more of each to be seen."""

WITHIN_MM: Final = 1.0
"""So far inside itself a line does not only lie on itself, as at its seam."""


def afloat(block: int, company: Company) -> bool:
    """Whether open lines that end inside a ring of a block, away from all lines, are sewn again with it.

    Lines between pieces end on the lines of pieces, those under a later piece outside it.
    """
    if block not in company.afloat:
        around = company.around
        lines = np.flatnonzero(
            (around.block == block) & (around.overlaid >= REDRAWN) & (around.length >= FLOATS_MM)
        )
        rings = [company.rings[number] for number in company.in_block[block] if company.own[number]]
        company.afloat[block] = any(
            _floats(around.runs[i].points[[0, -1]], [ring for ring in rings if i not in ring.runs])
            for i in lines.tolist()
        )
    return company.afloat[block]


def _floats(ends: FloatArray, rings: Sequence[Ring]) -> bool:
    depths = [geo.distances_to_edge(geo.Region(exterior=ring.points), ends) for ring in rings]
    clear = all(float(np.abs(depth).min()) > OFF_ENDS_MM for depth in depths)
    return clear and any(float(depth.min()) > 0 for depth in depths)


def tangles(index: int, company: Company) -> float:
    """Share of the lines of a ring's block, by length, that cross themselves: fabric has no such outline."""
    block = company.rings[index].block
    if block not in company.tangles:
        rings = [company.rings[number] for number in company.in_block[block] if company.own[number]]
        tangled = sum(ring.length_mm for ring in rings if _winds(ring))
        company.tangles[block] = tangled / max(sum(ring.length_mm for ring in rings), 1.0)
    return company.tangles[block]


def _winds(ring: Ring) -> bool:
    """Whether a ring goes on inside itself, as knots and stars of chords do."""
    region = None if geo.ring_is_simple(ring.points) else geo.largest(geo.regions_of([ring.points]))
    if region is None:
        return False
    return float((geo.distances_to_edge(region, ring.points) > WITHIN_MM).mean()) >= WINDS


def edge_run(index: int, company: Company) -> bool:
    """Whether one later satin lies over a ring and another line of its block, and over all between them."""
    ring = company.rings[index]
    over = {
        f.run: f.offset_mm
        for f in company.along[index]
        if _lies_over(f.run, f.away_mm, f.coverage, f.at_home, ring.block, company)
    }
    return bool(over) and any(
        f.run in over
        and abs(f.offset_mm - over[f.run]) >= EDGES_APART_MM
        and _lies_over(f.run, f.away_mm, f.coverage, f.at_home, ring.block, company)
        for other in company.in_block[ring.block]
        if other != index
        for f in company.along[other]
    )


def _lies_over(
    run: int, away_mm: float, coverage: float, at_home: float, block: int, company: Company
) -> bool:
    one = company.around.runs[run]
    wide = one.stitch in COVERING and one.block > block and away_mm <= one.width_mm / 2 + OVER_EDGE_MM
    return wide and coverage >= ALL_ALONG and at_home >= ALL_ALONG


def echoes(index: int, company: Company) -> int:
    """How many lines lie inside or around a ring at even distances, all drawn before any is sewn again."""
    boxes, mine = company.boxes, company.boxes[index]
    out = np.sort((boxes - mine) * (-1.0, -1.0, 1.0, 1.0), axis=1)
    even = (out[:, 2] - out[:, 0] <= EVEN_MM) | (out[:, 3] - out[:, 1] <= EVEN_MM)
    over, block = company.sewn_over, company.blocks[index]
    together = even & (company.blocks < over[index]) & (over > block) & np.isfinite(over)
    by = np.sort(np.median(out[together], axis=1))
    steps = np.diff(by[np.diff(by, prepend=-np.inf) > EDGES_APART_MM])
    return int(((steps >= APART_MM[0]) & (steps <= APART_MM[1])).sum())
