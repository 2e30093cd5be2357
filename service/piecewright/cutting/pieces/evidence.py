"""What speaks for and against a ring being a placement line.

Terms: see following.py; a run *holds* if it could be a tack-down, it *covers* if it has a width; an area
is *filled* if so much thread lies in it that no fabric would show.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting import geometry as geo
from piecewright.cutting.passes import COVERING, FIRM, Stitch
from piecewright.cutting.pieces.belonging import AT_HOME, COVERS_HALF, covering_before
from piecewright.cutting.pieces.crowding import CROSSES_MM, crowded, goes_round
from piecewright.cutting.pieces.drawings import barred, moved_aside_mm
from piecewright.cutting.pieces.fills import (
    HALF_COVERED,
    counter_of_fill,
    coverage,
    drawn_beside,
    filled,
    in_rows,
)
from piecewright.cutting.pieces.ornaments import afloat, echoes, edge_run, tangles
from piecewright.cutting.pieces.surroundings import meanders
from piecewright.cutting.pieces.unlaid import details, hidden

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.geometry import BoolArray, FloatArray, Region
    from piecewright.cutting.passes import Run
    from piecewright.cutting.pieces.company import Company
    from piecewright.cutting.pieces.following import Follower
    from piecewright.cutting.pieces.rings import Ring
    from piecewright.cutting.pieces.words import Hint

LAPPED: Final = 0.8
"""A line of two laps has this share of it sewn twice."""

MISSES_MM: Final = 1.3
"""Fabric is cut 1.5 mm larger than the line at most times; a tack-down farther out holds nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """What was seen of one ring; shares are 0 to 1.

    Attributes:
        held: Share of it along which later passes run that could hold fabric.
        covered: Share along which later passes with a width run.
        repeated: Share along which any later pass runs.
        blocks: Numbers of the later blocks in which it is sewn again.
        inset_mm: How far from it the nearer edge of the later passes runs, in the median.
        firm: Whether a light line is followed by one that is sewn to hold.
        echoed: Whether what runs beside it has another line beside itself in turn.
        in_turn: Whether it is placed and held before another is placed elsewhere, or after.
        carries: Whether lines inside it are placed after it is held, and covered.
        tacks: Share of it that lies evenly inside lines sewn before, as their tack-down would.
        spread_mm: By how much the distance changes of the pass that keeps it best.
        crowded: Share of its ground that another line of its block encloses too, which crosses it.
        beyond: Whether all later passes lie so far outside that they would miss the fabric.
        meandered: Whether a later pass wanders all over its inside.
        alone: Share of its block's thread that draws closed lines.
        redrawn: Share of the open lines of its block that are sewn again later as well; 1 if one floats.
        covered_before: Share of it along which a stitch with a width is sewn up to the end of its block.
        filled_before: Whether its inside was filled before or in its own block.
        filled_after: Whether its inside is filled later, before anything holds fabric on it.
        rows: Share of its inside sewn in straight rows, however open, before anything holds fabric on it.
        rows_before: The same, up to the end of its own block.
        drawn_beside: Share of the other lines of its block that only go round rows, if nothing covers it.
        counter: Whether it is the inner edge of a shape that was filled before.
        moved_mm: How far aside a later line of its own size lies.
        barred: Length of open lines across it that later stitches go over, as a share of its own, if nothing
            holds fabric on it.
        tangles: Share of the lines of its block that go on inside themselves.
        details: Share of its block's lines with details inside before anything goes along; 1 if it has some.
        hidden: Length of open lines of its block that fabric on it would hide, as a share of its own.
        edge_run: Whether a later satin lies over it and over another line of its block.
        echoes: How many other lines lie about it at even distances, all sewn before any is sewn again.
        outside_mm: How far outside it the nearer edge of all later passes lies.
        wound: How often the runs that draw it cross it.
        missing: Share of it that is not sewn.
        widest_gap_mm: Widest gap.
        bridged: Whether later passes go over the widest gap, or leave it too.
        tangled: Share of its area that it encloses in loops of its own.
        bean: Whether it is sewn as a bean.
        zigzag: Whether it is sewn as a zigzag.
        finer: How much longer its stitches are than those of the first pass over it.
        hint: What the thread says.
        length_mm: Length around it.
        by_hand: Whether the rules name its block.
    """

    held: float
    covered: float
    repeated: float
    blocks: tuple[int, ...]
    inset_mm: float
    firm: bool
    echoed: bool
    in_turn: bool
    carries: bool
    tacks: float
    spread_mm: float
    crowded: float
    beyond: bool
    meandered: bool
    alone: float
    redrawn: float
    covered_before: float
    filled_before: float
    filled_after: float
    rows: float
    rows_before: float
    drawn_beside: float
    counter: bool
    moved_mm: float
    barred: float
    tangles: float
    details: float
    hidden: float
    edge_run: bool
    echoes: int
    outside_mm: float
    wound: int
    missing: float
    widest_gap_mm: float
    bridged: bool
    tangled: float
    bean: bool
    zigzag: bool
    finer: float
    hint: Hint | None
    length_mm: float
    by_hand: bool = False


