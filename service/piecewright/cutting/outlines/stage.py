"""The stage as a list of its steps."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from piecewright.cutting import geometry as geo
from piecewright.cutting.findings import Finding
from piecewright.cutting.geometry import CurvedRegion, frozen
from piecewright.cutting.outlines.cubics import fit_curve
from piecewright.cutting.outlines.values import CutOutline, EdgeCheck, Outlines

if TYPE_CHECKING:
    from piecewright.cutting.geometry import Region
    from piecewright.cutting.pieces import Piece, Understanding
    from piecewright.cutting.rules import OutlineRules


def cut_outlines(understanding: Understanding, rules: OutlineRules) -> Outlines:
    """Outline every piece that is to be cut.

    Args:
        understanding: The pieces with their lines, and the passes that hold and cover them.
        rules: Offset, corners and limits.
    """
    outlines: list[CutOutline] = []
    findings: list[Finding] = []
    for piece in understanding.pieces:
        if piece.cut:
            _outline(piece, rules, outlines, findings)
    return Outlines(outlines=tuple(outlines), findings=tuple(findings))


def _outline(piece: Piece, rules: OutlineRules, outlines: list[CutOutline], findings: list[Finding]) -> None:
    """Outline one piece, or say that it vanishes."""
    offset = rules.base_offset if piece.kind == "base" else rules.offset
    offset_mm = 1.5 if offset == "fit" else offset
    cut = geo.largest(geo.grow(piece.line, offset_mm))
    if cut is None:
        findings.append(_vanished(piece, offset_mm))
        return
    outlines.append(
        CutOutline(
            piece=piece,
            line=_curve(piece.line),
            curve=_curve(cut),
            offset_mm=offset_mm,
            area_mm2=geo.area(cut),
            corners=frozen(np.zeros((0, 2))),
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


def _curve(region: Region) -> CurvedRegion:
    """A region as cubics."""
    return CurvedRegion(exterior=fit_curve(region.exterior), holes=tuple(map(fit_curve, region.holes)))


def _vanished(piece: Piece, offset_mm: float) -> Finding:
    """The finding for a piece of which nothing is left."""
    return Finding(
        code="piece-vanishes",
        message=f"Nothing is left of piece {piece.id} with an offset of {offset_mm:g} mm.",
        advice="Set a larger offset for this product, or leave the piece out by block number.",
        piece=piece.id,
    )
