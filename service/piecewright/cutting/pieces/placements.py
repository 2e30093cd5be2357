"""Choosing the placement lines among all closed lines.

Terms: a ring is *claimed* if it is a later pass over a line already chosen; *merged* if its own block
draws the same line twice.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting import geometry as geo
from piecewright.cutting.geometry import Region, nearest
from piecewright.cutting.pieces.bridging import rebridged
from piecewright.cutting.pieces.confidence import confidence
from piecewright.cutting.pieces.evidence import belonging, covering_at_once, weigh
from piecewright.cutting.pieces.following import NEAR_MM, find_followers, samples_of
from piecewright.cutting.pieces.words import Hint

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.geometry import FloatArray
    from piecewright.cutting.passes import Run
    from piecewright.cutting.pieces.evidence import Evidence
    from piecewright.cutting.pieces.following import Follower
    from piecewright.cutting.pieces.rings import Ring
    from piecewright.cutting.pieces.surroundings import Surroundings
    from piecewright.cutting.rules import BlocksByHand, PassRules

REPORTED: Final = 0.3
"""Less likely lines are not worth the operator's time."""

CLAIMING: Final = 0.5
"""A line this likely owns the later passes over it."""

SAME_LINE: Final = 0.8
"""Share of a ring along another for it to be the same line."""

SAME_PLACE_MM: Final = 1.0
"""Laps of one block lie this close; pieces of one block farther apart."""

ECHO_MM: Final = 1.2
"""Tack-downs and covers lie nearer to their line than echoes lie to the next."""

