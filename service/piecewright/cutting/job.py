"""The whole job as one function: the stages in order, ended by a self-check.

Terms: a *job* is what becomes of one drop; a *delivery* is the files that leave, and the report.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import TYPE_CHECKING

from piecewright.cutting import sheet
from piecewright.cutting.cutfiles import JobFile, paper_templates, write_cut_files
from piecewright.cutting.errors import PiecewrightError
from piecewright.cutting.findings import Finding
from piecewright.cutting.formats import stitchfile
from piecewright.cutting.mats import Order, deal, lay
from piecewright.cutting.outlines import cut_outlines
from piecewright.cutting.passes import find_runs
from piecewright.cutting.pieces import find_pieces
from piecewright.cutting.report import FileEntry, FindingEntry, build_report
from piecewright.cutting.selfcheck import check
from piecewright.cutting.stages import Stages

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from piecewright.cutting.design import Thread
    from piecewright.cutting.geometry import CurvedRegion
    from piecewright.cutting.mats import Layout
    from piecewright.cutting.report import Report
    from piecewright.cutting.rules import JobRules


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """One design of the drop.

    Attributes:
        name: Its file name.
        data: Its bytes.
        copies: How often the order says it is made.
    """

    name: str
    data: bytes
    copies: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivery:
    """What leaves: files by name, and the report that lists them."""

    files: Mapping[str, bytes]
    report: Report


def cut(sources: Sequence[Source], rules: JobRules, *, job: str, drop: str = "") -> Delivery:
    """Turn the designs of one drop into cut files.

    Args:
        sources: The designs, at least one.
        rules: The rules of the product that the drop belongs to.
        job: Id of the job, for the report.
        drop: What the operator knows the drop by; files are named after it, or after the product.

    Raises:
        PiecewrightError: If no design of the drop can be read, or the self-check fails.
    """
    understood, unread = _understand_all(sources, rules)
    demands = deal([_order(one) for one in understood], rules.product.dealing)
    layout = lay(demands, rules)
    templates = paper_templates(demands, _sewing_lines(understood), rules)
    cut_files = write_cut_files(layout, templates, rules, name=drop)
    check(cut_files, layout, templates)
    report = build_report(
        understood, demands, layout, rules, job=job, files=[_entry(file) for file in cut_files]
    )
    report = report.model_copy(update={"drop": drop, "findings": [*unread, *report.findings]})
    return _delivery(report, [*cut_files, *_papers(report, understood, layout, rules)])


def _papers(
    report: Report, understood: Sequence[Stages], layout: Layout, rules: JobRules
) -> Iterator[JobFile]:
    """What people read beside the cut files."""
    if rules.product.writing.sheet:
        page = sheet.write(report, understood, layout, rules)
        yield JobFile(name=sheet.SHEET_NAME, kind="sheet", mat=None, data=page)


def _delivery(report: Report, files: Sequence[JobFile]) -> Delivery:
    listed = report.model_copy(update={"files": [_entry(file) for file in files]})
    return Delivery(files={file.name: file.data for file in files}, report=listed)


def _understand_all(sources: Sequence[Source], rules: JobRules) -> tuple[list[Stages], list[FindingEntry]]:
    """Understand every design; one that cannot be read is a finding as long as another can."""
    understood: list[Stages] = []
    unread: list[FindingEntry] = []
    last: PiecewrightError | None = None
    for number, source in enumerate(sources, 1):
        prefix = str(number) if len(sources) > 1 else ""
        try:
            understood.append(_understand(source, rules, prefix))
        except PiecewrightError as error:
            last = error
            unread.append(_left_out(source, error))
    if not understood and last is not None:
        raise last
    return understood, unread


def _understand(source: Source, rules: JobRules, prefix: str) -> Stages:
    design = stitchfile.read(source.data, source.name, rules.reading)
    understanding = find_pieces(design, find_runs(design), rules.product.passes, prefix=prefix)
    return Stages(
        design=design,
        understanding=understanding,
        outlines=cut_outlines(understanding, rules.product.outline),
        sha256=hashlib.sha256(source.data).hexdigest(),
        copies=source.copies,
    )


def _left_out(source: Source, error: PiecewrightError) -> FindingEntry:
    doubt = Finding(
        code=error.code,
        says="{design} was left out. {why}",
        values={"design": source.name, "why": error.message},
        advice=error.advice,
    )
    return FindingEntry.of(doubt, None)


def _order(one: Stages) -> Order:
    passes = one.understanding.passes
    threads = {block.number: block.thread for block in one.design.blocks}
    block_of = {piece.id: passes[piece.placement[0] - 1].block for piece in one.understanding.pieces}
    return Order(
        design=one.design.name,
        copies=one.copies,
        outlines=one.outlines.outlines,
        threads={piece: _names_of(threads[block]) for piece, block in block_of.items()},
        blocks=block_of,
    )


def _names_of(thread: Thread) -> tuple[str, ...]:
    return tuple(name for name in (thread.colour, thread.name, thread.catalog) if name)


def _sewing_lines(understood: Sequence[Stages]) -> dict[str, CurvedRegion]:
    return {outline.piece.id: outline.line for one in understood for outline in one.outlines.outlines}


def _entry(file: JobFile) -> FileEntry:
    return FileEntry(
        name=file.name, sha256=hashlib.sha256(file.data).hexdigest(), kind=file.kind, mat=file.mat
    )
