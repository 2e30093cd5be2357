"""The stage as a list of its steps: draw lines, find twins, choose offsets, cut, check."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.geometry import (
    CurvedRegion,
    FloatArray,
    Region,
    area,
    bounds,
    flattened,
    intersects,
    scaled,
    transformed,
)
from piecewright.cutting.outlines.blade import blade_findings, closed_holes, falls_apart, vanished
from piecewright.cutting.outlines.cover import Roof, covers_of, roof_over, tack_points
from piecewright.cutting.outlines.doubts import no_region, notch_findings, stretch_findings, told_once
from piecewright.cutting.outlines.edge import (
    check_edge,
    edge_findings,
    hidden_stretches,
    margins_of,
)
from piecewright.cutting.outlines.fit import Limits, fit_findings, fitted_offset, limits_of, tightest
from piecewright.cutting.outlines.line import Line, curve_of, line_of
from piecewright.cutting.outlines.offset import notched, offset_region, top_of
from piecewright.cutting.outlines.twins import find_twins
from piecewright.cutting.outlines.values import CutOutline, EdgeCheck, Outlines, Twin

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from piecewright.cutting.findings import Finding
    from piecewright.cutting.outlines.cover import Covers
    from piecewright.cutting.pieces import Understanding
    from piecewright.cutting.rules import OutlineRules

EDGE_MM: Final = 0.01
"""To how much a cut outline is flattened for the edge check."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Job:
    """A piece to be outlined, with all that its stitches say.

    Attributes:
        line: Its smooth line.
        roof: What lies over it.
        tack: Needle points that must catch it, (n, 2) mm.
        limits: Between which offsets it fits; without limits unless the rules say ``fit``.
    """

    line: Line
    roof: Roof
    tack: FloatArray
    limits: Limits


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Cut:
    """What is cut for a leader and its twins.

    Attributes:
        offset_mm: Offset used.
        sewn: The line that is followed.
        edge: The raw edge that is sewn over.
        curve: What the blade follows: the same but for stretch factors and notches.
    """

    offset_mm: float
    sewn: Region
    edge: CurvedRegion
    curve: CurvedRegion


def cut_outlines(understanding: Understanding, rules: OutlineRules) -> Outlines:
    """Outline every piece that is to be cut.

    Args:
        understanding: The pieces with their lines, and the passes that hold and cover them.
        rules: Offset, corners and limits.

    Returns:
        Outlines in the order of the pieces, and findings about them.
    """
    drawn = {piece.id: line_of(piece) for piece in understanding.pieces if piece.cut}
    covers = covers_of(understanding)
    jobs = [_job(line, understanding, covers, rules) for line in drawn.values() if line]
    twins = find_twins(
        [job.line for job in jobs if not _extends(job, rules)],
        rules.twin_tolerance,
        lambda twin: _grain_allows(twin, rules),
    )
    findings = [no_region(name) for name, line in drawn.items() if line is None]
    findings += stretch_findings(rules) if jobs else []
    cuts: dict[str, _Cut] = {}
    outlines, of_edges = [], []
    for job in jobs:
        name = job.line.piece.id
        twin = twins.get(name)
        if twin is None:
            _cut(job, _offset(name, jobs, twins, rules), rules, cuts, findings)
        elif twin.of in cuts:
            cuts[name] = _moved(cuts[twin.of], twin)
        else:
            findings.append(vanished(name, _offset(twin.of, jobs, twins, rules)[0]))
        if name in cuts:
            raw_edge = flattened(cuts[name].edge, EDGE_MM)
            outlines.append(_outline(job, cuts[name], raw_edge, twin))
            of_edges += _edge_findings(job, raw_edge, outlines[-1].edge, rules)
    return Outlines(outlines=tuple(outlines), findings=(*findings, *told_once(of_edges, twins)))


def _job(line: Line, understanding: Understanding, covers: Covers, rules: OutlineRules) -> _Job:
    """Gather what the stitches say of a piece."""
    roof = roof_over(line.region, line.piece, understanding, covers)
    tack = tack_points(line.region, line.piece, understanding)
    limits = Limits()
    if rules.offset == "fit" and line.piece.kind == "applique":
        limits = limits_of(line.region, roof, tack, rules.fit)
    return _Job(line=line, roof=roof, tack=tack, limits=limits)


