"""Edge check: how the raw edge lies between the stitches that hold it and those that hide it.

Terms: the *margin* at a point of the raw edge is how far it lies inside the roof over it, negative
where nothing lies over it; *reach* is how far fabric lies beyond the tack-down.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.findings import Finding
from piecewright.cutting.geometry import (
    BoolArray,
    FloatArray,
    Region,
    away_from_edge,
    contains_points,
    distances_to_edge,
    frozen,
    ring_area,
    spaced,
)
from piecewright.cutting.outlines.cover import THREAD_MM, joined_roof
from piecewright.cutting.outlines.values import EdgeCheck

if TYPE_CHECKING:
    from piecewright.cutting.outlines.cover import Roof

STEP_MM: Final = 0.25
"""How closely the raw edge is looked at: a quarter of the narrowest gap that shows."""

STRETCH_STEP: Final = 4
"""Hidden stretches are told by every fourth of these points: to a millimetre."""

SLIT_MM2: Final = 1.0
"""Openings of a roof smaller than this are gaps between threads, not places where an edge shows."""

SPARE_MM: Final = 0.2
"""Fabric laid by hand shifts by this much (common practice, no source): less to spare is a finding."""

SAID_MM: Final = 0.05
"""Lengths of a seam are said to a tenth of a millimetre; less than half of that is none."""

SHOWING: Final = 0.01
"""Share of the edge that may lie bare: where a cover begins and ends there is always a little gap."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Margins:
    """The raw edge, point by point.

    Attributes:
        points: (n, 2) mm, at most 0.25 mm apart, ring after ring.
        margin_mm: How far each lies inside the roof, (n,), negative where it is bare, 0 where it is hidden;
            None for a piece without a cover, whose edge is meant to show.
        hidden: Whether it is a later piece, or the cover of one, that does, (n,).
        starts: Index of the first point of each ring.
    """

    points: FloatArray
    margin_mm: FloatArray | None
    hidden: BoolArray
    starts: tuple[int, ...]


def margins_of(raw_edge: Region, line: Region, roof: Roof, *, has_cover: bool) -> Margins:
    """Look along a raw edge.

    Args:
        raw_edge: The region whose boundary is looked at.
        line: The smooth line of the piece.
        roof: What lies over the piece.
        has_cover: Whether the piece has a cover of its own.
    """
    rings = [spaced(ring, STEP_MM) for ring in (raw_edge.exterior, *raw_edge.holes)]
    points = np.concatenate(rings)
    under_cover = contains_points(roof.cover, points)
    hidden = contains_points(roof.later_pieces, points)
    hidden |= contains_points(roof.later_covers, points) & ~under_cover
    return Margins(
        points=points,
        margin_mm=_margin(points, under_cover, hidden, line, roof) if has_cover else None,
        hidden=hidden,
        starts=tuple(int(k) for k in np.cumsum([0, *(len(ring) for ring in rings[:-1])])),
    )


def _margin(
    points: FloatArray, under_cover: BoolArray, hidden: BoolArray, line: Region, roof: Roof
) -> FloatArray:
    """How far points lie inside the roof, negative where they are bare, 0 where they are hidden, (n,) mm."""
    margin = np.zeros(len(points))
    covered, bare = under_cover & ~hidden, ~(under_cover | hidden)
    if covered.any():
        limit = tuple(map(without_slits, joined_roof(line, roof)))
        margin[covered] = away_from_edge(limit, points[covered])
    margin[bare] = -_sticks_out(points[bare], line, roof)
    return margin


def check_edge(margins: Margins, raw_edge: Region, tack_points: FloatArray) -> EdgeCheck:
    """Sum up how a raw edge lies.

    Args:
        margins: From ``margins_of``.
        raw_edge: The region that is cut.
        tack_points: Needle points that must catch it, (n, 2) mm.
    """
    reach = distances_to_edge(raw_edge, tack_points).min() if len(tack_points) else None
    hidden_share = float(margins.hidden.mean())
    least_reach_mm = None if reach is None else float(reach)
    if margins.margin_mm is None or margins.hidden.all():
        return EdgeCheck(least_reach_mm=least_reach_mm, hidden_share=hidden_share)
    shown = margins.margin_mm[~margins.hidden]
    return EdgeCheck(
        least_cover_mm=float(shown.min()),
        median_cover_mm=float(np.median(shown)),
        uncovered_share=float((shown < -THREAD_MM / 2).mean()),
        least_reach_mm=least_reach_mm,
        hidden_share=hidden_share,
        worst_place=_place(margins.points[~margins.hidden][int(np.argmin(shown))]),
    )


def hidden_stretches(margins: Margins) -> tuple[FloatArray, ...]:
    """The stretches of the raw edge that lie under later pieces, each (k, 2) mm, read-only."""
    stretches: list[FloatArray] = []
    for start, end in pairwise([*margins.starts, len(margins.points)]):
        stretches += _stretches(margins.points[start:end], margins.hidden[start:end])
    return tuple(stretches)


