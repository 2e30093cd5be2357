"""Stage 6, writing: every mat in every format of the product, under names that people can tell apart.

Terms: a *cut file* is one mat in one format; its *kind* is that format, or ``pen`` for piece letters.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

from piecewright.cutting.filenames import mat_file
from piecewright.cutting.formats import dxf, plt, svg

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from piecewright.cutting.mats import Layout, MatLayout
    from piecewright.cutting.rules import JobRules

Kind = Literal["svg", "dxf", "plt", "pen"]

_ENDINGS: Final[Mapping[Kind, str]] = {"svg": ".svg", "dxf": ".dxf", "plt": ".plt", "pen": "-pen.svg"}


@dataclass(frozen=True, slots=True, kw_only=True)
class CutFile:
    """One file of one mat.

    Attributes:
        name: Under which it leaves.
        kind: What it is.
        mat: Number of the mat.
        data: Its bytes.
    """

    name: str
    kind: Kind
    mat: int
    data: bytes


def write_cut_files(layout: Layout, rules: JobRules) -> tuple[CutFile, ...]:
    """Write every mat in the formats that the product asks for, mat by mat.

    Args:
        layout: The mats.
        rules: Of the job, for the formats and for names.
    """
    return tuple(
        CutFile(name=name, kind=kind, mat=mat.number, data=_WRITERS[kind](mat, _title(mat, rules)))
        for mat in layout.mats
        for kind in _kinds(rules)
        for name in [mat_file(rules.product.name, _label(mat, rules), mat.number, _ENDINGS[kind])]
    )


def _kinds(rules: JobRules) -> Iterator[Kind]:
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


_WRITERS: Final[Mapping[Kind, Callable[[MatLayout, str], bytes]]] = {
    "svg": svg.write,
    "dxf": dxf.write,
    "plt": _plt,
    "pen": svg.write_pen,
}