def _extends(job: _Job, rules: OutlineRules) -> bool:
    """Whether the fabric reaches farther under a later piece, as a twin's would not."""
    return rules.under_lap > 0 and any(intersects(job.line.region, later) for later in job.roof.later_pieces)


def _grain_allows(twin: Twin, rules: OutlineRules) -> bool:
    """Whether one cut serves both, though fabric is cut longer one way."""
    return rules.stretch_along_grain == rules.stretch_across_grain or twin.turned_deg % 180.0 == 0


def _offset(
    name: str, jobs: Sequence[_Job], twins: Mapping[str, Twin], rules: OutlineRules
) -> tuple[float, Limits]:
    """The offset of a leader, and the limits that it and its twins set."""
    family = [
        job
        for job in jobs
        if job.line.piece.id == name or ((twin := twins.get(job.line.piece.id)) and twin.of == name)
    ]
    if family[0].line.piece.kind == "base":
        return rules.base_offset, Limits()
    if rules.offset != "fit":
        return rules.offset, Limits()
    limits = tightest([job.limits for job in family])
    return fitted_offset(limits, rules.fit), limits


def _cut(
    job: _Job,
    choice: tuple[float, Limits],
    rules: OutlineRules,
    cuts: dict[str, _Cut],
    findings: list[Finding],
) -> None:
    """Cut a leader, or say that it vanishes."""
    name, (offset_mm, limits) = job.line.piece.id, choice
    findings += fit_findings(name, offset_mm, limits)
    parts = offset_region(job.line, offset_mm, rules, job.roof.later_pieces)
    if not parts:
        findings.append(vanished(name, offset_mm))
        return
    findings += falls_apart(name, offset_mm, parts)
    findings += closed_holes(name, offset_mm, job.line.region, parts[0])
    edge = curve_of(parts[0])
    findings += blade_findings(name, edge, rules)
    curve = edge
    if rules.notches > 0:
        curve = curve_of(notched(parts[0], rules.notches, _notch_places(job, edge)))
    cuts[name] = _Cut(offset_mm=offset_mm, sewn=job.line.region, edge=edge, curve=_stretched(curve, rules))


def _notch_places(job: _Job, edge: CurvedRegion) -> FloatArray:
    """The top of a piece, and where a later piece begins or ends to hide its edge."""
    region = flattened(edge, EDGE_MM)
    hidden = hidden_stretches(margins_of(region, job.line.region, job.roof, has_cover=False))
    ends = [stretch[k] for stretch in hidden for k in (0, -1) if not np.array_equal(stretch[0], stretch[-1])]
    return np.vstack([top_of(region), *ends])


def _stretched(curve: CurvedRegion, rules: OutlineRules) -> CurvedRegion:
    """The curve drawn longer and wider by the rules' factors, about its middle."""
    if rules.stretch_across_grain == rules.stretch_along_grain == 1.0:
        return curve
    x0, y0, x1, y1 = bounds(curve)
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    return scaled(curve, rules.stretch_across_grain, rules.stretch_along_grain, middle)


def _moved(cut: _Cut, twin: Twin) -> _Cut:
    """The leader's cut where a twin lies."""
    edge, curve = (
        transformed(region, twin.turned_deg, twin.mirrored, twin.x_mm, twin.y_mm)
        for region in (cut.edge, cut.curve)
    )
    return _Cut(offset_mm=cut.offset_mm, sewn=cut.sewn, edge=edge, curve=curve)


def _outline(job: _Job, cut: _Cut, raw_edge: Region, twin: Twin | None) -> CutOutline:
    """Check the raw edge of a piece and put everything together."""
    piece = job.line.piece
    has_cover = bool(piece.cover) and piece.kind == "applique"
    margins = margins_of(raw_edge, job.line.region, job.roof, has_cover=has_cover)
    edge = check_edge(margins, raw_edge, job.tack)
    return CutOutline(
        piece=piece,
        sewn=cut.sewn,
        curve=cut.curve,
        offset_mm=cut.offset_mm,
        area_mm2=area(cut.curve),
        corners=job.line.corners.tips,
        edge=edge,
        twin=twin,
        hidden=hidden_stretches(margins),
    )


def _edge_findings(job: _Job, raw_edge: Region, edge: EdgeCheck, rules: OutlineRules) -> list[Finding]:
    """What is to be said of the raw edge of one piece."""
    name = job.line.piece.id
    found = edge_findings(name, edge, job.tack, raw_edge)
    return found + notch_findings(name, edge.least_reach_mm, rules)
