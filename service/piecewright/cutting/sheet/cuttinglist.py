"""The cutting list: how many of which piece from which fabric, and where each goes.

Terms: a *shape* is an outline that is cut, with all the placements that pieces cut from it serve;
placements of one shape are twins of each other.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from piecewright.cutting.sheet import words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.mats import LaidPiece, Layout
    from piecewright.cutting.report import PieceEntry, Report
    from piecewright.cutting.rules import JobRules


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One line of the cutting list.

    Attributes:
        piece: Letter of the shape.
        design: Name of its design.
        count: How many are cut from this fabric.
        fabric: Key of the fabric.
        size: Width by height as it lies in the design, in the shop's unit.
        notes: What else to know, such as which placement takes which.
        patch: Size of the rectangle of fabric that carries each; "" if there are none.
    """

    piece: str
    design: str
    count: int
    fabric: str
    size: str
    notes: tuple[str, ...]
    patch: str


def rows(report: Report, layout: Layout, rules: JobRules) -> tuple[Row, ...]:
    """The cutting list of a job, by fabric, then by piece."""
    by_id = {piece.id: piece for piece in report.pieces}
    laid_by = _laid_by_shape(layout, by_id)
    order = {piece.id: number for number, piece in enumerate(report.pieces)}
    return tuple(
        _row(by_id[shape], fabric, laid, report, rules)
        for (fabric, shape), laid in sorted(
            laid_by.items(), key=lambda item: (item[0][0], order.get(item[0][1], 0))
        )
    )


def shape_of(piece: PieceEntry) -> str:
    """Id of the piece whose outline is cut for this one."""
    return piece.twin_of or piece.id


def _laid_by_shape(layout: Layout, by_id: dict[str, PieceEntry]) -> dict[tuple[str, str], list[LaidPiece]]:
    grouped: dict[tuple[str, str], list[LaidPiece]] = {}
    for mat in layout.mats:
        for laid in mat.laid:
            grouped.setdefault((laid.fabric, shape_of(by_id[laid.piece])), []).append(laid)
    return grouped


def _row(shape: PieceEntry, fabric: str, laid: Sequence[LaidPiece], report: Report, rules: JobRules) -> Row:
    return Row(
        piece=shape.id,
        design=_design_name(report, shape.design),
        count=len(laid),
        fabric=fabric,
        size=words.size(*extent_mm(shape), rules.show),
        notes=tuple(_notes(shape, laid, report, rules)),
        patch=_patch(laid, rules),
    )


def extent_mm(piece: PieceEntry) -> tuple[float, float]:
    """Width and height of what is cut for a piece, as it lies in the design."""
    ring = (piece.cut or piece.outline).exterior
    xs, ys = zip(*ring, strict=True)
    return max(xs) - min(xs), max(ys) - min(ys)


def _notes(shape: PieceEntry, laid: Sequence[LaidPiece], report: Report, rules: JobRules) -> list[str]:
    twins = [piece for piece in report.pieces if piece.twin_of == shape.id and piece.twin]
    notes = []
    if shape.kind == "base":
        notes.append("Base layer, such as batting.")
    over = sum(piece.twin.mirrored for piece in twins if piece.twin)
    if over:
        turned = len(laid) * over // (len(twins) + 1)
        notes.append(f"{turned} of them turned over.")
    if twins:
        notes.append(f"Fits {words.listing([shape.id, *map(_goes_on, twins)])}.")
    if rules.product.dealing.fusible_back:
        notes.append("Cut mirrored, web side up.")
    return notes


def _goes_on(twin: PieceEntry) -> str:
    how = words.turn(twin.twin.turned_deg, over=twin.twin.mirrored) if twin.twin else ""
    return f"{twin.id} ({how})" if how else twin.id


def _patch(laid: Sequence[LaidPiece], rules: JobRules) -> str:
    sizes = Counter(words.size(one.patch[2], one.patch[3], rules.show) for one in laid if one.patch)
    return words.listing(sorted(sizes)) if sizes else ""


def _design_name(report: Report, number: int) -> str:
    sources = [report.source] if report.source else report.sources or []
    return sources[number - 1].name if 0 < number <= len(sources) else ""
