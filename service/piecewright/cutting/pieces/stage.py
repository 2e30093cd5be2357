"""The stage as a list of its steps."""

from __future__ import annotations

from dataclasses import replace
from string import ascii_uppercase
from typing import TYPE_CHECKING

from piecewright.cutting.passes import Pass, Role
from piecewright.cutting.pieces.by_hand import by_hand_for, role_by_hand
from piecewright.cutting.pieces.cells import find_fields
from piecewright.cutting.pieces.confidence import sentences, signs
from piecewright.cutting.pieces.doubts import divided, doubts_of, empty_by_hand, not_closed, nothing_found
from piecewright.cutting.pieces.nesting import group, region_with_holes
from piecewright.cutting.pieces.openlines import followed_open_lines
from piecewright.cutting.pieces.placements import REPORTED, find_placements, placements_by_hand
from piecewright.cutting.pieces.rings import find_lines, rings_by_hand
from piecewright.cutting.pieces.roles import Given, likeliest, other_role, roles_of_group
from piecewright.cutting.pieces.sharing import share_lines
from piecewright.cutting.pieces.surroundings import look_around
from piecewright.cutting.pieces.values import Piece, Understanding
from piecewright.cutting.pieces.zigzags import zigzag_rings

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.design import Design
    from piecewright.cutting.passes import Run
    from piecewright.cutting.pieces.nesting import Group
    from piecewright.cutting.pieces.surroundings import Surroundings
    from piecewright.cutting.rules import BlocksByHand, PassRules


def find_pieces(
    design: Design, runs: Sequence[Run], rules: PassRules, *, least: float = REPORTED, prefix: str = ""
) -> Understanding:
    """Give every run its role and find the pieces.

    Args:
        design: For thread evidence and the file name that ``by_hand`` patterns look at.
        runs: Of the whole design, in sewing order.
        rules: Threshold, gaps, block numbers by hand.
        least: Less likely lines are not reported.
        prefix: What the names of its pieces begin with: the design's number in an order of several.
    """
    lines = find_lines(runs, rules.close_gap)
    rule = by_hand_for(design.name, rules)
    drawn = sorted((*lines.rings, *zigzag_rings(runs, lines.rings)), key=lambda ring: ring.runs[0])
    shared = share_lines(drawn, find_fields(lines), runs, rule.divided if rule else ())
    rings = shared.rings
    if rule is not None:
        lacking = {*rule.placement, *rule.base} - {ring.block for ring in rings}
        rings = (*rings, *rings_by_hand(runs, lacking))
    around = look_around(design, runs, rings)
    if rule is not None:
        placements = placements_by_hand(rings, around, rules, rule)
    else:
        placements = find_placements(rings, around, rules, least)
    groups = group(placements, around)
    names = [prefix + letter(number) for number in range(len(groups))]
    roles = _roles(groups, names, around, rule)
    passes = _passes(runs, roles)
    pieces = tuple(_piece(name, one, passes, rules) for name, one in zip(names, groups, strict=True))
    findings = [
        finding
        for piece, one in zip(pieces, groups, strict=True)
        for finding in doubts_of(piece, one, pieces, passes, design.name, rules)
    ]
    taken = {run for one in groups for line in one.lines for run in line.ring.runs}
    open_lines = () if rule is not None else followed_open_lines(lines, runs, taken)
    findings += [not_closed(line, pieces, passes, design.name) for line in open_lines]
    findings += divided(shared.open_question, pieces, groups, passes, design.name)
    if rule is not None:
        findings += empty_by_hand(rule, {one.outer.ring.block for one in groups})
    if not pieces and not open_lines:
        findings.append(nothing_found(design.name, len(design.blocks)))
    return Understanding(passes=passes, pieces=pieces, findings=tuple(findings))


def letter(number: int) -> str:
    """Letter of a piece by its number from 0: A to Z, then AA, AB and so on."""
    before, last = divmod(number, len(ascii_uppercase))
    return (letter(before - 1) if before else "") + ascii_uppercase[last]


def _roles(
    groups: Sequence[Group], names: Sequence[str], around: Surroundings, rule: BlocksByHand | None
) -> list[Given]:
    """The likeliest role of every run; placement before all else, then the surest."""
    found: dict[int, Given] = {}
    for name, one in zip(names, groups, strict=True):
        for run, given in roles_of_group(one, name, around):
            named = None if given.role is Role.PLACEMENT else role_by_hand(around.runs[run].block, rule)
            given = replace(given, role=named or given.role)  # noqa: PLW2901 - the rules have the last word
            found[run] = _both(found[run], given) if run in found else given
    return [
        likeliest(found[i], i, around) if i in found else other_role(i, around)
        for i in range(len(around.runs))
    ]


def _both(one: Given, other: Given) -> Given:
    """What a run is for that belongs to several pieces."""
    if (one.role is Role.PLACEMENT) != (other.role is Role.PLACEMENT):
        return one if one.role is Role.PLACEMENT else other
    pieces = tuple(dict.fromkeys((*one.pieces, *other.pieces)))
    stronger = one if one.confidence >= other.confidence else other
    return replace(stronger, pieces=pieces, evidence=tuple(dict.fromkeys((*one.evidence, *other.evidence))))


def _passes(runs: Sequence[Run], roles: Sequence[Given]) -> tuple[Pass, ...]:
    """Neighbouring runs of a block with the same role, stitch and pieces are one pass."""
    passes: list[Pass] = []
    for run, given in zip(runs, roles, strict=True):
        last = passes[-1] if passes else None
        same = (run.block, given.role, run.stitch, given.pieces, given.in_doubt)
        if last is not None and (last.block, last.role, last.stitch, last.pieces, last.in_doubt) == same:
            passes[-1] = replace(last, runs=(*last.runs, run))
            continue
        passes.append(
            Pass(
                number=len(passes) + 1,
                block=run.block,
                runs=(run,),
                role=given.role,
                stitch=run.stitch,
                confidence=given.confidence,
                evidence=given.evidence,
                pieces=given.pieces,
                in_doubt=given.in_doubt,
            )
        )
    return tuple(passes)


def _piece(name: str, one: Group, passes: Sequence[Pass], rules: PassRules) -> Piece:
    own = [each for each in passes if name in each.pieces]
    weighed = signs(one.outer.evidence, rules.close_gap)
    return Piece(
        id=name,
        kind=one.kind,
        line=region_with_holes(one),
        placement=_numbers(own, Role.PLACEMENT),
        tack_down=_numbers(own, Role.TACK_DOWN),
        cover=_numbers(own, Role.COVER),
        confidence=one.outer.confidence,
        evidence=sentences(one.outer.evidence),
        cut=one.kind in rules.cut and one.outer.confidence >= rules.confidence,
        signs=tuple((name, seen) for name, seen in weighed.items() if seen),
    )


def _numbers(passes: Sequence[Pass], role: Role) -> tuple[int, ...]:
    return tuple(each.number for each in passes if (each.in_doubt or each.role) is role)
