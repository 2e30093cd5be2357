"""Laying: all copies of a job on as few mats as possible."""

from __future__ import annotations

from collections import Counter, defaultdict
from typing import TYPE_CHECKING

from piecewright.cutting.errors import RulesError, SelfCheckFailed
from piecewright.cutting.findings import Finding
from piecewright.cutting.geometry import curve_area, flatten
from piecewright.cutting.mats.boxes import Box, fits
from piecewright.cutting.mats.check import faults, miscounted
from piecewright.cutting.mats.copies import FLAT_MM, Bed, Copy, best_turn, box_of, laid
from piecewright.cutting.mats.cut_order import cut_order
from piecewright.cutting.mats.needs import fabric_needs, piece_area
from piecewright.cutting.mats.patches import lay_patches, patch_of, room_for
from piecewright.cutting.mats.sheet import lay_boxes
from piecewright.cutting.mats.values import Layout, MatLayout
from piecewright.cutting.rules import turn_limit
from piecewright.cutting.units import format_length

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from piecewright.cutting.mats.values import Demand, LaidPiece
    from piecewright.cutting.rules import Fabric, JobRules, Mat


def lay(demands: Sequence[Demand], rules: JobRules) -> Layout:
    """Lay all copies on as few mats as possible.

    Args:
        demands: What is to be cut, from which fabric, how often.
        rules: Of the job: its mat, gap, turning, fabrics.

    Returns:
        The mats, pieces in cutting order; how much fabric they take; a finding for each piece that is
        larger than the mat, which is left out.

    Raises:
        RulesError: If the product names a mat that the rules do not have.
        SelfCheckFailed: If a layout breaks its own rules.
    """
    mat = _mat(rules)
    every = tuple(_copies(demands, rules))
    fitting = [copy for copy in every if _fits(copy, mat, rules)]
    left_out = [copy for copy in every if copy not in fitting]
    drafts = (
        _patches(fitting, mat, rules)
        if rules.product.laying.way == "patches"
        else _sheets(fitting, mat, rules)
    )
    mats = tuple(_mat_layout(n, draft, mat, rules) for n, draft in enumerate(drafts, 1))
    _check(demands, mats, left_out, mat, rules)
    return Layout(mats=mats, fabrics=fabric_needs(mats), findings=tuple(_too_large(left_out, mat, rules)))


def _mat(rules: JobRules) -> Mat:
    """The mat of the product."""
    name = rules.mat_name()
    if name not in rules.mats:
        message = f"The product {rules.product.name} names the mat {name}, which the rules do not have."
        raise RulesError(message, f"Name one of: {', '.join(rules.mats)}.")
    return rules.mats[name]


def _copies(demands: Sequence[Demand], rules: JobRules) -> Iterator[Copy]:
    """Every copy by itself, numbered by piece over all fabrics."""
    laying = rules.product.laying
    number: Counter[str] = Counter()
    for demand in demands:
        ring = flatten(demand.outline.exterior, FLAT_MM)
        area = abs(curve_area(demand.outline.exterior)) - sum(
            abs(curve_area(h)) for h in demand.outline.holes
        )
        fabric = rules.fabrics.get(demand.fabric)
        sides = (demand.face_down, not demand.face_down) if laying.turn_over else (demand.face_down,)
        for _ in range(demand.copies):
            number[demand.piece] += 1
            yield Copy(
                id=f"{demand.piece}-{number[demand.piece]}",
                demand=demand,
                ring=ring,
                area_mm2=area,
                turning=turn_limit(laying.turning, fabric.grain if fabric else None),
                sides=sides,
            )


def _bed(mat: Mat, fabric: Fabric | None) -> Bed:
    """What may be cut on: inside the margin of the mat, and of the fabric where that is smaller."""
    width = min(mat.width, fabric.width) if fabric and fabric.width else mat.width
    height = min(mat.height, fabric.height) if fabric and fabric.height else mat.height
    return Bed(x_mm=0.0, y_mm=0.0, width_mm=width, height_mm=height).grown(-mat.margin)


def _whole(mat: Mat) -> Bed:
    return Bed(x_mm=0.0, y_mm=0.0, width_mm=mat.width, height_mm=mat.height)


