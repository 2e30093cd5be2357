"""The stage as a list of its steps."""

from __future__ import annotations

from typing import TYPE_CHECKING

from piecewright.cutting import geometry as geo
from piecewright.cutting.findings import Finding
from piecewright.cutting.outlines.line import curve_of, line_of
from piecewright.cutting.outlines.offset import offset_region
from piecewright.cutting.outlines.values import CutOutline, EdgeCheck, Outlines

if TYPE_CHECKING:
    from piecewright.cutting.outlines.line import Line
    from piecewright.cutting.pieces import Piece, Understanding
    from piecewright.cutting.rules import OutlineRules


def cut_outlines(understanding: Understanding, rules: OutlineRules) -> Outlines:
    """Outline every piece that is to be cut.

    Args:
        understanding: The pieces with their lines, and the passes that hold and cover them.
        rules: Offset, corners and limits.
    """
    lines = [line_of(piece) for piece in understanding.pieces if piece.cut]
    outlines: list[CutOutline] = []
    findings: list[Finding] = []
    for line in lines:
        _outline(line, rules, outlines, findings)
    return Outlines(outlines=tuple(outlines), findings=tuple(findings))


def _outline(line: Line, rules: OutlineRules, outlines: list[CutOutline], findings: list[Finding]) -> None:
    """Outline one piece, or say that it vanishes."""
    offset = rules.base_offset if line.piece.kind == "base" else rules.offset
    offset_mm = 1.5 if offset == "fit" else offset
    parts = offset_region(line, offset_mm, rules)
    if not parts:
        findings.append(_vanished(line.piece, offset_mm))
        return
    curve = curve_of(parts[0])
    outlines.append(
        CutOutline(
            piece=line.piece,
            line=line.curve(),
            curve=curve,
            offset_mm=offset_mm,
            area_mm2=geo.area(curve),
            corners=line.corners.tips,
            edge=EdgeCheck(
                least_cover_mm=None,
                median_cover_mm=None,
                uncovered_share=None,
                least_reach_mm=None,
                hidden_share=0.0,
                worst_place=None,
            ),
            twin=None,
        )
    )


def _vanished(piece: Piece, offset_mm: float) -> Finding:
    """The finding for a piece of which nothing is left."""
    return Finding(
        code="piece-vanishes",
        message=f"Nothing is left of piece {piece.id} with an offset of {offset_mm:g} mm.",
        advice="Set a larger offset for this product, or leave the piece out by block number.",
        piece=piece.id,
    )
