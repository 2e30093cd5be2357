"""Filling in the report from what the stages found."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.geometry import flattened
from piecewright.cutting.report.model import (
    EdgeEntry,
    FabricEntry,
    FileEntry,
    FindingEntry,
    LaidEntry,
    MatEntry,
    OutlineEntry,
    PassEntry,
    PieceEntry,
    Report,
    SourceEntry,
    TwinEntry,
    rounded,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.geometry import FloatArray, Region
    from piecewright.cutting.mats import Demand, FabricNeed, LaidPiece, Layout, MatLayout
    from piecewright.cutting.outlines import CutOutline, Twin
    from piecewright.cutting.passes import Pass
    from piecewright.cutting.pieces import Piece
    from piecewright.cutting.rules import JobRules
    from piecewright.cutting.stages import Stages

FLATTENED_WITHIN_MM: Final = 0.01
"""Curves in the report are flattened this closely: a tenth of a stitch unit."""


def build_report(
    stages: Sequence[Stages],
    demands: Sequence[Demand],
    layout: Layout,
    rules: JobRules,
    *,
    job: str,
    files: Sequence[FileEntry],
) -> Report:
    """Say everything that was found and made.

    Args:
        stages: One for each design.
        demands: How the copies were dealt.
        layout: The mats.
        rules: Of the job, for names and labels.
        job: Id of the job.
        files: What was written, mat by mat.
    """
    sources = [_source(one) for one in stages]
    copies = number_of_copies(demands)
    return Report(
        job=job,
        status="cut" if layout.mats else "nothing-to-cut",
        source=sources[0] if len(sources) == 1 else None,
        sources=sources if len(sources) > 1 else None,
        product=rules.product.name,
        passes=[
            _pass(found, number) for number, one in enumerate(stages, 1) for found in one.understanding.passes
        ],
        pieces=[
            _piece(piece, number, one, copies)
            for number, one in enumerate(stages, 1)
            for piece in one.understanding.pieces
        ],
        mats=[_mat(mat, [file.name for file in files if file.mat == mat.number]) for mat in layout.mats],
        fabrics=[_fabric(need, rules) for need in layout.fabrics],
        findings=[
            *_design_findings(stages),
            *(FindingEntry.of(finding, None) for finding in layout.findings),
        ],
        files=list(files),
    )


def number_of_copies(demands: Sequence[Demand]) -> Counter[str]:
    """How many copies of each piece are cut, over all fabrics."""
    copies: Counter[str] = Counter()
    for demand in demands:
        copies[demand.piece] += demand.copies
    return copies


def _source(one: Stages) -> SourceEntry:
    x0, y0, x1, y1 = one.design.bounds_mm
    return SourceEntry(
        name=one.design.name,
        sha256=one.sha256,
        format=one.design.format,
        stitches=one.design.stitches,
        width_mm=rounded(x1 - x0),
        height_mm=rounded(y1 - y0),
        copies=one.copies,
    )


def _pass(found: Pass, design: int) -> PassEntry:
    lengths = [len(run.points) for run in found.runs]
    main = found.runs[int(np.argmax(lengths))] if found.runs else None
    return PassEntry(
        design=design,
        block=found.block,
        role=found.role.value,
        in_doubt=found.in_doubt.value if found.in_doubt else "",
        stitch=found.stitch.value,
        confidence=rounded(found.confidence),
        evidence=list(found.evidence),
        piece=list(found.pieces),
        stitches=sum(lengths),
        width_mm=rounded(main.width_mm) if main else 0.0,
        spacing_mm=rounded(main.spacing_mm) if main else 0.0,
        stitch_length_mm=rounded(main.stitch_length_mm) if main else 0.0,
    )


def _piece(piece: Piece, design: int, one: Stages, copies: Counter[str]) -> PieceEntry:
    cut = next((outline for outline in one.outlines.outlines if outline.piece.id == piece.id), None)
    return PieceEntry(
        id=piece.id,
        kind=piece.kind,
        design=design,
        block=_block_of(piece, one.understanding.passes),
        confidence=rounded(piece.confidence),
        evidence=list(piece.evidence),
        outline=_outline(piece.line),
        cut=_outline(flattened(cut.curve, FLATTENED_WITHIN_MM)) if cut else None,
        offset_mm=rounded(cut.offset_mm) if cut else None,
        copies=copies[piece.id],
        twin_of=cut.twin.of if cut and cut.twin else None,
        twin=_twin(cut),
        area_mm2=rounded(cut.area_mm2) if cut else None,
        edge=_edge(cut) if cut else None,
    )


def _block_of(piece: Piece, passes: Sequence[Pass]) -> int:
    return passes[piece.placement[0] - 1].block if piece.placement else 0


def _twin(cut: CutOutline | None) -> TwinEntry | None:
    twin: Twin | None = cut.twin if cut else None
    return TwinEntry(turned_deg=rounded(twin.turned_deg), mirrored=twin.mirrored) if twin else None


def _edge(cut: CutOutline) -> EdgeEntry:
    edge = cut.edge
    return EdgeEntry(
        least_cover_mm=_maybe(edge.least_cover_mm),
        median_cover_mm=_maybe(edge.median_cover_mm),
        uncovered_share=_maybe(edge.uncovered_share),
        least_reach_mm=_maybe(edge.least_reach_mm),
        hidden_share=rounded(edge.hidden_share),
        worst_place=_place(edge.worst_place),
        hidden=[_ring(stretch) for stretch in cut.hidden],
    )


def _mat(mat: MatLayout, files: Sequence[str]) -> MatEntry:
    return MatEntry(
        file=files[0] if files else "",
        files=list(files),
        mat=mat.mat,
        width_mm=rounded(mat.width_mm),
        height_mm=rounded(mat.height_mm),
        fabric=mat.fabric,
        fill_ratio=rounded(mat.fill_ratio),
        cut_mm=rounded(mat.cut_mm),
        travel_mm=rounded(mat.travel_mm),
        seconds=rounded(mat.seconds),
        laid=[_laid(laid) for laid in mat.laid],
    )


def _laid(laid: LaidPiece) -> LaidEntry:
    x, y, width, height = laid.patch or (0.0, 0.0, 0.0, 0.0)
    return LaidEntry(
        id=laid.id,
        piece=laid.piece,
        x_mm=rounded(laid.x_mm),
        y_mm=rounded(laid.y_mm),
        turned_deg=rounded(laid.turned_deg),
        mirrored=laid.mirrored,
        fabric=laid.fabric,
        patch=(rounded(x), rounded(y), rounded(width), rounded(height)) if laid.patch else None,
    )


def _fabric(need: FabricNeed, rules: JobRules) -> FabricEntry:
    return FabricEntry(
        fabric=need.fabric,
        label=rules.fabric_label(need.fabric),
        width_mm=rounded(need.width_mm),
        height_mm=rounded(need.height_mm),
        count=need.count,
        area_mm2=rounded(need.area_mm2),
        bolt_mm=None if need.bolt_mm is None else rounded(need.bolt_mm),
        sheets=need.sheets,
    )


def _design_findings(stages: Sequence[Stages]) -> list[FindingEntry]:
    return [
        FindingEntry.of(finding, number)
        for number, one in enumerate(stages, 1)
        for finding in (*one.design.findings, *one.understanding.findings, *one.outlines.findings)
    ]


def _outline(region: Region) -> OutlineEntry:
    return OutlineEntry(exterior=_ring(region.exterior), holes=[_ring(hole) for hole in region.holes])


def _ring(ring: FloatArray) -> list[tuple[float, float]]:
    return [(rounded(x), rounded(y)) for x, y in ring.tolist()]


def _place(place: tuple[float, float] | None) -> tuple[float, float] | None:
    return (rounded(place[0]), rounded(place[1])) if place is not None else None


def _maybe(value: float | None) -> float | None:
    return rounded(value) if value is not None else None