def _fits(copy: Copy, mat: Mat, rules: JobRules) -> bool:
    """Whether the copy, turned as it may be, goes on an empty mat."""
    quarter = copy.turning in {"quarter", "free"}
    if rules.product.laying.way == "patches":
        patch = patch_of(copy, rules.product.laying.patches)
        room = room_for(patch, _bed(mat, None), _whole(mat))
        return fits(
            Box(width=patch.width, height=patch.height, quarter=quarter), room.width_mm, room.height_mm
        )
    bed = _bed(mat, rules.fabrics.get(copy.demand.fabric))
    _, _, width, height = box_of(copy, best_turn(copy, copy.sides[0]), copy.sides[0])
    return fits(Box(width=width, height=height, quarter=quarter), bed.width_mm, bed.height_mm)


def _sheets(copies: Sequence[Copy], mat: Mat, rules: JobRules) -> list[tuple[LaidPiece, ...]]:
    """Mats fabric by fabric."""
    by_fabric: dict[str, list[Copy]] = defaultdict(list)
    for copy in copies:
        by_fabric[copy.demand.fabric].append(copy)
    return [
        tuple(laid(spot) for spot in spots)
        for fabric, members in by_fabric.items()
        for spots in lay_boxes(members, _bed(mat, rules.fabrics.get(fabric)), rules.product.laying.gap)
    ]


def _patches(copies: Sequence[Copy], mat: Mat, rules: JobRules) -> list[tuple[LaidPiece, ...]]:
    """Mats that carry patches of all fabrics."""
    if not copies:
        return []
    packed = lay_patches(copies, _bed(mat, None), _whole(mat), rules.product.laying)
    return [tuple(laid(spot, patch) for spot, patch in spots) for spots in packed]


def _mat_layout(number: int, pieces: Sequence[LaidPiece], mat: Mat, rules: JobRules) -> MatLayout:
    """One mat with its pieces in cutting order."""
    laying = rules.product.laying
    fabrics = sorted({piece.fabric for piece in pieces})
    bed = _bed(mat, rules.fabrics.get(fabrics[0]) if laying.way == "sheet" else None)
    route = cut_order(pieces)
    return MatLayout(
        number=number,
        mat=rules.mat_name(),
        width_mm=mat.width,
        height_mm=mat.height,
        fabric=fabrics[0] if len(fabrics) == 1 else "",
        laid=route.pieces,
        fill_ratio=sum(map(piece_area, pieces)) / bed.area_mm2,
        cut_mm=route.cut_mm,
        travel_mm=route.travel_mm,
        seconds=route.cut_mm / laying.cut_speed_mm_s + route.travel_mm / laying.travel_speed_mm_s,
    )


def _check(
    demands: Sequence[Demand], mats: Sequence[MatLayout], left_out: Sequence[Copy], mat: Mat, rules: JobRules
) -> None:
    """Refuse a layout that breaks its own rules."""
    laying = rules.product.laying
    wrong = miscounted(
        demands,
        [piece for layout in mats for piece in layout.laid],
        Counter(c.demand.piece for c in left_out),
    )
    for layout in mats:
        fabric = rules.fabrics.get(layout.fabric) if laying.way == "sheet" else None
        wrong += faults(layout.laid, _bed(mat, fabric), laying.gap)
    if wrong:
        message = f"The layout is not sound: {'; '.join(wrong)}."
        raise SelfCheckFailed(
            message, "Keep the drop and report it; effort 0 in the rules uses the simplest layout."
        )


def _too_large(left_out: Sequence[Copy], mat: Mat, rules: JobRules) -> Iterator[Finding]:
    """A finding for each piece that goes on no mat, with the size of mat that it takes."""
    copies: dict[tuple[str, str], Copy] = {}
    for copy in left_out:
        copies.setdefault((copy.demand.piece, copy.demand.fabric), copy)
    for copy in copies.values():
        _, _, width, height = box_of(copy, best_turn(copy, copy.sides[0]), copy.sides[0])
        needed = [format_length(side + 2 * mat.margin, rules.show) for side in (width, height)]
        has = [format_length(side, rules.show) for side in (mat.width, mat.height)]
        yield Finding(
            code="larger-than-mat",
            message=f"Piece {copy.demand.piece} is larger than the mat of {has[0]} by {has[1]}: not laid.",
            advice=f"It takes a mat of {needed[0]} by {needed[1]} or more.",
            piece=copy.demand.piece,
        )
