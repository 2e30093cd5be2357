"""A job whose every value is made by hand: two leaves, twins of each other, a ring flower and batting."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from piecewright.cutting.design import Block, Design, Thread
from piecewright.cutting.findings import Finding
from piecewright.cutting.geometry import Region, area, curved, frozen, transformed
from piecewright.cutting.mats import Demand, FabricNeed, LaidPiece, Layout, MatLayout
from piecewright.cutting.outlines import CutOutline, EdgeCheck, Outlines, Twin
from piecewright.cutting.passes import Pass, Role, Run, Stitch
from piecewright.cutting.pieces import Piece, Understanding
from piecewright.cutting.report import Report, Stages, build_report
from piecewright.cutting.rules import DealingRules, Fabric, JobRules, Mat, Product

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.geometry import FloatArray

NO_EDGE = EdgeCheck(
    least_cover_mm=0.4,
    median_cover_mm=0.6,
    uncovered_share=0.0,
    least_reach_mm=0.9,
    hidden_share=0.0,
    worst_place=None,
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Case:
    """All arguments of the job sheet."""

    report: Report
    designs: tuple[Design, ...]
    understandings: tuple[Understanding, ...]
    outlines: tuple[Outlines, ...]
    layout: Layout
    rules: JobRules

    def with_report(self, **changes: object) -> Case:
        """The same job with parts of the report replaced."""
        return replace(self, report=self.report.model_copy(update=changes))


def leaf(
    x_mm: float, y_mm: float, *, turned_deg: float = 0, mirrored: bool = False, grown: float = 0
) -> Region:
    """A lopsided leaf, about 50 by 24 mm, so that turned over it is not itself."""
    t = np.linspace(0, 2 * np.pi, 120, endpoint=False)
    points = np.c_[
        (25 + grown) * np.cos(t) * (1 + 0.12 * np.sin(t)), (12 + grown) * np.sin(t) * (1 + 0.35 * np.cos(t))
    ]
    return transformed(Region(exterior=frozen(points)), turned_deg, mirrored, x_mm, y_mm)


def ring(x_mm: float, y_mm: float, radius_mm: float, hole_mm: float) -> Region:
    """A disc with a round hole."""
    t = np.linspace(0, 2 * np.pi, 120, endpoint=False)
    unit = np.c_[np.cos(t), np.sin(t)]
    middle = np.array([x_mm, y_mm])
    return Region(exterior=frozen(middle + radius_mm * unit), holes=(frozen(middle + hole_mm * unit[::-1]),))


def zigzag(line: FloatArray, width_mm: float, spacing_mm: float) -> FloatArray:
    """Needle points that swing across a closed line."""
    closed = np.vstack([line, line[:1]])
    steps = np.hypot(*np.diff(closed, axis=0).T)
    at = np.arange(0, steps.sum(), spacing_mm)
    along = np.r_[0, np.cumsum(steps)]
    base = np.c_[np.interp(at, along, closed[:, 0]), np.interp(at, along, closed[:, 1])]
    ahead = np.roll(base, -1, axis=0) - base
    normal = np.c_[-ahead[:, 1], ahead[:, 0]] / np.maximum(np.hypot(*ahead.T), 1e-9)[:, None]
    swing = np.where(np.arange(len(base)) % 2, width_mm / 2, -width_mm / 2)[:, None]
    return frozen(base + normal * swing)


def closed(line: FloatArray, every: int = 3) -> FloatArray:
    """Needle points along a closed line."""
    return frozen(np.vstack([line[::every], line[:1]]))


def block(number: int, colour: str | None, name: str | None, *parts: FloatArray) -> Block:
    """A block of several runs with the thread cut between them."""
    points = np.vstack(parts)
    cut = np.zeros(len(points), dtype=np.bool_)
    cut[np.cumsum([len(part) for part in parts])[:-1]] = True
    return Block(
        number=number,
        thread=Thread(colour=colour, name=name),
        points=frozen(points),
        cut_before=cut,
        travel_before=cut.copy(),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Sewn:
    """One pass of the made-up design: which role, how stitched, for which pieces."""

    role: Role
    stitch: Stitch
    pieces: tuple[str, ...]
    parts: tuple[FloatArray, ...]
    colour: str
    name: str | None
    width_mm: float = 0.0


def _passes(sewn: Sequence[Sewn]) -> tuple[Pass, ...]:
    return tuple(
        Pass(
            number=number,
            block=number,
            runs=tuple(
                Run(
                    block=number,
                    first=0,
                    last=len(part) - 1,
                    points=part,
                    stitch=one.stitch,
                    width_mm=one.width_mm,
                    spacing_mm=0.4 if one.width_mm else 0.0,
                    stitch_length_mm=2.5,
                    closed=True,
                )
                for part in one.parts
            ),
            role=one.role,
            stitch=one.stitch,
            confidence=0.95,
            evidence=("sewn again after a halt",),
            pieces=one.pieces,
        )
        for number, one in enumerate(sewn, 1)
    )


def _piece(name: str, line: Region, passes: Sequence[Pass], *, cut: bool = True) -> Piece:
    def numbers(role: Role) -> tuple[int, ...]:
        return tuple(p.number for p in passes if p.role is role and name in p.pieces)

    return Piece(
        id=name,
        kind="applique",
        line=line,
        placement=numbers(Role.PLACEMENT),
        tack_down=numbers(Role.TACK_DOWN),
        cover=numbers(Role.COVER),
        confidence=0.95,
        evidence=("sewn again after a halt",),
        cut=cut,
    )


def _outline(piece: Piece, grown: Region, twin: Twin | None = None) -> CutOutline:
    return CutOutline(
        piece=piece,
        line=curved(piece.line),
        curve=curved(grown),
        offset_mm=1.5,
        area_mm2=area(grown),
        corners=frozen(np.zeros((0, 2))),
        edge=NO_EDGE,
        twin=twin,
    )


def _laid(outline: CutOutline, number: int, x: float, y: float, fabric: str, **turn: float) -> LaidPiece:
    turned, mirrored = turn.get("turned", 0.0), bool(turn.get("mirrored", 0))
    centre = outline.curve.exterior[:, 0].mean(axis=0)
    home = transformed(outline.curve, turned, mirrored, 0, 0).exterior[:, 0].mean(axis=0)
    assert centre.shape == home.shape
    return LaidPiece(
        id=f"{outline.piece.id}-{number}",
        piece=outline.piece.id,
        design="kräuter & co.dst",
        curve=transformed(outline.curve, turned, mirrored, x - home[0], y - home[1]),
        x_mm=x - home[0],
        y_mm=y - home[1],
        turned_deg=turned,
        mirrored=mirrored,
        patch=None,
        fabric=fabric,
    )


def herb_bed(name: str = "herb bed.dst", *, show: str = "mm", product: str = "Table runner") -> Case:
    r"""Leaves A and B (B turned over), a ring C, and a bud D that is too uncertain to cut.

     __A__     __B__
    <_____>   <_____>      (C)      D
    """
    a = leaf(-45, -20)
    b = leaf(45, -20, mirrored=True)
    c = ring(0, 25, 22, 8)
    d = Region(exterior=ring(45, 35, 7, 1).exterior)
    leaves = (closed(a.exterior), closed(b.exterior))
    rings = (closed(c.exterior), closed(c.holes[0]))
    green, rust = "#3f6b3a", "#a4502a"
    sewn = (
        Sewn(
            role=Role.PLACEMENT,
            stitch=Stitch.SINGLE_RUN,
            pieces=("A", "B"),
            parts=leaves,
            colour=green,
            name=None,
        ),
        Sewn(
            role=Role.TACK_DOWN,
            stitch=Stitch.ZIGZAG,
            pieces=("A", "B"),
            parts=(zigzag(a.exterior, 2.0, 1.6), zigzag(b.exterior, 2.0, 1.6)),
            colour=green,
            name=None,
            width_mm=2.0,
        ),
        Sewn(
            role=Role.PLACEMENT,
            stitch=Stitch.SINGLE_RUN,
            pieces=("C",),
            parts=rings,
            colour=rust,
            name="Rust",
        ),
        Sewn(
            role=Role.TACK_DOWN,
            stitch=Stitch.DOUBLE_RUN,
            pieces=("C",),
            parts=rings,
            colour=rust,
            name="Rust",
        ),
        Sewn(
            role=Role.COVER,
            stitch=Stitch.SATIN,
            pieces=("A", "B"),
            parts=(zigzag(a.exterior, 3.6, 0.4), zigzag(b.exterior, 3.6, 0.4)),
            colour="#2c4d2a",
            name=None,
            width_mm=3.6,
        ),
        Sewn(
            role=Role.COVER,
            stitch=Stitch.SATIN,
            pieces=("C",),
            parts=(zigzag(c.exterior, 3.6, 0.4), zigzag(c.holes[0], 3.6, 0.4)),
            colour="#7c3519",
            name="Dark rust",
            width_mm=3.6,
        ),
        Sewn(
            role=Role.PLACEMENT,
            stitch=Stitch.SINGLE_RUN,
            pieces=("D",),
            parts=(closed(d.exterior),),
            colour="#d8b23c",
            name=None,
        ),
        Sewn(
            role=Role.DETAIL,
            stitch=Stitch.SINGLE_RUN,
            pieces=(),
            parts=(frozen([[-45, -18], [-30, -20], [-20, -22]]), frozen([[45, -18], [30, -20], [20, -22]])),
            colour="#d8b23c",
            name=None,
        ),
    )
    design = Design(
        name=name,
        format="DST",
        blocks=tuple(block(n, one.colour, one.name, *one.parts) for n, one in enumerate(sewn, 1)),
    )
    passes = _passes(sewn)
    pieces = tuple(
        _piece(i, line, passes, cut=i != "D") for i, line in (("A", a), ("B", b), ("C", c), ("D", d))
    )
    unsure = Finding(
        code="unsure-piece",
        message="Its line is sewn only once, so it may be a drawing and no placement line.",
        advice="Name its block under by_hand in the rules if it is one.",
        piece="D",
        place=(45.0, 35.0),
    )
    understanding = Understanding(passes=passes, pieces=pieces, findings=(unsure,))
    grown = {
        "A": leaf(-45, -20, grown=1.5),
        "B": leaf(45, -20, mirrored=True, grown=1.5),
        "C": ring(0, 25, 23.5, 6.5),
    }
    outlines = Outlines(
        outlines=(
            _outline(pieces[0], grown["A"]),
            _outline(pieces[1], grown["B"], Twin(of="A", turned_deg=0.0, mirrored=True)),
            _outline(pieces[2], grown["C"]),
        ),
        findings=(
            Finding(
                code="edge-shows",
                message="The raw edge sticks out from under the cover by 0.2 mm at its left.",
                advice="Choose a smaller offset, or a design with a wider cover.",
                piece="C",
                place=(-22.0, 25.0),
            ),
        ),
    )
    by_id = {outline.piece.id: outline for outline in outlines.outlines}
    layout = Layout(
        mats=(
            _mat(
                1,
                "moss",
                _laid(by_id["A"], 1, 40, 25, "moss"),
                _laid(by_id["B"], 1, 40, 60, "moss"),
                _laid(by_id["A"], 2, 100, 25, "moss", turned=180.0),
                _laid(by_id["B"], 2, 100, 60, "moss", turned=180.0),
            ),
            _mat(2, "rust", _laid(by_id["C"], 1, 34, 34, "rust"), _laid(by_id["C"], 2, 88, 34, "rust")),
        ),
        fabrics=(
            FabricNeed(fabric="moss", width_mm=125, height_mm=70, count=1, area_mm2=4000),
            FabricNeed(fabric="rust", width_mm=105, height_mm=48, count=1, area_mm2=3000),
        ),
        findings=(),
    )
    rules = JobRules(
        show=show,
        mats={"plain mat": Mat(width="305 mm", height="305 mm")},
        fabrics={"moss": Fabric(label="Moss linen", colour="#9db58c"), "rust": Fabric(label="Rust cotton")},
        product=Product(
            name=product, dealing=DealingRules(copies=2, fabrics=("moss",), by_piece={"C": "rust"})
        ),
    )
    stages = Stages(
        design=design,
        understanding=understanding,
        outlines=outlines,
        prefix="",
        sha256="0" * 64,
        copies=2,
    )
    demands = tuple(
        Demand(
            piece=i,
            design=name,
            outline=by_id[i].curve,
            fabric="rust" if i == "C" else "moss",
            copies=2,
            face_down=False,
            base=False,
        )
        for i in "ABC"
    )
    report = build_report(
        [stages],
        demands,
        layout,
        rules,
        job="7f3a",
        mat_files={1: ["runner_moss_1.svg"], 2: ["runner_rust_2.svg"]},
    )
    return Case(
        report=report,
        designs=(design,),
        understandings=(understanding,),
        outlines=(outlines,),
        layout=layout,
        rules=rules,
    )


def _mat(number: int, fabric: str, *laid: LaidPiece) -> MatLayout:
    return MatLayout(
        number=number,
        mat="plain mat",
        width_mm=305,
        height_mm=305,
        fabric=fabric,
        laid=laid,
        fill_ratio=0.1,
        cut_mm=500,
        travel_mm=200,
        seconds=130,
    )
