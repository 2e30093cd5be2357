"""Stage 6, writing: every mat in every format of the product, under names that people can tell apart.

Terms: a *cut file* is one mat in one format, or the paper template of all pieces; its *kind* is that
format, or ``pen`` for piece letters; the *name* of a job is what its files are called after.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from piecewright.cutting.filenames import mat_file, template_file, without_ending
from piecewright.cutting.formats import dxf, pdf, svg
from piecewright.cutting.matformats import MAT_FORMATS, PEN_ENDING
from piecewright.cutting.rules import Writable

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from piecewright.cutting.formats.pdf import Template
    from piecewright.cutting.geometry import CurvedRegion
    from piecewright.cutting.mats import Demand, Layout, MatLayout
    from piecewright.cutting.rules import JobRules

Kind = Writable | Literal["pen"]


@dataclass(frozen=True, slots=True, kw_only=True)
class JobFile:
    """One file of the job.

    Attributes:
        name: Under which it leaves.
        kind: What it is, as ``sheet/files.py`` explains it.
        mat: Number of the mat that it shows; None if it shows none by itself.
        data: Its bytes.
    """

    name: str
    kind: str
    mat: int | None
    data: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class CutFile(JobFile):
    """One file that somebody cuts from; every one of them is read back before it leaves."""

    kind: Kind


def load_libraries() -> None:
    """Import the libraries that only some formats need and that take longest, ahead of the first job.

    A job imports them by itself when it writes such a format; a process that forks workers for many
    jobs does better to have them before.
    """
    dxf.load_library()
    pdf.load_library()


def paper_templates(
    demands: Iterable[Demand], lines: Mapping[str, CurvedRegion], rules: JobRules
) -> tuple[Template, ...]:
    """The pieces as they are printed for cutting by hand, if the product asks for it.

    Args:
        demands: What is cut.
        lines: Sewing line of each piece, by its id in the job.
        rules: Of the job, for the formats and for the labels of fabrics.
    """
    if "pdf" not in rules.product.writing.formats:
        return ()
    return pdf.templates_of(demands, lines, {key: rules.fabric_label(key) for key in rules.fabrics})


def write_cut_files(
    layout: Layout, templates: Sequence[Template], rules: JobRules, *, name: str = ""
) -> tuple[CutFile, ...]:
    """Write every mat in the formats that the product asks for, mat by mat, then the paper template.

    Args:
        layout: The mats.
        templates: What is printed, if anything.
        rules: Of the job, for the formats and for labels.
        name: What the job is known by, with or without a file's ending; the product's name if "".
    """
    called = without_ending(name) or rules.product.name
    files = tuple(file for mat in layout.mats for file in _mat_files(mat, called, rules))
    return (*files, _paper(templates, called, rules)) if templates else files


def _mat_files(mat: MatLayout, called: str, rules: JobRules) -> Iterator[CutFile]:
    label = rules.fabric_label(mat.fabric)
    title = " · ".join(dict.fromkeys(filter(None, (called, rules.product.name, label, f"mat {mat.number}"))))

    def file(kind: Kind, ending: str, data: bytes) -> CutFile:
        return CutFile(name=mat_file(called, label, mat.number, ending), kind=kind, mat=mat.number, data=data)

    for kind in rules.product.writing.formats:
        if kind in MAT_FORMATS:
            yield file(kind, MAT_FORMATS[kind].ending, MAT_FORMATS[kind].write(mat, title))
    if rules.product.writing.pen_labels:
        yield file("pen", PEN_ENDING, svg.write_pen(mat, title))


def _paper(templates: Sequence[Template], called: str, rules: JobRules) -> CutFile:
    title = " · ".join(dict.fromkeys((called, rules.product.name)))
    data = pdf.write(templates, title, rules.product.writing.paper, rules.show)
    return CutFile(name=template_file(called), kind="pdf", mat=None, data=data)
