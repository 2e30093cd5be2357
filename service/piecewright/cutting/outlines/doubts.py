"""Findings of the stage as a whole: lines round nothing, notches, stretch factors; twins told once.

What no blade can do is in blade.py, how the edge lies in edge.py, what no offset reaches in fit.py.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from piecewright.cutting.findings import Finding

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from piecewright.cutting.outlines.values import Twin
    from piecewright.cutting.rules import OutlineRules


def told_once(findings: Sequence[Finding], twins: Mapping[str, Twin]) -> list[Finding]:
    """Findings without those of twins whose leader has the same, which then holds for them too."""
    leaders = {(finding.piece, finding.code) for finding in findings if finding.piece not in twins}
    told: list[Finding] = []
    also: dict[tuple[str | None, str], list[str]] = {}
    for finding in findings:
        twin = twins.get(finding.piece or "")
        if twin is not None and (twin.of, finding.code) in leaders:
            also.setdefault((twin.of, finding.code), []).append(finding.piece or "")
        else:
            told.append(finding)
    return [replace(one, twins=tuple(dict.fromkeys(also.get((one.piece, one.code), ())))) for one in told]


def notch_findings(piece: str, reach_mm: float | None, rules: OutlineRules) -> list[Finding]:
    """Notches that reach the tack-down."""
    if rules.notches == 0 or reach_mm is None or rules.notches < reach_mm:
        return []
    return [
        Finding(
            code="notch-deep",
            says="Notches of {depth_mm:g} reach the tack-down of {piece}.",
            values={"depth_mm": rules.notches},
            advice="Set less depth under notches, or a larger offset.",
            piece=piece,
        )
    ]


def no_region(piece: str) -> Finding:
    """A line that goes round nothing."""
    return Finding(
        code="piece-vanishes",
        says="The placement line of {piece} goes round no fabric.",
        advice="Look at the line in the design; name its block under ignore in the rules if it is none.",
        piece=piece,
    )


def stretch_findings(rules: OutlineRules) -> list[Finding]:
    """Say that nothing is cut in the design's own size, if it is not."""
    along, across = rules.stretch_along_grain, rules.stretch_across_grain
    if along == across == 1.0:
        return []
    return [
        Finding(
            code="rescaled",
            says="Every piece is cut {along:+.1%} along and {across:+.1%} across the grain of the fabric, "
            "which runs up and down the design.",
            values={"along": along - 1, "across": across - 1},
            advice="Lay the pieces with the grain; set both stretch factors to 1 for fabric without give.",
        )
    ]
