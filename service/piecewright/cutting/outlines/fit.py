"""Fit: the offset between what the tack-down needs and what the cover hides.

Terms: the *least offset* of a piece lets its fabric reach as far beyond the tack-down as the rules
ask; the *most* keeps its raw edge as far under the cover as they ask.

Moving a line out by an offset brings no point of it nearer to the limit of the cover than by that
offset, and takes the edge at least that much farther from every needle point inside; so both are
found on the line itself, once.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.findings import Finding
from piecewright.cutting.geometry import contains_points, distances_to_edge, spaced
from piecewright.cutting.outlines.cover import INSIDE_MM, limit_of
from piecewright.cutting.outlines.edge import SPARE_MM, STEP_MM, without_slits

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.geometry import BoolArray, FloatArray, IntArray, Region
    from piecewright.cutting.outlines.cover import Roof
    from piecewright.cutting.rules import FitRules

COMMON_OFFSET_MM: Final = 1.5
"""Common practice, no source: what is used where a design says nothing."""

END_OF_COVER_MM: Final = 4.0
"""So near to where a cover begins or ends, its end limits the edge and not its width."""

BARE_MM: Final = 0.95 * INSIDE_MM
"""A point of the line that has no stitches within this distance has no cover."""

EXACT_MM: Final = 0.005
"""Offsets are rounded to twice this; smaller shortfalls are that rounding."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Between which offsets a piece fits; None where its stitches set no limit.

    Attributes:
        least_mm: For the tack-down.
        least_place: Where the tack-down lies farthest out.
        most_mm: For the cover.
        most_place: Where the cover reaches least far.
    """

    least_mm: float | None = None
    least_place: tuple[float, float] | None = None
    most_mm: float | None = None
    most_place: tuple[float, float] | None = None


def limits_of(line: Region, roof: Roof, tack_points: FloatArray, rules: FitRules) -> Limits:
    """Find between which offsets a piece fits.

    Args:
        line: Its smooth line.
        roof: What lies over the piece.
        tack_points: Needle points that must catch its fabric, (n, 2) mm.
        rules: What is asked.
    """
    least, least_place = None, None
    if len(tack_points):
        inside = distances_to_edge(line, tack_points)
        worst = int(np.argmin(inside))
        least, least_place = rules.beyond_tack_down - float(inside[worst]), _place(tack_points[worst])
    most, most_place = None, None
    points = np.concatenate([spaced(ring, STEP_MM) for ring in (line.exterior, *line.holes)])
    margin = distances_to_edge(tuple(map(without_slits, limit_of(line, roof))), points)
    counted = _well_inside_cover(margin, contains_points(roof.later_pieces, points))
    if roof.cover and len(counted):
        worst = int(counted[np.argmin(margin[counted])])
        most, most_place = float(margin[worst]) - rules.under_cover, _place(points[worst])
    return Limits(least_mm=least, least_place=least_place, most_mm=most, most_place=most_place)


def tightest(limits: Sequence[Limits]) -> Limits:
    """The limits that all of several twins keep."""
    least = max(
        (one for one in limits if one.least_mm is not None),
        key=lambda one: one.least_mm or 0.0,
        default=Limits(),
    )
    most = min(
        (one for one in limits if one.most_mm is not None),
        key=lambda one: one.most_mm or 0.0,
        default=Limits(),
    )
    return Limits(
        least_mm=least.least_mm,
        least_place=least.least_place,
        most_mm=most.most_mm,
        most_place=most.most_place,
    )


def fitted_offset(limits: Limits, rules: FitRules) -> float:
    """The offset with as much to spare on both sides; the best compromise if there is none.

    Without a cover it is the least that the tack-down needs, without a tack-down common practice as far
    as the cover hides it, without both common practice.
    """
    least, most = limits.least_mm, limits.most_mm
    if least is not None and most is not None:
        wanted = (least + most) / 2
    elif least is not None:
        wanted = least
    else:
        wanted = COMMON_OFFSET_MM if most is None else min(COMMON_OFFSET_MM, most)
    return round(min(max(wanted, rules.least), rules.most), 2)


def fit_findings(piece: str, offset_mm: float, limits: Limits) -> list[Finding]:
    """Say where and by how much an offset falls short of what is asked, if by more than fabric shifts."""
    over = offset_mm - limits.most_mm if limits.most_mm is not None else 0.0
    under = limits.least_mm - offset_mm if limits.least_mm is not None else 0.0
    if max(over, under) <= SPARE_MM:
        return []
    parts = []
    if under > EXACT_MM:
        parts.append("the fabric reaches {short_mm:.2f} less beyond the tack-down")
    if over > EXACT_MM:
        parts.append("the raw edge lies {bare_mm:.2f} less under the cover")
    return [
        Finding(
            code="fit-compromise",
            says="No offset of {piece} fits all stitches; with {offset_mm:.2f} "
            + " and ".join(parts)
            + " than the rules ask.",
            values={"offset_mm": offset_mm, "short_mm": under, "bare_mm": over},
            advice="Cut and sew one before the rest, laid with care; if it is good, ask for less under "
            "fit in the rules of the product.",
            piece=piece,
            place=limits.most_place if over >= under else limits.least_place,
        )
    ]


def _well_inside_cover(margin: FloatArray, hidden: BoolArray) -> IntArray:
    """Indices of points of the line whose cover is limited by its width, (k,)."""
    bare = (margin < -BARE_MM) & ~hidden
    span = min(int(END_OF_COVER_MM / STEP_MM), (len(bare) - 1) // 2)
    around = np.concatenate([bare[len(bare) - span :], bare, bare[:span]])
    total = np.cumsum(np.append(0, around))
    near_bare = total[2 * span + 1 :] - total[: len(bare)] > 0
    return np.flatnonzero(~hidden & ~near_bare)


def _place(point: FloatArray) -> tuple[float, float]:
    """A point for a finding."""
    return (round(float(point[0]), 2), round(float(point[1]), 2))
