"""Choosing the placement lines among all closed lines.

Terms: see claims.py and company.py.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from piecewright.cutting import geometry as geo
from piecewright.cutting.geometry import Region
from piecewright.cutting.pieces.bridging import rebridged
from piecewright.cutting.pieces.claims import Chosen, Placement, each_to_its_nearest
from piecewright.cutting.pieces.company import meet
from piecewright.cutting.pieces.confidence import confidence
from piecewright.cutting.pieces.evidence import weigh
from piecewright.cutting.pieces.following import find_followers
from piecewright.cutting.pieces.nesting import lies_in
from piecewright.cutting.pieces.surroundings import may_meander
from piecewright.cutting.pieces.words import Hint

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.geometry import FloatArray
    from piecewright.cutting.pieces.company import Company
    from piecewright.cutting.pieces.following import Follower
    from piecewright.cutting.pieces.rings import Ring
    from piecewright.cutting.pieces.surroundings import Surroundings
    from piecewright.cutting.rules import BlocksByHand, PassRules

REPORTED: Final = 0.1
"""Less likely lines are not worth the operator's time."""


def find_placements(
    rings: Sequence[Ring], around: Surroundings, rules: PassRules, least: float = REPORTED
) -> list[Placement]:
    """Choose the placement lines, in sewing order.

    Args:
        rings: All closed lines of the design.
        around: The rest of the design.
        rules: For the gap that needs no evidence.
        least: Less likely lines are left out.
    """
    chosen = Chosen()
    company = meet(rings, find_followers(rings, around.runs), around)
    for index, ring in enumerate(rings):
        if chosen.merges(ring) or _hopeless(ring, company.own[index], around):
            continue
        explained = chosen.explained(ring.block, around.runs)
        tacks = company.inside_earlier(index, explained)
        if chosen.claims(ring, company.own[index], around.runs, tacks):
            continue
        found = _judged(index, company, explained, rules)
        if found is not None and found.confidence >= least:
            chosen.add(found)
    return each_to_its_nearest(chosen.lines)


def _hopeless(ring: Ring, followers: Sequence[Follower], around: Surroundings) -> bool:
    """Whether nothing at all speaks for a ring, which is so for most closed lines of most designs."""
    return not (followers or around.hints.get(ring.block) or may_meander(ring.block, ring.box, around).any())


def _judged(index: int, company: Company, explained: set[int], rules: PassRules) -> Placement | None:
    """The ring with its gaps closed and its evidence weighed; None if it encloses nothing."""
    followers = company.own[index]
    ring = rebridged(company.rings[index], followers, company.around.runs)
    region = region_of(ring.points)
    if region is None:
        return None
    evidence = weigh(index, ring, region, company, explained)
    return Placement(
        ring=ring,
        region=region,
        followers=tuple(followers),
        evidence=evidence,
        confidence=confidence(evidence, rules.close_gap),
    )


def region_of(points: FloatArray) -> Region | None:
    """What a ring (n, 2) encloses: all of it, or the largest part of one that crosses itself."""
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
    company = meet(rings, find_followers(rings, around.runs), around)
    for index, ring in enumerate(rings):
        if ring.block in named and not chosen.merges(ring):
            found = _judged(index, company, set(), rules)
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
