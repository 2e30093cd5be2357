"""Choosing the placement lines among all closed lines.

Terms: an *echo* keeps the same distance from several lines of a block, as quilting round a shape does; a
real second pass lies on one of them.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from piecewright.cutting import geometry as geo
from piecewright.cutting.geometry import Region
from piecewright.cutting.pieces.bridging import rebridged
from piecewright.cutting.pieces.claims import Chosen, Placement, each_to_its_nearest
from piecewright.cutting.pieces.confidence import confidence
from piecewright.cutting.pieces.evidence import belonging, covering_before, weigh
from piecewright.cutting.pieces.following import find_followers
from piecewright.cutting.pieces.nesting import lies_in
from piecewright.cutting.pieces.surroundings import may_meander
from piecewright.cutting.pieces.words import Hint

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.geometry import FloatArray
    from piecewright.cutting.pieces.following import Follower
    from piecewright.cutting.pieces.rings import Ring
    from piecewright.cutting.pieces.surroundings import Surroundings
    from piecewright.cutting.rules import BlocksByHand, PassRules

REPORTED: Final = 0.3
"""Less likely lines are not worth the operator's time."""

ECHO_MM: Final = 1.2
"""Tack-downs and covers lie nearer to their line than echoes lie to the next."""

ECHO_SHARE: Final = 0.5


def find_placements(rings: Sequence[Ring], around: Surroundings, rules: PassRules) -> list[Placement]:
    """Choose the placement lines, in sewing order.

    Args:
        rings: All closed lines of the design.
        around: The rest of the design.
        rules: For the gap that needs no evidence.
    """
    chosen = Chosen()
    following = find_followers(rings, around.runs)
    echoes = _echoes(rings, following, around)
    siblings = _by_block(rings)
    for ring, followers in zip(rings, following, strict=True):
        own = belonging(followers, ring, around, echoes[ring.block])
        if chosen.merges(ring) or chosen.claims(ring, own, around.runs) or _hopeless(ring, own, around):
            continue
        earlier = covering_before(followers, ring, around.runs)
        found = _judged(ring, own, earlier, siblings[ring.block], around, rules)
        if found is not None and found.confidence >= REPORTED:
            chosen.add(found)
    return each_to_its_nearest(chosen.lines)


def _by_block(rings: Sequence[Ring]) -> dict[int, list[Ring]]:
    found: dict[int, list[Ring]] = {}
    for ring in rings:
        found.setdefault(ring.block, []).append(ring)
    return found


def _echoes(
    rings: Sequence[Ring], following: Sequence[Sequence[Follower]], around: Surroundings
) -> dict[int, set[int]]:
    """For each block the runs that keep their distance from several of its lines: no second passes."""
    beside: Counter[tuple[int, int]] = Counter()
    on: set[tuple[int, int]] = set()
    for ring, followers in zip(rings, following, strict=True):
        for follower in followers:
            if follower.at_home > ECHO_SHARE and around.block[follower.run] > ring.block:
                beside[ring.block, follower.run] += 1
                on |= {(ring.block, follower.run)} if follower.away_mm < ECHO_MM else set()
    echoes: dict[int, set[int]] = {ring.block: set() for ring in rings}
    for block, run in {key for key, lines in beside.items() if lines > 1} - on:
        echoes[block].add(run)
    return echoes


def _hopeless(ring: Ring, followers: Sequence[Follower], around: Surroundings) -> bool:
    """Whether nothing at all speaks for a ring, which is so for most closed lines of most designs."""
    return not (followers or around.hints.get(ring.block) or may_meander(ring.block, ring.box, around).any())


def _judged(
    ring: Ring,
    followers: Sequence[Follower],
    earlier: Sequence[Follower],
    siblings: Sequence[Ring],
    around: Surroundings,
    rules: PassRules,
) -> Placement | None:
    """The ring with its gaps closed and its evidence weighed; None if it encloses nothing."""
    ring = rebridged(ring, followers, around.runs)
    region = region_of(ring.points)
    if region is None:
        return None
    evidence = weigh(ring, region, followers, earlier, siblings, around)
    return Placement(
        ring=ring,
        region=region,
        followers=tuple(followers),
        evidence=evidence,
        confidence=confidence(evidence, rules.close_gap),
    )


def region_of(points: FloatArray) -> Region | None:
    """What a ring encloses: all of it, or the largest part of one that crosses itself."""
    if geo.ring_is_simple(points):
        return Region(exterior=points)
    return geo.largest(geo.regions_of([points]))


def placements_by_hand(
    rings: Sequence[Ring], around: Surroundings, rules: PassRules, rule: BlocksByHand
) -> list[Placement]:
    """What the rules name, however unlikely; what is found less the ignored blocks if they name nothing."""
    named = {*rule.placement, *rule.base} - {*rule.ignore}
    if not (rule.placement or rule.base):
        return find_placements([ring for ring in rings if ring.block not in rule.ignore], around, rules)
    chosen = Chosen()
    for ring, followers in zip(rings, find_followers(rings, around.runs), strict=True):
        if ring.block in named and not chosen.merges(ring):
            found = _judged(ring, belonging(followers, ring, around, set()), (), (), around, rules)
            if found is not None:
                chosen.add(_named(found, rule))
    lines = each_to_its_nearest(chosen.lines)
    return [one for one in lines if _is_meant(one, lines, around, rule)]


def _is_meant(one: Placement, lines: Sequence[Placement], around: Surroundings, rule: BlocksByHand) -> bool:
    """Whether a line of a named block is one of those that the named passes follow.

    A block may draw other things beside its pieces. Lines inside a piece are its holes; and where no line
    of the block is followed, all are meant.
    """
    named = {*rule.tack_down, *rule.cover}
    followed = [each for each in lines if named & {around.runs[f.run].block for f in each.followers}]
    of_block = [each for each in followed if each.ring.block == one.ring.block]
    return not of_block or one in of_block or any(lies_in(one, outer) for outer in of_block)


def _named(placement: Placement, rule: BlocksByHand) -> Placement:
    """The same line, sure because the rules say so."""
    hint = Hint.BASE if placement.ring.block in rule.base else None
    return replace(placement, confidence=1.0, evidence=replace(placement.evidence, by_hand=True, hint=hint))
