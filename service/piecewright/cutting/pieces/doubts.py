"""Findings about pieces: what was uncertain, mended or missing, and what to do about it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from piecewright.cutting.findings import Finding
from piecewright.cutting.passes import Role
from piecewright.cutting.pieces.by_hand import lines_for_pieces, lines_for_rules
from piecewright.cutting.pieces.confidence import blocks_named
from piecewright.cutting.plaintext import plain

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from piecewright.cutting.passes import Pass
    from piecewright.cutting.pieces.cells import Field
    from piecewright.cutting.pieces.nesting import Group
    from piecewright.cutting.pieces.openlines import OpenLine
    from piecewright.cutting.pieces.values import Piece
    from piecewright.cutting.rules import BlocksByHand, PassRules

ALONE: Final = 0.5
"""With less of its block's thread a placement line is a minor part of the block."""


def doubts_of(
    piece: Piece, group: Group, pieces: Sequence[Piece], passes: Sequence[Pass], name: str, rules: PassRules
) -> Iterator[Finding]:
    """Everything about one piece that the operator should see.

    Args:
        piece: The piece.
        group: The lines that draw it.
        pieces: All of the design.
        passes: The same.
        name: Of the design.
        rules: For the threshold, gaps and what is meant.
    """
    if not piece.cut and piece.kind in rules.cut:
        meant = [one for one in pieces if one.cut or one is piece]
        yield _unsure(piece, group, lines_for_pieces(name, meant, passes), rules)
    yield from _gaps(piece, group, rules)
    if piece.cut:
        yield from _missing(piece, group, passes, rules)


def _unsure(piece: Piece, group: Group, pasted: str, rules: PassRules) -> Finding:
    return Finding(
        code="unsure-piece",
        says="The closed line in block {block} may be a placement line ({sure_share} sure, {needed_share} "
        "needed), so {piece} was not cut.",
        values={
            "block": group.outer.ring.block,
            "sure_share": piece.confidence,
            "needed_share": rules.confidence,
        },
        advice=f"If it is one, put these lines into the rules of the product:\n{pasted}",
        piece=piece.id,
        place=_start(group),
    )


def _start(group: Group) -> tuple[float, float]:
    x, y = group.outer.ring.points[0].tolist()
    return (x, y)


def _gaps(piece: Piece, group: Group, rules: PassRules) -> Iterator[Finding]:
    for line in group.lines:
        for gap in line.ring.gaps:
            wide = " although it is wider than the rules allow" if gap.width_mm > rules.close_gap else ""
            how = ", under a later piece" if gap.hidden else wide
            yield Finding(
                code="gap-closed",
                says="The placement line of {piece} is not sewn for {gap_mm:.1f}; "
                f"the gap was closed{how}.",
                values={"gap_mm": gap.width_mm},
                advice="Look at the outline there before cutting; if it is wrong, close the line.",
                piece=piece.id,
                place=gap.place,
            )


def _missing(piece: Piece, group: Group, passes: Sequence[Pass], rules: PassRules) -> Iterator[Finding]:
    block = group.outer.ring.block
    if not piece.tack_down and piece.cover:
        yield Finding(
            code="no-tack-down",
            says="Nothing holds {piece} before its cover is sewn.",
            advice="Fix the piece with spray or fusible web, or add a tack-down to the design.",
            piece=piece.id,
        )
    if not piece.cover and piece.kind == "applique" and not rules.raw_edge:
        yield Finding(
            code="no-cover",
            says="No cover is sewn over the raw edge of {piece}.",
            advice="Set raw_edge under passes if its edge is meant to stay raw, and the offset that such an "
            "edge should have; else look in the picture for a cover that was not understood.",
            piece=piece.id,
        )
    shared = [p for p in passes if p.block == block and p.role in {Role.COVER, Role.FILL, Role.TACK_DOWN}]
    if shared and group.outer.evidence.alone < ALONE:
        yield Finding(
            code="placement-shares-block",
            says="The placement line of {piece} is sewn in block {block} together with other stitching, so "
            "the machine does not halt right before or after it.",
            values={"block": block},
            advice="Watch the machine at this block, or split the block in the design.",
            piece=piece.id,
        )


def divided(
    fields: Sequence[Field],
    pieces: Sequence[Piece],
    groups: Sequence[Group],
    passes: Sequence[Pass],
    name: str,
) -> Iterator[Finding]:
    """Pieces that lines of their own block divide, and later passes go along those lines.

    Args:
        fields: Whose cells were not taken for pieces of their own.
        pieces: All of the design.
        groups: The lines that draw each.
        passes: Of the design.
        name: Of the design.
    """
    for field in fields:
        for piece, group in zip(pieces, groups, strict=True):
            ring = group.outer.ring
            if piece.cut and ring.block == field.rim.block and set(ring.runs) & set(field.rim.runs):
                pasted = lines_for_pieces(name, [one for one in pieces if one.cut], passes, {ring.block})
                x, y = field.dividers[0][len(field.dividers[0]) // 2].tolist()
                yield Finding(
                    code="divided-piece",
                    says="Lines of block {block} divide {piece} into {parts} parts and are sewn over later, "
                    "but no part is held by itself; it was cut in one.",
                    values={"block": ring.block, "parts": len(field.cells)},
                    advice="If each part is a piece of its own, put these lines into the rules of the "
                    f"product:\n{pasted}",
                    piece=piece.id,
                    place=(x, y),
                )


def not_closed(line: OpenLine, pieces: Sequence[Piece], passes: Sequence[Pass], name: str) -> Finding:
    """An open line that is held and covered like a piece.

    Args:
        line: The line.
        pieces: All of the design.
        passes: Of the design.
        name: Of the design.
    """
    meant = [one for one in pieces if one.cut]
    pasted = lines_for_pieces(name, meant, passes, also=(line.block,))
    return Finding(
        code="open-line",
        says="An open line in block {block} is sewn again in {again} after a halt, as placement lines are, "
        "but it does not close; no piece was cut from it.",
        advice="If it places fabric, draw its missing side in the design; or, to have it closed straight, "
        f"put these lines into the rules of the product:\n{pasted}",
        values={"block": line.block, "again": blocks_named(line.again)},
        place=line.place,
    )


def nothing_found(name: str, blocks: int) -> Finding:
    """The finding for a design without pieces, which may be plain embroidery.

    Args:
        name: Of the design.
        blocks: How many it has; with one the machine never halts.
    """
    if blocks == 1:
        return Finding(
            code="no-halt",
            says="{design} has one block: the machine never halts, so no fabric can be laid.",
            values={"design": plain(name)},
            advice="If it is plain embroidery, all is well. If it is appliqué, export the design again with "
            "its colour changes or stops.",
        )
    return Finding(
        code="no-piece",
        says="No placement line was found in {design}.",
        values={"design": plain(name)},
        advice="If it is plain embroidery, all is well. If it is appliqué, ask the inspect command for the "
        "numbers of its blocks, fill them in and put these lines into the rules of the product:\n"
        f"{lines_for_rules(name)}",
    )


def empty_by_hand(rule: BlocksByHand, found: set[int]) -> Iterator[Finding]:
    """Blocks named in the rules in which no closed line was found."""
    for block in sorted({*rule.placement, *rule.base} - found):
        yield Finding(
            code="no-line-in-block",
            says="The rules name block {block} as placing a piece, but no closed line was found in it.",
            values={"block": block},
            advice="Check the block number with the inspect command, or close the line in the design.",
        )