def edge_findings(piece: str, edge: EdgeCheck, tack_points: FloatArray, raw_edge: Region) -> list[Finding]:
    """Say where the raw edge shows or is not caught, and what to change.

    Args:
        piece: Id of the piece.
        edge: How its raw edge lies.
        tack_points: Needle points of its tack-down, (n, 2) mm.
        raw_edge: What is cut.
    """
    findings = []
    if edge.least_cover_mm is not None and edge.uncovered_share is not None:
        if edge.uncovered_share > SHOWING:
            findings.append(_edge_shows(piece, edge))
        elif edge.least_cover_mm < 0 or (edge.median_cover_mm or 0) < SPARE_MM:
            findings.append(_edge_close(piece, edge))
    if edge.least_reach_mm is not None and edge.least_reach_mm < SPARE_MM:
        worst = int(np.argmin(distances_to_edge(raw_edge, tack_points)))
        findings.append(_reach_short(piece, edge.least_reach_mm, _place(tack_points[worst])))
    return findings


def _edge_shows(piece: str, edge: EdgeCheck) -> Finding:
    """Part of the edge lies bare."""
    return Finding(
        code="edge-shows",
        says="The raw edge of {piece} shows along {bare_share} of it, by up to {bare_mm:.1f}.",
        values={
            "bare_share": edge.uncovered_share or 0.0,
            "bare_mm": max(-(edge.least_cover_mm or 0.0), 0.0),
        },
        advice="Set a smaller offset, or offset: fit, for this product; if the edge is meant to lie under "
        "another piece, check that the other piece was found. Only the design's maker can widen a cover.",
        piece=piece,
        place=edge.worst_place,
    )


def _edge_close(piece: str, edge: EdgeCheck) -> Finding:
    """The edge is hidden, but hardly."""
    usual, least = edge.median_cover_mm or 0.0, edge.least_cover_mm or 0.0
    how = "lies only {usual_mm:.2f} inside its cover" if usual >= 0 else "sticks out by {usual_mm:.2f}"
    worst = "lies {least_mm:.2f} inside it" if least >= 0 else "sticks out by {least_mm:.2f}"
    return Finding(
        code="edge-close",
        says=f"The raw edge of {{piece}} {how}; at the worst place it {worst}.",
        values={"usual_mm": abs(usual), "least_mm": abs(least)},
        advice="Set a smaller offset, or offset: fit, for this product; cut and sew one before the rest, and "
        "lay it with care, for a small shift shows.",
        piece=piece,
        place=edge.worst_place,
    )


def _reach_short(piece: str, reach_mm: float, place: tuple[float, float]) -> Finding:
    """The tack-down misses the fabric, or nearly."""
    if abs(reach_mm) < SAID_MM:
        what = "runs right along its edge"
    elif reach_mm < 0:
        what = "misses the fabric by {reach_mm:.1f}"
    else:
        what = "runs only {reach_mm:.1f} inside its edge"
    return Finding(
        code="reach-short",
        says=f"The tack-down of {{piece}} {what}.",
        values={"reach_mm": abs(reach_mm)},
        advice="Set a larger offset, or offset: fit, for this product; cut and sew one before the rest, or "
        "hold it there with spray or fusible web.",
        piece=piece,
        place=place,
    )


def without_slits(region: Region) -> Region:
    """The region with its smallest openings closed."""
    return Region(
        exterior=region.exterior,
        holes=tuple(hole for hole in region.holes if abs(ring_area(hole)) > SLIT_MM2),
    )


def _sticks_out(points: FloatArray, line: Region, roof: Roof) -> FloatArray:
    """How far bare points stick out from under what covers edges, or from the line if that is nearer."""
    over = (line, *roof.cover, *roof.later_pieces, *roof.later_covers)
    return np.asarray(np.min([away_from_edge(area, points) for area in over], axis=0))


def _stretches(points: FloatArray, chosen: BoolArray) -> list[FloatArray]:
    """Runs of chosen points round a ring."""
    if chosen.all():
        return [frozen(np.vstack([points, points[:1]]))]
    first = int(np.argmin(chosen))
    points, chosen = np.roll(points, -first, axis=0), np.roll(chosen, -first)
    bounds = np.flatnonzero(np.diff(np.concatenate([[False], chosen, [False]]).astype(np.int8)))
    ends = zip(bounds[::2], bounds[1::2], strict=True)
    return [
        frozen(np.vstack([points[a : b - 1 : STRETCH_STEP], points[b - 1]])) for a, b in ends if b - a > 1
    ]


def _place(point: FloatArray) -> tuple[float, float]:
    """A point for a finding."""
    return (round(float(point[0]), 2), round(float(point[1]), 2))
