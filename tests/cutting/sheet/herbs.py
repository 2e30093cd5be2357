"""A herb bed, sewn by hand: two leaves that are twins, a ring, and a bud too uncertain to be cut."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from piecewright.cutting.design import Block, Design, Thread
from piecewright.cutting.geometry import FloatArray, Region, area, curved, frozen, transformed
from piecewright.cutting.outlines import CutOutline, EdgeCheck, Outlines, Twin
from piecewright.cutting.passes import Pass, Role, Run, Stitch
from piecewright.cutting.pieces import Piece, Understanding
from tests.cutting.sheet.doubts import EDGE_SHOWS, UNSURE

OFFSET_MM = 1.5
GREEN, RUST, GOLD = "#3f6b3a", "#a4502a", "#d8b23c"
EDGE = EdgeCheck(
    least_cover_mm=0.4,
    median_cover_mm=0.6,
    uncovered_share=0.0,
    least_reach_mm=0.9,
    hidden_share=0.0,
    worst_place=None,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sewn:
    """One pass: its role, how it is stitched, for which pieces, along which lines, with which thread."""

    role: Role
    stitch: Stitch
    pieces: str
    parts: tuple[FloatArray, ...]
    thread: Thread
    width_mm: float = 0.0


def leaf(x_mm: float, y_mm: float, *, mirrored: bool = False, grown: float = 0) -> Region:
    """A lopsided leaf, about 50 by 24 mm, so that turned over it is not itself."""
    t = np.linspace(0, 2 * np.pi, 120, endpoint=False)
    x, y = (25 + grown) * np.cos(t), (12 + grown) * np.sin(t)
    points = np.c_[x * (1 + 0.12 * np.sin(t)), y * (1 + 0.35 * np.cos(t))]
    return transformed(Region(exterior=frozen(points)), 0.0, mirrored, x_mm, y_mm)


def ring(x_mm: float, y_mm: float, radius_mm: float, hole_mm: float) -> Region:
    """A disc with a round hole."""
    t = np.linspace(0, 2 * np.pi, 120, endpoint=False)
    unit, middle = np.c_[np.cos(t), np.sin(t)], np.array([x_mm, y_mm])
    return Region(exterior=frozen(middle + radius_mm * unit), holes=(frozen(middle + hole_mm * unit[::-1]),))


def zigzag(line: FloatArray, width_mm: float, spacing_mm: float) -> FloatArray:
    """Needle points that swing across a closed line."""
    closed_line = np.vstack([line, line[:1]])
    steps = np.hypot(*np.diff(closed_line, axis=0).T)
    at, along = np.arange(0, steps.sum(), spacing_mm), np.r_[0, np.cumsum(steps)]
    base = np.c_[np.interp(at, along, closed_line[:, 0]), np.interp(at, along, closed_line[:, 1])]
    ahead = np.roll(base, -1, axis=0) - base
    normal = np.c_[-ahead[:, 1], ahead[:, 0]] / np.maximum(np.hypot(*ahead.T), 1e-9)[:, None]
    return frozen(base + normal * np.where(np.arange(len(base)) % 2, 0.5, -0.5)[:, None] * width_mm)


def closed(line: FloatArray) -> FloatArray:
    """Needle points along a closed line."""
    return frozen(np.vstack([line[::3], line[:1]]))


LEAF_A, LEAF_B = leaf(-45, -20), leaf(45, -20, mirrored=True)
RING_C, BUD_D = ring(0, 25, 22, 8), Region(exterior=ring(45, 35, 7, 1).exterior)
LEAVES = (LEAF_A.exterior, LEAF_B.exterior)
RINGS = (RING_C.exterior, *RING_C.holes)
CUT = {
    "A": leaf(-45, -20, grown=OFFSET_MM),
    "B": leaf(45, -20, mirrored=True, grown=OFFSET_MM),
    "C": ring(0, 25, 22 + OFFSET_MM, 8 - OFFSET_MM),
}


def sewing() -> tuple[Sewn, ...]:
    """One pass a block, in sewing order."""
    green, rust, gold = Thread(colour=GREEN), Thread(colour=RUST, name="Rust"), Thread(colour=GOLD)
    leaf_lines, ring_lines = tuple(map(closed, LEAVES)), tuple(map(closed, RINGS))

    def swing(lines: tuple[FloatArray, ...], width: float, spacing: float) -> tuple[FloatArray, ...]:
        return tuple(zigzag(line, width, spacing) for line in lines)

    def row(
        role: Role,
        stitch: Stitch,
        pieces: str,
        parts: tuple[FloatArray, ...],
        thread: Thread,
        width: float = 0,
    ) -> Sewn:
        return Sewn(role=role, stitch=stitch, pieces=pieces, parts=parts, thread=thread, width_mm=width)

    veins = (frozen([[-45, -18], [-30, -20], [-20, -22]]), frozen([[45, -18], [30, -20], [20, -22]]))
    return (
        row(Role.PLACEMENT, Stitch.SINGLE_RUN, "AB", leaf_lines, green),
        row(Role.TACK_DOWN, Stitch.ZIGZAG, "AB", swing(LEAVES, 2.0, 1.6), green, 2.0),
        row(Role.PLACEMENT, Stitch.SINGLE_RUN, "C", ring_lines, rust),
        row(Role.TACK_DOWN, Stitch.DOUBLE_RUN, "C", ring_lines, rust),
        row(Role.COVER, Stitch.SATIN, "AB", swing(LEAVES, 3.6, 0.4), Thread(colour="#2c4d2a"), 3.6),
        row(Role.COVER, Stitch.SATIN, "C", swing(RINGS, 3.6, 0.4), Thread(catalog="1045"), 3.6),
        row(Role.PLACEMENT, Stitch.SINGLE_RUN, "D", (closed(BUD_D.exterior),), gold),
        row(Role.DETAIL, Stitch.SINGLE_RUN, "", veins, gold),
        row(Role.DETAIL, Stitch.SINGLE_RUN, "", veins, rust),
    )


def design(name: str) -> Design:
    """The stitches."""
    blocks = [_block(number, one) for number, one in enumerate(sewing(), 1)]
    return Design(name=name, format="DST", blocks=tuple(blocks))


def understanding(prefix: str = "") -> Understanding:
    """What is known of them; the names of pieces begin with the number of the design, if it has one."""
    passes = tuple(_pass(number, one, prefix) for number, one in enumerate(sewing(), 1))
    lines = {"A": LEAF_A, "B": LEAF_B, "C": RING_C, "D": BUD_D}
    pieces = tuple(_piece(prefix + letter, line, passes) for letter, line in lines.items())
    return Understanding(passes=passes, pieces=pieces, findings=(replace(UNSURE, piece=f"{prefix}D"),))


def outlines(prefix: str = "") -> Outlines:
    """What is cut: A, its twin B turned over, and C."""
    pieces = {piece.letter: piece for piece in understanding(prefix).pieces}
    made = (
        CutOutline(
            piece=pieces[name],
            sewn=pieces["A" if name == "B" else name].line,
            curve=curved(grown),
            offset_mm=OFFSET_MM,
            area_mm2=area(grown),
            corners=frozen(np.zeros((0, 2))),
            edge=EDGE,
            twin=Twin(of=f"{prefix}A", turned_deg=0.0, mirrored=True) if name == "B" else None,
        )
        for name, grown in CUT.items()
    )
    return Outlines(outlines=tuple(made), findings=(replace(EDGE_SHOWS, piece=f"{prefix}C"),))


def _block(number: int, one: Sewn) -> Block:
    points = np.vstack(one.parts)
    cut = np.zeros(len(points), dtype=np.bool_)
    cut[np.cumsum([len(part) for part in one.parts])[:-1]] = True
    return Block(
        number=number, thread=one.thread, points=frozen(points), cut_before=cut, travel_before=cut.copy()
    )


def _pass(number: int, one: Sewn, prefix: str) -> Pass:
    runs = tuple(
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
    )
    return Pass(
        number=number,
        block=number,
        runs=runs,
        role=one.role,
        stitch=one.stitch,
        confidence=0.95,
        evidence=("sewn again after a halt",),
        pieces=tuple(prefix + letter for letter in one.pieces),
    )


def _piece(name: str, line: Region, passes: tuple[Pass, ...]) -> Piece:
    def numbers(role: Role) -> tuple[int, ...]:
        return tuple(p.number for p in passes if p.role is role and name in p.pieces)

    return Piece(
        id=name,
        kind="applique",
        line=line,
        placement=numbers(Role.PLACEMENT),
        tack_down=numbers(Role.TACK_DOWN),
        cover=numbers(Role.COVER),
        confidence=0.45 if name.endswith("D") else 0.95,
        evidence=("sewn again after a halt",),
        cut=not name.endswith("D"),
    )