def weigh(
    index: int,
    ring: Ring,
    region: Region,
    company: Company,
    explained: set[int],
) -> Evidence:
    """Gather the evidence of one ring.

    Args:
        index: Of the ring among all of the design.
        ring: The line, its gaps closed.
        region: What it encloses.
        company: The other lines, and what runs along them.
        explained: Runs that draw lines which something else has held before.
    """
    around, followers = company.around, company.own[index]
    runs = around.runs
    holding = [f for f in followers if runs[f.run].stitch is not Stitch.SATIN]
    covering = [f for f in followers if runs[f.run].stitch in COVERING]
    before, after = filled(ring, region, followers, company)
    rows = in_rows(ring, region, followers, company)
    hole = _may_be_hole(index, company)
    siblings = company.siblings(index)
    return Evidence(
        held=coverage(holding),
        covered=coverage(covering),
        repeated=coverage(followers),
        blocks=_blocks(followers, runs),
        inset_mm=min((_nearer_edge(f, runs) for f in followers), default=0.0),
        firm=_firm(ring, followers, company),
        echoed=company.echoed(index),
        in_turn=company.in_turn(index),
        carries=company.carries(index),
        tacks=company.inside_earlier(index, explained),
        spread_mm=min((f.spread_mm for f in followers if f.coverage > COVERS_HALF), default=0.0),
        crowded=crowded(ring, region, [*siblings, *company.together(index)]),
        beyond=_beyond(followers, runs) and not hole,
        meandered=bool(meanders(ring.block, region, around)),
        alone=around.alone.get(ring.block, 1.0),
        redrawn=1.0 if afloat(ring.block, company) else around.redrawn.get(ring.block, 0.0),
        covered_before=coverage(covering_before(company.along[index], ring, runs)),
        filled_before=before,
        filled_after=after,
        rows=max(rows),
        rows_before=rows[0],
        drawn_beside=drawn_beside(index, company) if coverage(covering) < HALF_COVERED else 0.0,
        counter=counter_of_fill(index, company),
        moved_mm=moved_aside_mm(index, company),
        barred=barred(ring, region, around) if coverage(holding) < HALF_COVERED else 0.0,
        tangles=tangles(index, company),
        details=details(index, company),
        hidden=hidden(ring, region, company),
        edge_run=edge_run(index, company),
        echoes=echoes(index, company),
        outside_mm=0.0 if hole else _outside(followers, runs),
        wound=_wound(ring, region, runs),
        missing=ring.gap_mm / ring.length_mm,
        widest_gap_mm=max((gap.width_mm for gap in ring.bare_gaps), default=0.0),
        bridged=_gaps_explained(ring, followers),
        tangled=_tangled(ring, region),
        bean=ring.stitch is Stitch.BEAN,
        zigzag=ring.stitch is Stitch.ZIGZAG,
        finer=_finer(ring, followers, runs),
        hint=around.hints.get(ring.block),
        length_mm=ring.length_mm,
    )


def _beyond(followers: Sequence[Follower], runs: Sequence[Run]) -> bool:
    return bool(followers) and all(_misses(f, runs) for f in followers)


def _outside(followers: Sequence[Follower], runs: Sequence[Run]) -> float:
    edges = [f.offset_mm - runs[f.run].width_mm / 2 for f in followers if f.coverage > COVERS_HALF]
    return max(min(edges, default=0.0), 0.0)


