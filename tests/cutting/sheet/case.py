"""Whole jobs made by hand from the herb bed: alone, as an order of two, on patches, with nothing cut."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING, Any

from piecewright.cutting.geometry import bounds, transformed
from piecewright.cutting.mats import Demand, FabricNeed, LaidPiece, Layout, MatLayout
from piecewright.cutting.outlines import Outlines
from piecewright.cutting.pieces import Understanding
from piecewright.cutting.report import FileEntry, Report, build_report
from piecewright.cutting.rules import JobRules
from piecewright.cutting.stages import Stages
from tests.cutting.sheet import herbs

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence


HOSTILE = """<script>alert(1)</script>"'&</svg></style>{{ 7*7 }}.dst"""
FILE_NAMES = "herb-bed-for-the-long-table_Moss-linen_mat-"
MAT_MM = 305.0
PITCH_MM = 60.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Case:
    """All arguments of the job sheet."""

    report: Report
    stages: tuple[Stages, ...]
    layout: Layout
    rules: JobRules

    @property
    def arguments(self) -> tuple[Any, ...]:
        """In the order of ``sheet.write``."""
        return (self.report, self.stages, self.layout, self.rules)


def herb_bed(name: str = "herb bed.dst", rules: JobRules | None = None) -> Case:
    r"""Leaves A and B (B turned over), a ring C, and a bud D that is too uncertain to cut; sewn twice.

     __A__     __B__
    <_____>   <_____>      (C)      D
    """
    return job([stages_of(name)], rules or rules_of())


def order() -> Case:
    """Two designs as one drop; the ids of their pieces begin with 1 and 2."""
    return job([stages_of("herb bed.dst", "1"), stages_of("second bed.dst", "2")], rules_of())


def nothing_to_cut(name: str = "line drawing.pes") -> Case:
    """The same stitches, understood as a drawing."""
    drawing = Stages(
        design=herbs.design(name),
        understanding=Understanding(passes=(), pieces=(), findings=()),
        outlines=Outlines(outlines=(), findings=()),
        sha256="0" * 64,
        copies=1,
    )
    return job([drawing], rules_of())


def stages_of(name: str, prefix: str = "") -> Stages:
    """The herb bed under a name."""
    return Stages(
        design=herbs.design(name),
        understanding=herbs.understanding(prefix),
        outlines=herbs.outlines(prefix),
        sha256="0" * 64,
        copies=1,
    )


def rules_of(
    *,
    show: str = "mm",
    label: str = "Moss linen",
    product: str = "Table runner",
    fusible_back: bool = False,
    in_turn: bool = False,
) -> JobRules:
    """Two copies; leaves from moss and the ring from rust, or moss and rust in turn."""
    fabrics = {"fabrics": ["moss", "rust"]} if in_turn else {"by_piece": {"C": "rust"}, "fabrics": ["moss"]}
    return JobRules.model_validate(
        {
            "show": show,
            "mats": {"plain mat": {"width": f"{MAT_MM} mm", "height": f"{MAT_MM} mm"}},
            "fabrics": {"moss": {"label": label, "colour": "#9db58c"}, "rust": {"label": "Rust cotton"}},
            "product": {"name": product, "dealing": {"copies": 2, "fusible_back": fusible_back, **fabrics}},
        }
    )


def job(stages: Sequence[Stages], rules: JobRules, *, patches: bool = False) -> Case:
    """What the stages of the job would have handed to the sheet."""
    demands = tuple(demand for one in stages for demand in _demands(one, rules))
    layout = _layout(demands, patches=patches)
    report = build_report(
        stages,
        demands,
        layout,
        rules,
        job="7f3a",
        files=[
            FileEntry(name=f"{FILE_NAMES}{m.number}{ending}", sha256="0" * 64, kind=kind, mat=m.number)
            for m in layout.mats
            for kind, ending in (("svg", ".svg"), ("pen", "-pen.svg"))
        ],
    )
    return Case(
        report=report,
        stages=tuple(stages),
        layout=layout,
        rules=rules,
    )


def _demands(one: Stages, rules: JobRules) -> Iterable[Demand]:
    dealing = rules.product.dealing
    for outline in one.outlines.outlines:
        named = dealing.by_piece.get(outline.piece.letter)
        turns = [named] if named else dealing.fabrics
        for fabric, copies in Counter(turns[copy % len(turns)] for copy in range(dealing.copies)).items():
            yield Demand(
                piece=outline.piece.id,
                design=one.design.name,
                outline=outline.curve,
                fabric=fabric,
                copies=copies,
                face_down=dealing.fusible_back,
                base=False,
            )


def _layout(demands: Sequence[Demand], *, patches: bool) -> Layout:
    """Each fabric on its own mat, pieces on a grid of 60 mm."""
    by_fabric = groupby(sorted(demands, key=lambda demand: demand.fabric), key=lambda demand: demand.fabric)
    mats = tuple(
        _mat(n, fabric, list(some), patches=patches) for n, (fabric, some) in enumerate(by_fabric, 1)
    )
    needs = tuple(
        FabricNeed(
            fabric=mat.fabric,
            width_mm=PITCH_MM if patches else 250.0,
            height_mm=PITCH_MM if patches else 120.0,
            count=len(mat.laid) if patches else 1,
            area_mm2=4000.0,
        )
        for mat in mats
    )
    return Layout(mats=mats, fabrics=needs, findings=())


def _mat(number: int, fabric: str, demands: Sequence[Demand], *, patches: bool) -> MatLayout:
    copies = [(demand, copy) for demand in demands for copy in range(1, demand.copies + 1)]
    return MatLayout(
        number=number,
        mat="plain mat",
        width_mm=MAT_MM,
        height_mm=MAT_MM,
        fabric=fabric,
        laid=tuple(_laid(place, *one, patch=patches) for place, one in enumerate(copies)),
        fill_ratio=0.1,
        cut_mm=500.0,
        travel_mm=200.0,
        seconds=130.0,
    )


def _laid(place: int, demand: Demand, copy: int, *, patch: bool) -> LaidPiece:
    mirrored = demand.face_down
    x0, y0, x1, y1 = bounds(transformed(demand.outline, 0.0, mirrored, 0.0, 0.0))
    left, top = 5 + PITCH_MM * (place % 4), 5 + PITCH_MM * (place // 4)
    x, y = left + (PITCH_MM - x0 - x1) / 2, top + (PITCH_MM - y0 - y1) / 2
    return LaidPiece(
        id=f"{demand.piece}-{copy}",
        piece=demand.piece,
        design=demand.design,
        curve=transformed(demand.outline, 0.0, mirrored, x, y),
        x_mm=x,
        y_mm=y,
        turned_deg=0.0,
        mirrored=mirrored,
        patch=(left, top, PITCH_MM, PITCH_MM) if patch else None,
        fabric=demand.fabric,
    )
