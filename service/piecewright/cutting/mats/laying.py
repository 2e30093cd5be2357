"""Laying: all copies of a job on as few mats as possible, in cutting order, checked."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from piecewright.cutting.errors import SelfCheckFailed
from piecewright.cutting.mats.bench import bench_of, copies_of
from piecewright.cutting.mats.check import faults
from piecewright.cutting.mats.copies import laid
from piecewright.cutting.mats.cut_order import cut_order
from piecewright.cutting.mats.doubts import (
    engine_doubt,
    larger_than_mat,
    patches_beyond_fabric,
    unlisted_threads,
)
from piecewright.cutting.mats.engine import engine_for
from piecewright.cutting.mats.needs import fabric_needs, piece_area
from piecewright.cutting.mats.patches import lay_patches
from piecewright.cutting.mats.sheet import lay_sheets
from piecewright.cutting.mats.values import Layout, MatLayout

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.findings import Finding
    from piecewright.cutting.mats.bench import Bench
    from piecewright.cutting.mats.copies import Copy
    from piecewright.cutting.mats.values import Demand, LaidPiece
    from piecewright.cutting.rules import JobRules

Draft = tuple["LaidPiece", ...]


def lay(demands: Sequence[Demand], rules: JobRules) -> Layout:
    """Lay all copies on as few mats as possible.

    Args:
        demands: What is to be cut, from which fabric, how often.
        rules: Of the job: its mat, gap, turning, fabrics.

    Returns:
        The mats, pieces in cutting order; how much fabric they take; a finding for each thread that the rules
        give no fabric, for each piece that is larger than the mat and left out, for each patch that is larger
        than its fabric, and for a layout that is simpler than the rules ask for.

    Raises:
        RulesError: If the product names a mat that the rules do not have.
        SelfCheckFailed: If a layout breaks its own rules.
    """
    bench = bench_of(rules)
    fitting: list[Copy] = []
    left_out: list[Copy] = []
    for copies in copies_of(demands, bench):
        (fitting if bench.takes(copies[0]) else left_out).extend(copies)
    drafts, doubts = _patches(fitting, bench) if bench.laying.way == "patches" else _sheets(fitting, bench)
    mats = tuple(_mat_layout(number, draft, bench) for number, draft in enumerate(drafts, 1))
    _check(demands, mats, left_out, bench)
    return Layout(
        mats=mats,
        fabrics=fabric_needs(mats, rules),
        findings=(
            *unlisted_threads(demands, rules),
            *larger_than_mat(left_out, bench),
            *patches_beyond_fabric(mats, bench),
            *doubts,
        ),
    )


def _sheets(copies: Sequence[Copy], bench: Bench) -> tuple[list[Draft], list[Finding]]:
    """Mats fabric by fabric; where the engine gives no answer, by boxes and with a finding."""
    laying = bench.laying
    drafts: list[Draft] = []
    doubts: list[Finding] = []
    with engine_for(laying.time_limit_s) as engine:
        for fabric, members in _by_fabric(copies).items():
            sheets = lay_sheets(engine, members, bench.bed(fabric), laying)
            drafts += [tuple(map(laid, spots)) for spots in sheets.mats]
            if sheets.fault is not None:
                doubts.append(engine_doubt(sheets.fault))
    return drafts, list(dict.fromkeys(doubts))


def _by_fabric(copies: Sequence[Copy]) -> dict[str, list[Copy]]:
    by_fabric: dict[str, list[Copy]] = defaultdict(list)
    for copy in copies:
        by_fabric[copy.demand.fabric].append(copy)
    return by_fabric


def _patches(copies: Sequence[Copy], bench: Bench) -> tuple[list[Draft], list[Finding]]:
    """Mats that carry patches of all fabrics."""
    if not copies:
        return [], []
    packed = lay_patches(copies, bench.bed(None), bench.whole, bench.laying)
    return [tuple(laid(spot, patch) for spot, patch in spots) for spots in packed], []


def _mat_layout(number: int, draft: Draft, bench: Bench) -> MatLayout:
    """One mat with its pieces in cutting order."""
    laying = bench.laying
    fabrics = sorted({piece.fabric for piece in draft})
    bed = bench.bed(fabrics[0] if laying.way == "sheet" else None)
    route = cut_order(draft)
    return MatLayout(
        number=number,
        mat=bench.name,
        width_mm=bench.mat.width,
        height_mm=bench.mat.height,
        fabric=fabrics[0] if len(fabrics) == 1 else "",
        laid=route.pieces,
        fill_ratio=sum(map(piece_area, draft)) / bed.area_mm2,
        cut_mm=route.cut_mm,
        travel_mm=route.travel_mm,
        seconds=route.cut_mm / laying.cut_speed_mm_s + route.travel_mm / laying.travel_speed_mm_s,
    )


def _check(
    demands: Sequence[Demand], mats: Sequence[MatLayout], left_out: Sequence[Copy], bench: Bench
) -> None:
    """Refuse a layout that breaks its own rules."""
    wrong = faults(demands, mats, left_out, bench)
    if wrong:
        message = f"The layout is not sound: {'; '.join(wrong)}."
        raise SelfCheckFailed(message, "Set laying.effort to 0, which lays by boxes, and report the drop.")
