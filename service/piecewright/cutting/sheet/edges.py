"""How the raw edges lie between tack-down and cover, in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from piecewright.cutting.plaintext import listing, per_cent
from piecewright.cutting.units import format_length

if TYPE_CHECKING:
    from piecewright.cutting.report import EdgeEntry, PieceEntry, Report
    from piecewright.cutting.rules import JobRules
    from piecewright.cutting.units import Show


EDGE_FINDINGS: Final = frozenset({"edge-shows", "edge-close", "reach-short", "fit-compromise", "no-cover"})
"""Findings that doubt how an edge lies; what is measured without one of them is good."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Edge:
    """One piece: where it is cut, what lies over and under its edge, and whether that is a doubt."""

    piece: str
    offset: str
    cover: str
    reach: str
    verdict: str


def rows(report: Report, rules: JobRules) -> list[Edge]:
    """One row for each appliqué piece that is cut; base layers have no edge to hide."""
    return [
        _edge(piece, piece.edge, report, rules)
        for piece in report.pieces
        if piece.cut is not None and piece.edge and piece.kind == "applique"
    ]


def _edge(piece: PieceEntry, edge: EdgeEntry, report: Report, rules: JobRules) -> Edge:
    show = rules.show
    return Edge(
        piece=piece.id,
        offset=_offset(piece.offset_mm or 0.0, show),
        cover=_cover(edge, show),
        reach=_beyond(
            edge.least_reach_mm, show, missing="no tack-down along the edge", short="falls short by"
        ),
        verdict=_verdict(piece, report, raw=edge.least_cover_mm is None and rules.product.passes.raw_edge),
    )


def _verdict(piece: PieceEntry, report: Report, *, raw: bool) -> str:
    """The points of the sheet that concern the edge, or that there are none."""
    points = [
        str(number)
        for number, finding in enumerate(report.findings, 1)
        if piece.id in (finding.piece, *finding.twins) and finding.code in EDGE_FINDINGS
    ]
    if points:
        return f"see point {listing(points)} at the top"
    return "raw, as it should be" if raw else "good"


def _offset(offset_mm: float, show: Show) -> str:
    if offset_mm < 0:
        return f"{format_length(-offset_mm, show)} inside it"
    return format_length(offset_mm, show)


def _cover(edge: EdgeEntry, show: Show) -> str:
    parts = [_beyond(edge.median_cover_mm, show, missing="no cover", short="sticks out by")]
    if edge.least_cover_mm is not None:
        parts.append("at the least " + _beyond(edge.least_cover_mm, show, missing="", short="sticks out by"))
    if edge.uncovered_share:
        parts.append(f"{per_cent(edge.uncovered_share)} has no cover")
    if edge.hidden_share:
        parts.append(f"{per_cent(edge.hidden_share)} lies under another piece")
    return "; ".join(parts)


def _beyond(distance_mm: float | None, show: Show, *, missing: str, short: str) -> str:
    if distance_mm is None:
        return missing
    said = format_length(abs(distance_mm), show, finer=1)
    return f"{short} {said}" if distance_mm < 0 and not said.startswith("0 ") else said
