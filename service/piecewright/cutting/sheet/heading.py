"""The top of the sheet: what the job is, what to look at first, and the pictures of its designs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from markupsafe import Markup

from piecewright.cutting.drawing import Mark, design_picture
from piecewright.cutting.sheet import words

if TYPE_CHECKING:
    from collections.abc import Mapping

    from piecewright.cutting.pieces import Understanding
    from piecewright.cutting.report import FindingEntry, Report, SourceEntry
    from piecewright.cutting.rules import JobRules
    from piecewright.cutting.sheet.matpicture import Look
    from piecewright.cutting.stages import Stages


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """The first lines of the sheet.

    Attributes:
        title: What was dropped; else the name of the design, or of the first of several.
        product: Name of the product.
        job: Id of the job.
        to_cut: How many pieces on how many mats.
        to_sew: How often a single design is made, "" if once.
        turns: How the copies take their fabrics in turn, "" if they do not.
        hint: What to do with the sheet.
    """

    title: str
    product: str
    job: str
    to_cut: str
    to_sew: str
    turns: str
    hint: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingView:
    """One finding; if ``marked``, a diamond with its number stands in the picture of the design."""

    number: int
    about: str
    message: str
    advice: str
    marked: bool
    design: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class DesignView:
    """One design and its picture."""

    number: int
    name: str
    size: str
    copies: int
    picture: Markup
    legend: str


def sources_of(report: Report) -> list[SourceEntry]:
    """The designs of a job, however many."""
    return [report.source] if report.source else report.sources or []


def head(report: Report, looks: Mapping[str, Look], rules: JobRules) -> Head:
    """The first lines of the sheet."""
    sources = sources_of(report)
    laid = sum(len(mat.laid) for mat in report.mats)
    to_cut = f"{words.count(laid, 'piece')} on {words.count(len(report.mats), 'mat')}" if laid else "Nothing"
    times = rules.product.dealing.copies * (sources[0].copies if len(sources) == 1 else 1)
    return Head(
        title=report.drop or _title(sources),
        product=report.product,
        job=report.job,
        to_cut=to_cut,
        to_sew=f"{times} times" if times > 1 and laid else "",
        turns=_turns(looks, rules),
        hint=(
            "This sheet goes with the cut files in the same folder. Work through it from top to bottom."
            if laid
            else f"No piece of this job was cut. {_why_nothing(report)}"
        ),
    )


def findings(report: Report) -> list[FindingView]:
    """What to look at first, numbered over the whole job."""
    sources = sources_of(report)
    return [
        FindingView(
            number=number,
            about=_about(finding, sources),
            message=finding.message,
            advice=finding.advice,
            marked=finding.place is not None and finding.design is not None,
            design=finding.design,
        )
        for number, finding in enumerate(report.findings, 1)
    ]


def design_view(number: int, one: Stages, report: Report, rules: JobRules) -> DesignView:
    """One design: its picture with pieces lettered and the places of findings marked."""
    source = sources_of(report)[number - 1]
    marks = [
        Mark(label=str(label), place=finding.place)
        for label, finding in enumerate(report.findings, 1)
        if finding.place is not None and finding.design == number
    ]
    picture = design_picture(one.design, one.understanding, one.outlines, prefix=one.prefix, marks=marks)
    return DesignView(
        number=number,
        name=source.name,
        size=words.size(source.width_mm, source.height_mm, rules.show),
        copies=source.copies * rules.product.dealing.copies,
        picture=Markup(picture),  # noqa: S704 - the drawing escapes its texts itself
        legend=_legend(one.understanding, cut=bool(one.outlines.outlines), marked=bool(marks)),
    )


def _why_nothing(report: Report) -> str:
    if report.findings:
        return "The points below say why; after them comes what the machine will sew."
    return (
        "A placement line is a closed line that is sewn, stops the machine, and is sewn over later; "
        "none was seen. Below is what the machine will sew."
    )


def _turns(looks: Mapping[str, Look], rules: JobRules) -> str:
    fabrics = [looks[key].label for key in rules.product.dealing.fabrics if key in looks]
    return f"The copies take their fabric in turn: {words.listing(fabrics)}." if len(fabrics) > 1 else ""


def _title(sources: list[SourceEntry]) -> str:
    if not sources:
        return "No design"
    more = f" and {words.count(len(sources) - 1, 'more design')}" if len(sources) > 1 else ""
    return sources[0].name + more


def _about(finding: FindingEntry, sources: list[SourceEntry]) -> str:
    if finding.piece:
        return f"Piece {finding.piece}:"
    if finding.design and len(sources) > 1:
        return f"{sources[finding.design - 1].name}:"
    return ""


def _legend(understanding: Understanding, *, cut: bool, marked: bool) -> str:
    if not understanding.pieces:
        return "No piece was found in it."
    parts = ["Letters name the pieces"]
    if any(piece.kind == "base" for piece in understanding.pieces):
        parts.append("squares are base layers")
    if any(not piece.cut and piece.kind == "applique" for piece in understanding.pieces):
        parts.append("a question mark means too unsure to cut")
    if cut:
        parts.append("dashed lines are what the cutter cuts")
    if marked:
        parts.append("numbered diamonds are the places named above")
    return "; ".join(parts) + "."