ECHO_SHARE: Final = 0.5
LAYER_MM: Final = 1.8
"""A line this far from an earlier one, with passes of its own nearer to it, is another layer."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Placement:
    """A ring taken for a placement line.

    Attributes:
        ring: The line.
        region: What it encloses.
        followers: Runs of later blocks that belong to it, in sewing order.
        evidence: For and against.
        confidence: 0 to 1.
    """

    ring: Ring
    region: Region
    followers: tuple[Follower, ...]
    evidence: Evidence
    confidence: float


def find_placements(rings: Sequence[Ring], around: Surroundings, rules: PassRules) -> list[Placement]:
    """Choose the placement lines, in sewing order.

    Args:
        rings: All closed lines of the design.
        around: The rest of the design.
        rules: For the gap that needs no evidence.
    """
    chosen: list[Placement] = []
    following = find_followers(rings, around.runs)
    echoes = _echoes(rings, following)
    for ring, followers in zip(rings, following, strict=True):
        own = belonging(followers, ring, around, echoes[ring.block])
        owner = _owner(ring, own, chosen, around.runs)
        if owner is None:
            at_once = covering_at_once(followers, ring, around.runs)
            _consider(ring, own, at_once, around, rules, chosen)
        elif chosen[owner].ring.block == ring.block:
            chosen[owner] = _merged(chosen[owner], ring)
    return _each_to_its_nearest(chosen)


def _echoes(rings: Sequence[Ring], following: Sequence[Sequence[Follower]]) -> dict[int, set[int]]:
    """For each block the runs that keep their distance from several of its lines: no second passes."""
    beside: Counter[tuple[int, int]] = Counter()
    on: set[tuple[int, int]] = set()
    for ring, followers in zip(rings, following, strict=True):
        for follower in followers:
            if follower.at_home > ECHO_SHARE:
                beside[ring.block, follower.run] += 1
                on |= {(ring.block, follower.run)} if follower.away_mm < ECHO_MM else set()
    echoes: dict[int, set[int]] = {ring.block: set() for ring in rings}
    for block, run in {key for key, lines in beside.items() if lines > 1} - on:
        echoes[block].add(run)
    return echoes


def _consider(
    ring: Ring,
    followers: Sequence[Follower],
    at_once: Sequence[Follower],
    around: Surroundings,
    rules: PassRules,
    chosen: list[Placement],
) -> None:
    ring = rebridged(ring, followers, around.runs)
    region = region_of(ring.points)
    if region is None:
        return
    evidence = weigh(ring, region, followers, at_once, around)
    sure = confidence(evidence, rules.close_gap)
    if sure >= REPORTED:
        chosen.append(
            Placement(
                ring=ring, region=region, followers=tuple(followers), evidence=evidence, confidence=sure
            )
        )


def region_of(points: FloatArray) -> Region | None:
    """What a ring encloses: all of it, or the largest part of one that crosses itself."""
    if geo.ring_is_simple(points):
        return Region(exterior=points)
    return geo.largest(geo.regions_of([points]))


def _owner(
    ring: Ring, followers: Sequence[Follower], chosen: Sequence[Placement], runs: Sequence[Run]
) -> int | None:
    """Index of the chosen line that this ring only sews again, if there is one."""
    same = _same_block(ring, chosen)
    if same is not None:
        return same
    for index, other in enumerate(chosen):
        if (
            any(follower.run in ring.runs for follower in other.followers)
            and other.confidence >= CLAIMING
            and lies_along(ring, other.ring, NEAR_MM) >= SAME_LINE
            and not _is_layer(ring, followers, other, runs)
        ):
            return index
    return None


def lies_along(ring: Ring, other: Ring, within_mm: float) -> float:
    """Share of a ring that lies within a distance of another, 0 to 1."""
    if not _boxes_meet(ring.points, other.points, within_mm):
        return 0.0
    mine, theirs = _samples(ring), _samples(other)
    away, _ = nearest(mine, theirs)
    return float((away <= within_mm + 0.1).mean())


def _samples(ring: Ring) -> FloatArray:
    closed = np.vstack([ring.points, ring.points[:1]])
    return samples_of([closed], np.array([max(0.5, ring.length_mm / 1000)])).places


def _boxes_meet(one: FloatArray, other: FloatArray, slack: float) -> bool:
    return bool(
        (one.min(axis=0) <= other.max(axis=0) + slack).all()
        and (other.min(axis=0) <= one.max(axis=0) + slack).all()
    )


def _is_layer(ring: Ring, followers: Sequence[Follower], below: Placement, runs: Sequence[Run]) -> bool:
    """Whether a ring beside an earlier one that is already held has nearer passes of its own."""
    distance = max((f.away_mm for f in below.followers if f.run in ring.runs), default=0.0)
    held = any(runs[f.run].block < ring.block for f in below.followers)
    near = any(f.away_mm < distance / 2 and f.coverage > SAME_LINE for f in followers)
    return distance >= LAYER_MM and held and near


def _merged(one: Placement, again: Ring) -> Placement:
    """A line that its block draws twice."""
    runs = tuple(sorted({*one.ring.runs, *again.runs}))
    return replace(one, ring=replace(one.ring, runs=runs, lapped=1.0))


def _each_to_its_nearest(chosen: list[Placement]) -> list[Placement]:
    """Of lines close beside each other only the nearest keeps a pass that follows several."""
    nearest: dict[int, list[Follower]] = {}
    for placement in chosen:
        for follower in placement.followers:
            nearest.setdefault(follower.run, []).append(follower)
    kept = []
    for placement in chosen:
        own = tuple(f for f in placement.followers if not _nearer_elsewhere(f, nearest[f.run]))
        kept.append(replace(placement, followers=own))
    return kept


def _nearer_elsewhere(follower: Follower, all_of_run: Sequence[Follower]) -> bool:
    """Whether nearly all of a run lies along another line too, and much nearer."""
    return any(
        other.at_home > SAME_LINE and follower.at_home > SAME_LINE and other.away_mm < follower.away_mm - 0.8
        for other in all_of_run
    )


def placements_by_hand(
    rings: Sequence[Ring], around: Surroundings, rules: PassRules, rule: BlocksByHand
) -> list[Placement]:
    """What the rules name, however unlikely; what is found less the ignored blocks if they name nothing."""
    named = {*rule.placement, *rule.base}
    if not named:
        kept = [ring for ring in rings if ring.block not in rule.ignore]
        return find_placements(kept, around, rules)
    chosen: list[Placement] = []
    for ring, followers in zip(rings, find_followers(rings, around.runs), strict=True):
        if ring.block not in named or ring.block in rule.ignore:
            continue
        own = belonging(followers, ring, around, set())
        ring = rebridged(ring, own, around.runs)  # noqa: PLW2901 - the same line, closed better
        region = region_of(ring.points)
        if region is None:
            continue
        again = _same_block(ring, chosen)
        if again is not None:
            chosen[again] = _merged(chosen[again], ring)
            continue
        evidence = weigh(ring, region, own, (), around)
        evidence = replace(evidence, by_hand=True, hint=Hint.BASE if ring.block in rule.base else None)
        chosen.append(
            Placement(ring=ring, region=region, followers=tuple(own), evidence=evidence, confidence=1.0)
        )
    return _each_to_its_nearest(chosen)


def _same_block(ring: Ring, chosen: Sequence[Placement]) -> int | None:
    for index, other in enumerate(chosen):
        if other.ring.block == ring.block and lies_along(ring, other.ring, SAME_PLACE_MM) >= SAME_LINE:
            return index
    return None
