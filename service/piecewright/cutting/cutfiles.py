"""Stage 6, writing: every mat in every format of the product, under names that people can tell apart.

Terms: a *cut file* is one mat in one format, or the paper template of all pieces; its *kind* is that
format, or ``pen`` for piece letters.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

from piecewright.cutting.filenames import mat_file, template_file
from piecewright.cutting.formats import dxf, pdf, plt, svg

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

    from piecewright.cutting.formats.pdf import Template
    from piecewright.cutting.geometry import CurvedRegion
    from piecewright.cutting.mats import Demand, Layout, MatLayout
    from piecewright.cutting.rules import JobRules

MatKind = Literal["svg", "dxf", "plt", "pen"]
Kind = MatKind | Literal["pdf"]

_ENDINGS: Final[Mapping[MatKind, str]] = {"svg": ".svg", "dxf": ".dxf", "plt": ".plt", "pen": "-pen.svg"}


@dataclass(frozen=True, slots=True, kw_only=True)
class CutFile:
    """One file that somebody cuts from.

    Attributes:
        name: Under which it leaves.
        kind: What it is.
        mat: Number of the mat; None for the paper template.
        data: Its bytes.
    """

    name: str
    kind: Kind
    mat: int | None
    data: bytes


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
    return pdf.templates_of(demands, lines, {key: fabric.label for key, fabric in rules.fabrics.items()})


def write_cut_files(layout: Layout, templates: Sequence[Template], rules: JobRules) -> tuple[CutFile, ...]:
    """Write every mat in the formats that the product asks for, mat by mat, then the paper template.

    Args:
        layout: The mats.
        templates: What is printed, if anything.
        rules: Of the job, for the formats and for names.
    """
    files = tuple(
        CutFile(name=name, kind=kind, mat=mat.number, data=_WRITERS[kind](mat, _title(mat, rules)))
        for mat in layout.mats
        for kind in _kinds(rules)
        for name in [mat_file(rules.product.name, _label(mat, rules), mat.number, _ENDINGS[kind])]
    )
    return (*files, _paper(templates, rules)) if templates else files


def _paper(templates: Sequence[Template], rules: JobRules) -> CutFile:
    data = pdf.write(templates, rules.product.name, rules.product.writing.paper, rules.show)
    return CutFile(name=template_file(rules.product.name), kind="pdf", mat=None, data=data)


def _kinds(rules: JobRules) -> Iterator[MatKind]:
    writing = rules.product.writing
    for ending in writing.formats:
        if ending != "pdf":  # the paper template shows pieces, not mats
            yield ending
    if writing.pen_labels:
        yield "pen"


def _label(mat: MatLayout, rules: JobRules) -> str:
    known = rules.fabrics.get(mat.fabric)
    return (known.label if known else "") or mat.fabric


def _title(mat: MatLayout, rules: JobRules) -> str:
    return " · ".join(filter(None, (rules.product.name, _label(mat, rules), f"mat {mat.number}")))


def _plt(mat: MatLayout, title: str) -> bytes:  # noqa: ARG001 - HP-GL has no safe place for a title
    return plt.write(mat)


_WRITERS: Final[Mapping[MatKind, Callable[[MatLayout, str], bytes]]] = {
    "svg": svg.write,
    "dxf": dxf.write,
    "plt": _plt,
    "pen": svg.write_pen,
}
