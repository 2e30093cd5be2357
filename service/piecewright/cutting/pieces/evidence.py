"""What speaks for and against a ring being a placement line.

Terms: see following.py; a run *holds* if it could be a tack-down, it *covers* if it has a width; an area
is *filled* if so much thread lies in it that no fabric would show.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting import geometry as geo
from piecewright.cutting.geometry import ring_area
from piecewright.cutting.passes import Stitch
from piecewright.cutting.pieces.crowding import crowded
from piecewright.cutting.pieces.surroundings import meanders
from piecewright.cutting.pieces.thread_map import filled_share

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from piecewright.cutting.geometry import BoolArray, FloatArray, Region
    from piecewright.cutting.passes import Run
    from piecewright.cutting.pieces.following import Follower
    from piecewright.cutting.pieces.rings import Ring
    from piecewright.cutting.pieces.surroundings import Surroundings
    from piecewright.cutting.pieces.words import Hint

COVERING: Final = frozenset({Stitch.SATIN, Stitch.ZIGZAG, Stitch.BLANKET, Stitch.MOTIF})
"""Stitches that can lie over a raw edge."""

AT_HOME: Final = 0.5
"""A run belongs to a line if half of it runs along it ..."""

COVERS_HALF: Final = 0.5
"""... or if it runs along half of the line: one run may cover several pieces."""

MISSES_MM: Final = 1.3
"""Fabric is cut 1.5 mm larger than the line at most times; a tack-down farther out holds nothing."""

SWINGS_MM: Final = 1.0
"""A pass this far on either side of a line by turns would now miss the fabric and now bare its edge: it
crosses the line, as interlaced ornaments do, and does not follow it. Drawn by eye it strays half a mm."""

SPREADS_MM: Final = 2.5
"""Between two lines that part and meet the distance changes by more; a pass keeps its distance."""

MEANDER_AT_HOME: Final = 0.7
"""The loops of a meander touch the edge here and there; one that follows it does so nearly everywhere."""

FARTHEST_SHARE: Final = 0.35
"""Passes over a small piece lie nearer to its line than this share of its radius."""

LEAST_COVERAGE: Final = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """What was seen of one ring; shares are 0 to 1.

    Attributes:
        held: Share of it along which later passes run that could hold fabric.
        covered: Share along which later passes with a width run.
        repeated: Share along which any later pass runs.
        blocks: Numbers of the later blocks in which it is sewn again.
        away_mm: How far from it the later passes run, in the median.
        spread_mm: By how much the distance changes of the pass that keeps it best.
        crowded: Share of its ground that another line of its block encloses too, which crosses it.
        beyond: Whether all later passes lie so far outside that they would miss the fabric.
        meandered: Whether a later pass wanders all over its inside.
        alone: Share of its block's thread that draws closed lines.
        redrawn: Share of the open lines of its block that are sewn again later as well.
        covered_before: Share of it along which a stitch with a width is sewn up to the end of its block.
        filled_before: Whether its inside was filled before or in its own block.
        filled_after: Whether its inside is filled later, before anything holds fabric on it.
        missing: Share of it that is not sewn.
        widest_gap_mm: Widest gap.
        bridged: Whether later passes go over the widest gap, or leave it too.
        tangled: Share of its area that it encloses in loops of its own.
        bean: Whether it is sewn as a bean.
        finer: How much longer its stitches are than those of the first pass over it.
        hint: What the thread says.
        length_mm: Length around it.
        by_hand: Whether the rules name its block.
    """

    held: float
    covered: float
    repeated: float
    blocks: tuple[int, ...]
    away_mm: float
    spread_mm: float
    crowded: float
    beyond: bool
    meandered: bool
    alone: float
    redrawn: float
    covered_before: float
    filled_before: float
    filled_after: float
    missing: float
    widest_gap_mm: float
    bridged: bool
    tangled: float
    bean: bool
    finer: float
    hint: Hint | None
    length_mm: float
    by_hand: bool = False


def weigh(
    ring: Ring,
    region: Region,
    followers: Sequence[Follower],
    earlier: Sequence[Follower],
    siblings: Sequence[Ring],
    around: Surroundings,
) -> Evidence:
    """Gather the evidence of one ring.

    Args:
        ring: The line.
        region: What it encloses.
        followers: Runs of later blocks that belong to it.
        earlier: Runs with a width, up to the end of its block, that lie along it.
        siblings: The other closed lines of its block.
        around: The rest of the design.
    """
    runs = around.runs
    holding = [f for f in followers if runs[f.run].stitch is not Stitch.SATIN]
    covering = [f for f in followers if runs[f.run].stitch in COVERING]
    before, after = _filled(ring, region, followers, around)
    gaps = [gap.width_mm for gap in ring.gaps]
    return Evidence(
        held=_coverage(holding),
        covered=_coverage(covering),
        repeated=_coverage(followers),
        blocks=_blocks(followers, runs),
        away_mm=min((f.away_mm for f in followers), default=0.0),
        spread_mm=min((f.spread_mm for f in followers if f.coverage > COVERS_HALF), default=0.0),
        crowded=crowded(ring, region, siblings),
        beyond=bool(followers) and all(_misses(f, runs) for f in followers),
        meandered=bool(meanders(ring.block, region, around)),
        alone=around.alone.get(ring.block, 1.0),
        redrawn=around.redrawn.get(ring.block, 0.0),
        covered_before=_coverage(earlier),
        filled_before=before,
        filled_after=after,
        missing=ring.gap_mm / ring.length_mm,
        widest_gap_mm=max(gaps, default=0.0),
        bridged=_gaps_explained(ring, followers),
        tangled=_tangled(ring, region),
        bean=ring.stitch is Stitch.BEAN,
        finer=_finer(ring, followers, runs),
        hint=around.hints.get(ring.block),
        length_mm=ring.length_mm,
    )


def belonging(
    followers: Iterable[Follower], ring: Ring, around: Surroundings, echoes: set[int]
) -> list[Follower]:
    """Those runs of later blocks that belong to the ring, not only pass by.

    Args:
        followers: All runs along the ring.
        ring: The line.
        around: The rest of the design.
        echoes: Runs that keep their distance from several lines of the block.
    """
    farthest = FARTHEST_SHARE * 2 * abs(ring_area(ring.points)) / ring.length_mm
    return [
        f
        for f in followers
        if around.runs[f.run].block > ring.block
        and f.run not in echoes
        and f.away_mm <= farthest
        and _keeps_to(f, around.runs[f.run])
        and _is_at_home(f, around.runs[f.run])
    ]


def covering_before(followers: Iterable[Follower], ring: Ring, runs: Sequence[Run]) -> list[Follower]:
    """Stitches with a width along the ring before the halt: it is their underlay, or lies on top of them."""
    return [f for f in followers if runs[f.run].block <= ring.block and runs[f.run].width_mm > 0]


def _keeps_to(follower: Follower, run: Run) -> bool:
    """Whether a run keeps its distance from the ring; stitches with a width may wander a little more."""
    more = run.width_mm / 4
    return follower.swing_mm <= SWINGS_MM + more and follower.spread_mm <= SPREADS_MM + more


def _is_at_home(follower: Follower, run: Run) -> bool:
    if run.stitch is Stitch.MEANDER and follower.at_home < MEANDER_AT_HOME:
        return False
    return follower.coverage >= COVERS_HALF or (
        follower.at_home >= AT_HOME and follower.coverage >= LEAST_COVERAGE
    )


def _coverage(followers: Sequence[Follower]) -> float:
    """Share of the ring along which any of the runs lies."""
    return float(np.any([f.on for f in followers], axis=0).mean()) if followers else 0.0


def _misses(follower: Follower, runs: Sequence[Run]) -> bool:
    """Whether a pass lies so far outside the line that it would not catch a piece cut to it."""
    return follower.offset_mm - runs[follower.run].width_mm / 2 > MISSES_MM


def _blocks(followers: Sequence[Follower], runs: Sequence[Run]) -> tuple[int, ...]:
    """Blocks that run along a good part of the ring."""
    found = sorted({runs[f.run].block for f in followers})
    return tuple(
        b for b in found if _coverage([f for f in followers if runs[f.run].block == b]) > AT_HOME / 2
    )


def _filled(
    ring: Ring, region: Region, followers: Sequence[Follower], around: Surroundings
) -> tuple[float, float]:
    """How much of the inside is filled up to the end of the ring's block, and after it."""
    other = np.ones(len(around.runs), dtype=np.bool_)
    other[[*ring.runs, *(f.run for f in followers)]] = False
    # What is filled once something holds the fabric is a picture on it.
    holding = [around.runs[f.run].block for f in followers if _holds(f, around.runs[f.run])]
    after = (around.block > ring.block) & (around.block <= min(holding, default=int(around.block.max())))
    return (
        filled_share(around.threads, region, np.asarray(other & (around.block <= ring.block))),
        filled_share(around.threads, region, np.asarray(other & after)),
    )


def _holds(follower: Follower, run: Run) -> bool:
    return run.stitch is not Stitch.SATIN and follower.coverage > COVERS_HALF


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
    if not ring.gaps or not followers:
        return not ring.gaps
    widest = max(ring.gaps, key=lambda gap: gap.width_mm)
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
