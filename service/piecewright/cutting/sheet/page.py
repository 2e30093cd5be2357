"""Putting the job sheet together from its parts."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from jinja2 import Environment, PackageLoader, StrictUndefined

from piecewright.cutting.sheet import cuttinglist, edges, files, heading, matpicture, sewing, words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.mats import Layout
    from piecewright.cutting.report import Report
    from piecewright.cutting.rules import JobRules
    from piecewright.cutting.stages import Stages

SHEET_NAME: Final = "sheet.html"

_PAGES: Final = Environment(
    loader=PackageLoader("piecewright.cutting.sheet"),
    autoescape=True,
    undefined=StrictUndefined,
    trim_blocks=True,
    lstrip_blocks=True,
)


def write(report: Report, stages: Sequence[Stages], layout: Layout, rules: JobRules) -> bytes:
    """Write the job sheet.

    Args:
        report: Of the job; its lists of mats and sources are in the order of the other arguments.
        stages: One for each design.
        layout: The mats.
        rules: Of the job: labels, the shop's unit.

    Returns:
        HTML in UTF-8; the same arguments give the same bytes.
    """
    looks = matpicture.looks(layout, rules)
    patches = any(laid.patch for mat in layout.mats for laid in mat.laid)
    over = matpicture.turned_over(report, rules)
    views = [heading.design_view(number, one, report, looks, rules) for number, one in enumerate(stages, 1)]
    steps = [sewing.steps(one.design, number, report, looks, rules) for number, one in enumerate(stages, 1)]
    html = _PAGES.get_template(SHEET_NAME).render(
        words=words,
        head=heading.head(report, rules),
        findings=heading.findings(report, rules.show),
        designs=list(zip(views, steps, strict=True)),
        patches=patches,
        looks=looks,
        needs=cuttinglist.needs(report, looks, rules),
        stock=cuttinglist.stock(report, looks, rules),
        scale=cuttinglist.scale_check(report, layout, rules),
        cutting=cuttinglist.rows(report, layout, stages, looks, rules),
        left_out=cuttinglist.left_out(report, rules),
        mats_hint=matpicture.hint(over, rules, patches=patches),
        mats=[matpicture.mat_view(mat, report, looks, over, rules) for mat in layout.mats],
        edges=edges.rows(report, rules),
        files=files.rows(report),
        fusible_back=rules.product.dealing.fusible_back,
    )
    return html.encode()