def _wound(ring: Ring, region: Region, runs: Sequence[Run]) -> int:
    """How often the thread goes through a ring: from inside it to outside or back, or from it inwards."""
    if ring.stitch is Stitch.ZIGZAG:
        return 0
    crossings = 0
    for index in ring.runs:
        depth = geo.distances_to_edge(region, runs[index].points)
        inside = depth[np.abs(depth) > CROSSES_MM] > 0
        crossings += int(np.count_nonzero(inside[1:] != inside[:-1]))
    if not geo.ring_is_simple(ring.points):
        within = geo.distances_to_edge(region, ring.points) > CROSSES_MM
        crossings += int(np.count_nonzero(within != np.roll(within, 1)))
    return crossings


def _may_be_hole(index: int, company: Company) -> bool:
    """Whether a line of its block that is held goes round a ring: the fabric lies outside the ring then."""
    ring = company.rings[index]
    return any(
        goes_round(company.rings[other], ring)
        and bool(company.own[other])
        and not _beyond(company.own[other], company.around.runs)
        for other in company.about(index)
    )


def _nearer_edge(follower: Follower, runs: Sequence[Run]) -> float:
    return max(follower.away_mm - runs[follower.run].width_mm / 2, 0.0)


def _firm(ring: Ring, followers: Sequence[Follower], company: Company) -> bool:
    if ring.stitch is not Stitch.SINGLE_RUN or ring.lapped >= LAPPED:
        return False
    return any(
        company.around.runs[f.run].stitch in FIRM
        or any(company.rings[number].lapped >= LAPPED for number in company.drawn_by.get(f.run, ()))
        for f in followers
    )


def _misses(follower: Follower, runs: Sequence[Run]) -> bool:
    """Whether a pass lies so far outside the line that it would not catch a piece cut to it."""
    return follower.offset_mm - runs[follower.run].width_mm / 2 > MISSES_MM


def _blocks(followers: Sequence[Follower], runs: Sequence[Run]) -> tuple[int, ...]:
    """Blocks that run along a good part of the ring."""
    found = sorted({runs[f.run].block for f in followers})
    return tuple(b for b in found if coverage([f for f in followers if runs[f.run].block == b]) > AT_HOME / 2)


def _tangled(ring: Ring, region: Region) -> float:
    """Share of what a ring that crosses itself encloses outside its main part."""
    if geo.ring_is_simple(ring.points):
        return 0.0
    whole = sum(geo.area(part) for part in geo.regions_of([ring.points]))
    return max(0.0, 1 - geo.area(region) / whole) if whole else 1.0


def _finer(ring: Ring, followers: Sequence[Follower], runs: Sequence[Run]) -> float:
    """Stitch length of the ring over that of the first line sewn along it; 1 if there is none."""
    own = runs[ring.runs[0]].stitch_length_mm
    lines = [runs[f.run].stitch_length_mm for f in followers if runs[f.run].width_mm == 0]
    return own / lines[0] if lines and lines[0] > 0 else 1.0


def _gaps_explained(ring: Ring, followers: Sequence[Follower]) -> bool:
    """Whether later passes go over the widest gap, or leave the same gap open."""
    if not ring.bare_gaps or not followers:
        return not ring.bare_gaps
    widest = max(ring.bare_gaps, key=lambda gap: gap.width_mm)
    on = np.any([f.on for f in followers], axis=0)
    near = _samples_near(ring.points, len(on), np.array(widest.place), widest.width_mm / 2)
    inside, outside = on[near], on[~near]
    sewn_elsewhere = len(outside) > 0 and float(outside.mean()) > 0.85  # noqa: PLR2004 - nearly all
    over = len(inside) > 0 and float(inside.mean()) > 0.6  # noqa: PLR2004 - most of it
    return over or sewn_elsewhere


def _samples_near(points: FloatArray, count: int, place: FloatArray, radius: float) -> BoolArray:
    """Which of evenly spread samples of a ring lie near a place."""
    closed = np.vstack([points, points[:1]])
    arc = np.r_[0.0, np.cumsum(np.hypot(*np.diff(closed, axis=0).T))]
    at = (np.arange(count) + 0.5) * arc[-1] / count
    x, y = (np.interp(at, arc, closed[:, axis]) for axis in (0, 1))
    return np.asarray(np.hypot(x - place[0], y - place[1]) <= radius)
