"""The cutting list: how many of which piece from which fabric, and where each goes.

Terms: a *shape* is an outline that is cut, with all the placements that pieces cut from it serve;
placements of one shape are twins of each other.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from piecewright.cutting.geometry import bounds
from piecewright.cutting.plaintext import listing, per_cent
from piecewright.cutting.sheet import matpicture, words
from piecewright.cutting.sheet.matpicture import curve_path
from piecewright.cutting.units import format_ruled

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from piecewright.cutting.geometry import CurvedRegion
    from piecewright.cutting.mats import LaidPiece, Layout
    from piecewright.cutting.report import FabricEntry, PieceEntry, Report
    from piecewright.cutting.rules import JobRules
    from piecewright.cutting.sheet.matpicture import Look
    from piecewright.cutting.stages import Stages


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """A small picture of a piece: SVG view box and path."""

    box: str
    path: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One line of the cutting list.

    Attributes:
        piece: Letter of the shape.
        shape: What it looks like, as it lies in the design.
        count: How many are cut.
        fabrics: From which fabric how many, in the order of the mats.
        size: Width by height as it lies in the design, in the shop's unit.
        notes: What else to know, such as which placement takes which.
        patch: Sizes of the rectangles of fabric that carry them; "" if there are none.
    """

    piece: str
    shape: Shape
    count: int
    fabrics: tuple[tuple[Look, int], ...]
    size: str
    notes: tuple[str, ...]
    patch: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """A rectangle of fabric to get ready."""

    look: Look
    size: str
    count: int
    grain: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleCheck:
    """What to measure before cutting: the first mat, all that is cut on it, and its largest piece."""

    file: str
    mat: str
    together: str
    piece: str
    width: str
    height: str


def rows(
    report: Report, layout: Layout, stages: Sequence[Stages], looks: Mapping[str, Look], rules: JobRules
) -> list[Row]:
    """The cutting list of a job, one row for each shape, by letter."""
    pieces = {piece.id: piece for piece in report.pieces}
    laid_by: dict[str, list[LaidPiece]] = {}
    for laid in (laid for mat in layout.mats for laid in mat.laid):
        laid_by.setdefault(shape_of(pieces[laid.piece]), []).append(laid)
    curves = _curves(stages)
    return [
        _row(pieces[shape], curves[shape], laid_by[shape], report, rules, looks)
        for shape in pieces
        if shape in laid_by
    ]


def shape_of(piece: PieceEntry) -> str:
    """Id of the piece whose outline is cut for this one."""
    return piece.twin_of or piece.id


def needs(report: Report, looks: dict[str, Look], rules: JobRules) -> list[Need]:
    """The rectangles of fabric to get ready, in the order of the mats."""
    return [
        Need(
            look=looks[key],
            size=words.ruled_size(one.width_mm, one.height_mm, rules.show, at_least=True),
            count=one.count,
            grain=matpicture.grain_words(key, rules),
        )
        for key in looks
        for one in report.fabrics
        if one.fabric == key
    ]


def stock(report: Report, looks: Mapping[str, Look], rules: JobRules) -> list[tuple[Look, str]]:
    """What all rectangles of each fabric take of a bolt or of sheets, where the rules give a size."""
    first = {one.fabric: one for one in reversed(report.fabrics)}
    return [(looks[key], said) for key in looks if key in first and (said := _of_stock(first[key], rules))]


def _of_stock(need: FabricEntry, rules: JobRules) -> str:
    fabric = rules.fabrics.get(need.fabric)
    if fabric is None or fabric.width is None:
        return ""
    if need.sheets is not None and fabric.height is not None:
        sheet = words.ruled_size(fabric.width, fabric.height, rules.show)
        return f"{words.count(need.sheets, 'sheet')} of {sheet}"
    if need.bolt_mm is not None:
        width = format_ruled(fabric.width, rules.show)
        return f"{format_ruled(need.bolt_mm, rules.show, at_least=True)} of a bolt {width} wide"
    return ""


