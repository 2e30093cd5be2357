"""Putting the job sheet together from its parts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, TypeAlias

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from piecewright.cutting.drawing import Mark, design_picture
from piecewright.cutting.sheet import cuttinglist, matpicture, sewing, words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.design import Design
    from piecewright.cutting.mats import Layout, MatLayout
    from piecewright.cutting.outlines import Outlines
    from piecewright.cutting.pieces import Understanding
    from piecewright.cutting.report import (
        FabricEntry,
        FindingEntry,
        MatEntry,
        PieceEntry,
        Report,
        SourceEntry,
    )
    from piecewright.cutting.rules import JobRules
    from piecewright.cutting.sheet.matpicture import LaidView, Look
    from piecewright.cutting.sheet.sewing import Step

    _Stage: TypeAlias = tuple[SourceEntry, Design, Understanding, Outlines]

SHEET_NAME: Final = "sheet.html"

_PAGES: Final = Environment(
    loader=PackageLoader("piecewright.cutting.sheet"),
    autoescape=True,
    undefined=StrictUndefined,
    trim_blocks=True,
    lstrip_blocks=True,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class DesignView:
    """One design on the sheet."""

    number: int
    source: SourceEntry
    size: str
    picture: Markup
    steps: tuple[Step, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MatView:
    """One mat on the sheet."""

    layout: MatLayout
    files: tuple[str, ...]
    size: str
    in_words: str
    laid: tuple[LaidView, ...]
    looks: tuple[Look, ...]
    time: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """How much of one fabric to have at hand."""

    look: Look
    amount: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleCheck:
    """The piece to measure before cutting."""

    piece: str
    width: str
    height: str


def write(
    report: Report,
    designs: Sequence[Design],
    understandings: Sequence[Understanding],
    outlines: Sequence[Outlines],
    layout: Layout,
    rules: JobRules,
) -> bytes:
    """Write the job sheet.

    Args:
        report: Of the job; its lists of mats and sources are in the order of the other arguments.
        designs: In the order of the report's sources.
        understandings: One for each design.
        outlines: One for each design.
        layout: The mats.
        rules: Of the job: labels, the shop's unit.

    Returns:
        HTML in UTF-8; the same arguments give the same bytes.
    """
    sources = [report.source] if report.source else report.sources or []
    looks = matpicture.looks([laid.fabric for mat in layout.mats for laid in mat.laid], rules)
    stages = zip(sources, designs, understandings, outlines, strict=True)
    html = _PAGES.get_template("sheet.html").render(
        report=report,
        rules=rules,
        words=words,
        title=_title(sources),
        findings=_numbered(report.findings),
        designs=[_design(number, stage, report, rules) for number, stage in enumerate(stages, 1)],
        mats=[_mat(mat, entry, looks, rules) for mat, entry in zip(layout.mats, report.mats, strict=True)],
        looks=looks,
        cutting=cuttinglist.rows(report, layout, rules),
        needs=[_need(entry, looks, rules) for entry in report.fabrics if entry.fabric in looks],
        scale=_scale_check(report, rules),
    )
    return html.encode()


def _title(sources: Sequence[SourceEntry]) -> str:
    if not sources:
        return "No design"
    more = f" and {words.count(len(sources) - 1, 'more design')}" if len(sources) > 1 else ""
    return sources[0].name + more


def _numbered(findings: Sequence[FindingEntry]) -> list[tuple[int, FindingEntry]]:
    return list(enumerate(findings, 1))


def _design(number: int, stage: _Stage, report: Report, rules: JobRules) -> DesignView:
    source, design, understanding, outlines = stage
    marks = [
        Mark(label=str(label), place=finding.place)
        for label, finding in _numbered(report.findings)
        if finding.place is not None and finding.design == number
    ]
    picture = design_picture(
        design, understanding, outlines, prefix=_prefix(number, understanding, report), marks=marks
    )
    return DesignView(
        number=number,
        source=source,
        size=words.size(source.width_mm, source.height_mm, rules.show),
        picture=Markup(picture),  # noqa: S704 - the drawing escapes its texts itself
        steps=sewing.steps(design, number, report, rules),
    )


def _prefix(number: int, understanding: Understanding, report: Report) -> str:
    """What the ids of a design's pieces begin with in this job."""
    ids = [piece.id for piece in report.pieces if piece.design == number]
    return ids[0].removesuffix(understanding.pieces[0].id) if ids else ""


def _mat(mat: MatLayout, entry: MatEntry, looks: dict[str, Look], rules: JobRules) -> MatView:
    return MatView(
        layout=mat,
        files=tuple(entry.files or [entry.file]),
        size=words.size(mat.width_mm, mat.height_mm, rules.show),
        in_words=matpicture.in_words(mat, rules),
        laid=matpicture.laid_views(mat, looks),
        looks=tuple(looks[key] for key in dict.fromkeys(laid.fabric for laid in mat.laid)),
        time=words.duration(mat.seconds),
    )


def _need(entry: FabricEntry, looks: dict[str, Look], rules: JobRules) -> Need:
    what = words.size(entry.width_mm, entry.height_mm, rules.show)
    amount = what if entry.count == 1 else f"{entry.count} × ({what})"
    return Need(look=looks[entry.fabric], amount=amount)


def _scale_check(report: Report, rules: JobRules) -> ScaleCheck | None:
    """The largest piece: an error of scale shows most on it."""
    pieces: list[PieceEntry] = [piece for piece in report.pieces if piece.cut and not piece.twin_of]
    if not pieces or not report.mats:
        return None
    largest = max(pieces, key=lambda piece: max(cuttinglist.extent_mm(piece)))
    width, height = cuttinglist.extent_mm(largest)
    return ScaleCheck(
        piece=largest.id, width=words.length(width, rules.show), height=words.length(height, rules.show)
    )
