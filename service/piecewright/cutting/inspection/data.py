"""The inspection for programs: plain values, lengths in mm."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from piecewright.cutting.geometry import area, bounds
from piecewright.cutting.inspection.rows import table

if TYPE_CHECKING:
    from piecewright.cutting.design import Design
    from piecewright.cutting.findings import Finding
    from piecewright.cutting.pieces import Piece, Understanding


def rows_as_data(design: Design, understanding: Understanding) -> list[dict[str, Any]]:
    """Everything as one list; ``is`` says what an entry is: ``block``, ``piece`` or ``finding``."""
    findings = (*design.findings, *understanding.findings)
    return [
        *({"is": "block", **_rounded(asdict(row))} for row in table(design, understanding)),
        *({"is": "piece", **_rounded(_piece(piece))} for piece in understanding.pieces),
        *({"is": "finding", **_rounded(_finding(finding))} for finding in findings),
    ]


def _piece(piece: Piece) -> dict[str, Any]:
    x0, y0, x1, y1 = bounds(piece.line)
    told = {name: getattr(piece, name) for name in ("id", "kind", "placement", "tack_down", "cover", "cut")}
    size = {"width_mm": x1 - x0, "height_mm": y1 - y0, "area_mm2": area(piece.line)}
    return {**told, **size, "confidence": piece.confidence, "evidence": piece.evidence}


def _finding(finding: Finding) -> dict[str, Any]:
    told = ("code", "message", "advice", "piece", "place", "says", "values")
    return {name: getattr(finding, name) for name in told}


def _rounded(data: dict[str, Any]) -> dict[str, Any]:
    """Numbers as far as they mean something, tuples as the lists that JSON knows."""

    def plain(value: object) -> object:
        if isinstance(value, float):
            return round(value, 3)
        if isinstance(value, dict):
            return _rounded(value)
        return [plain(item) for item in value] if isinstance(value, tuple) else value

    return {key: plain(value) for key, value in data.items()}