def scale_check(report: Report, layout: Layout, rules: JobRules) -> ScaleCheck | None:
    """What to measure: an error of scale shows most on the largest piece of the first mat."""
    if not layout.mats:
        return None
    mat = layout.mats[0]
    boxes = [bounds(laid.curve) for laid in mat.laid]
    wide = max(box[2] for box in boxes) - min(box[0] for box in boxes)
    high = max(box[3] for box in boxes) - min(box[1] for box in boxes)
    on_it = {laid.piece for laid in mat.laid}
    largest = max(
        (piece for piece in report.pieces if piece.id in on_it), key=lambda piece: max(_extent_mm(piece))
    )
    width, height = _extent_mm(largest)
    return ScaleCheck(
        file=next((file.name for file in report.files if file.mat == mat.number), ""),
        mat=words.ruled_size(mat.width_mm, mat.height_mm, rules.show),
        together=f"{words.both(wide, rules.show)} across and {words.both(high, rules.show)} down",
        piece=largest.id,
        width=words.both(width, rules.show),
        height=words.both(height, rules.show),
    )


def left_out(report: Report, rules: JobRules) -> list[str]:
    """Pieces that were seen and are on no mat, each with the reason."""
    laid = {laid.piece for mat in report.mats for laid in mat.laid}
    return [_why_left_out(piece, rules) for piece in report.pieces if piece.id not in laid]


def _why_left_out(piece: PieceEntry, rules: JobRules) -> str:
    passes = rules.product.passes
    if piece.cut is not None:
        return f"{piece.id} lies on no mat; the points at the top say why."
    if piece.kind not in passes.cut:
        kind = "a base layer, such as batting" if piece.kind == "base" else "an appliqué piece"
        return f"{piece.id} is {kind}, which the rules of this product leave uncut."
    if piece.confidence < passes.confidence:
        sure, asked = per_cent(piece.confidence), per_cent(passes.confidence)
        return f"{piece.id} was not cut: it is a piece with {sure} confidence, and the rules ask for {asked}."
    return f"{piece.id} was not cut; the points at the top say why."


def _curves(stages: Sequence[Stages]) -> dict[str, CurvedRegion]:
    """The curve of each piece that is cut, by its id in the job."""
    return {outline.piece.id: outline.curve for one in stages for outline in one.outlines.outlines}


def _row(
    shape: PieceEntry,
    curve: CurvedRegion,
    laid: Sequence[LaidPiece],
    report: Report,
    rules: JobRules,
    looks: Mapping[str, Look],
) -> Row:
    return Row(
        piece=shape.id,
        shape=_shape(curve),
        count=len(laid),
        fabrics=tuple((looks[key], number) for key, number in Counter(one.fabric for one in laid).items()),
        size=words.size(*_extent_mm(shape), rules.show),
        notes=tuple(_notes(shape, laid, report)),
        patch=_patch(laid, rules),
    )


def _shape(curve: CurvedRegion) -> Shape:
    x0, y0, x1, y1 = bounds(curve)
    return Shape(box=f"{x0:.1f} {y0:.1f} {x1 - x0:.1f} {y1 - y0:.1f}", path=curve_path(curve))


def _extent_mm(piece: PieceEntry) -> tuple[float, float]:
    """Width and height of what is cut for a piece, as it lies in the design."""
    xs, ys = zip(*(piece.cut or piece.outline).exterior, strict=True)
    return max(xs) - min(xs), max(ys) - min(ys)


def _notes(shape: PieceEntry, laid: Sequence[LaidPiece], report: Report) -> Iterable[str]:
    if shape.kind == "base":
        yield "Base layer."
    served = Counter(one.piece for one in laid)
    twins = [piece for piece in report.pieces if piece.id in served]
    if len(twins) > 1:
        yield listing([_placement(piece, served[piece.id]) for piece in twins]) + "."
    if any(piece.twin and piece.twin.mirrored for piece in twins):
        yield "Keep mirrored ones apart: the right side of the fabric is up on all of them."


def _placement(piece: PieceEntry, count: int) -> str:
    how = words.turn(piece.twin.turned_deg, mirrored=piece.twin.mirrored) if piece.twin else ""
    return f"{count} for {piece.id}" + (f" ({how})" if how else "")


def _patch(laid: Sequence[LaidPiece], rules: JobRules) -> str:
    sizes = dict.fromkeys(_size(one.patch, rules) for one in laid if one.patch)
    return listing(sizes) if sizes else ""


def _size(patch: tuple[float, float, float, float], rules: JobRules) -> str:
    """A rectangle by its shorter side first, as the list of fabric has it."""
    _, _, width, height = patch
    return words.ruled_size(min(width, height), max(width, height), rules.show, at_least=True)
