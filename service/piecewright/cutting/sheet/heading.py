"""The top of the sheet: what the job is, what to look at first, and the pictures of its designs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from markupsafe import Markup

from piecewright.cutting.drawing import Mark, design_picture
from piecewright.cutting.findings import likeness, message_of, twins_in_words
from piecewright.cutting.plaintext import listing
from piecewright.cutting.sheet import words

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from piecewright.cutting.pieces import Understanding
    from piecewright.cutting.report import FindingEntry, Report, SourceEntry
    from piecewright.cutting.rules import JobRules
    from piecewright.cutting.sheet.matpicture import Look
    from piecewright.cutting.stages import Stages
    from piecewright.cutting.units import Show


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """The first lines of the sheet.

    Attributes:
        title: What was dropped; else the name of the design, or of the first of several.
        product: Name of the product.
        job: Id of the job.
        to_cut: How many pieces on how many mats.
        to_sew: How often each design is made, "" if nothing is cut.
        hint: What to do with the sheet.
    """

    title: str
    product: str
    job: str
    to_cut: str
    to_sew: str
    hint: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingView:
    """One finding, or the same of several pieces; if ``marked``, its number stands in the picture."""

    number: int
    about: str
    message: str
    advice: str
    marked: bool
    design: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class DesignView:
    """One design and its picture; ``turns`` says which copies take which fabric, if they differ."""

    number: int
    name: str
    size: str
    copies: int
    turns: tuple[tuple[str, str], ...]
    picture: Markup
    legend: str


def sources_of(report: Report) -> list[SourceEntry]:
    """The designs of a job, however many."""
    return [report.source] if report.source else report.sources or []


def head(report: Report, rules: JobRules) -> Head:
    """The first lines of the sheet."""
    sources = sources_of(report)
    laid = sum(len(mat.laid) for mat in report.mats)
    to_cut = f"{words.count(laid, 'piece')} on {words.count(len(report.mats), 'mat')}" if laid else "Nothing"
    return Head(
        title=report.drop or _title(sources),
        product=report.product,
        job=report.job,
        to_cut=to_cut,
        to_sew=_to_sew(sources, rules) if laid else "",
        hint=(
            "This sheet goes with the cut files in the same folder. Work through it from top to bottom."
            if laid
            else f"No piece of this job was cut. {_why_nothing(report)}"
        ),
    )


def findings(report: Report, show: Show) -> list[FindingView]:
    """What to look at first, numbered over the whole job; without a place, the same of several is one."""
    alike: dict[object, list[tuple[int, FindingEntry]]] = {}
    for number, entry in enumerate(report.findings, 1):
        same = (entry.design, number if entry.place else likeness(entry.finding()))
        alike.setdefault(same, []).append((number, entry))
    return [_finding(some, sources_of(report), show) for some in alike.values()]


def _finding(some: Sequence[tuple[int, FindingEntry]], sources: list[SourceEntry], show: Show) -> FindingView:
    number, first = some[0]
    return FindingView(
        number=number,
        about=_about([entry for _, entry in some], sources),
        message=message_of([entry.finding() for _, entry in some], show),
        advice=first.advice,
        marked=first.place is not None and first.design is not None,
        design=first.design,
    )


def design_view(
    number: int, one: Stages, report: Report, looks: Mapping[str, Look], rules: JobRules
) -> DesignView:
    """One design: its picture with pieces lettered, in their fabrics, and the places of findings marked."""
    source = sources_of(report)[number - 1]
    marks = [
        Mark(label=str(label), place=finding.place)
        for label, finding in enumerate(report.findings, 1)
        if finding.place is not None and finding.design == number
    ]
    copies = _copies(source, rules)
    picture = design_picture(
        one.design,
        one.understanding,
        one.outlines,
        marks=marks,
        colours=_colours(one, report, looks),
    )
    return DesignView(
        number=number,
        name=source.name,
        size=words.size(source.width_mm, source.height_mm, rules.show),
        copies=copies,
        turns=_turns(number, copies, report, rules),
        picture=Markup(picture),  # noqa: S704 - the drawing escapes its texts itself
        legend=_legend(one.understanding, cut=bool(one.outlines.outlines), marked=bool(marks)),
    )


def _colours(one: Stages, report: Report, looks: Mapping[str, Look]) -> dict[str, str]:
    """Colour of the fabric of each piece whose copies are all cut from one."""
    fabrics: dict[str, set[str]] = {}
    for laid in (laid for mat in report.mats for laid in mat.laid):
        fabrics.setdefault(laid.piece, set()).add(laid.fabric)
    pieces = {piece.id: fabrics.get(piece.id, set()) for piece in one.understanding.pieces}
    return {
        piece: looks[key].colour for piece, keys in pieces.items() if len(keys) == 1 for key in keys if key
    }


def _why_nothing(report: Report) -> str:
    if report.findings:
        return "The points below say why; after them comes what the machine will sew."
    return (
        "A placement line is a closed line that is sewn, stops the machine, and is sewn over later; "
        "none was seen. If there is one all the same, piecewright inspect shows what is understood of the "
        "design, and by_hand in the rules of its product names the blocks. Below is what the machine sews."
    )


def _copies(source: SourceEntry, rules: JobRules) -> int:
    return source.copies * rules.product.dealing.copies


def _to_sew(sources: Sequence[SourceEntry], rules: JobRules) -> str:
    """``once``, ``4 times``, ``boat.pes 3 times, fish.exp once``."""
    told = [(source.name, _copies(source, rules)) for source in sources]
    times = [(name, "once" if copies == 1 else f"{copies} times") for name, copies in told]
    return times[0][1] if len(times) == 1 else ", ".join(f"{name} {often}" for name, often in times)


def _turns(design: int, copies: int, report: Report, rules: JobRules) -> tuple[tuple[str, str], ...]:
    """Which copies are made of which fabric, if the pieces of the design are dealt over several."""
    mine = {piece.id for piece in report.pieces if piece.design == design}
    dealt = {(laid.piece, laid.fabric) for mat in report.mats for laid in mat.laid if laid.piece in mine}
    fabrics = rules.product.dealing.fabrics
    if len(dealt) == len({piece for piece, _ in dealt}) or not fabrics:
        return ()
    numbers: dict[str, list[str]] = {}
    for copy in range(copies):
        numbers.setdefault(fabrics[copy % len(fabrics)], []).append(str(copy + 1))
    return tuple(
        (f"{'Copy' if len(some) == 1 else 'Copies'} {listing(some)}", rules.fabric_label(fabric))
        for fabric, some in numbers.items()
    )


def _title(sources: list[SourceEntry]) -> str:
    if not sources:
        return "No design"
    more = f" and {words.count(len(sources) - 1, 'more design')}" if len(sources) > 1 else ""
    return sources[0].name + more


def _about(alike: Sequence[FindingEntry], sources: list[SourceEntry]) -> str:
    first, *others = alike
    if others:
        return f"Pieces {listing([one.piece or '' for one in alike])}:"
    if first.twins:
        return f"Piece {first.piece} and its {twins_in_words(first.twins)}:"
    if first.piece:
        return f"Piece {first.piece}:"
    if first.design and len(sources) > 1:
        return f"{sources[first.design - 1].name}:"
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
