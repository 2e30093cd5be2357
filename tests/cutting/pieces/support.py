"""Finding pieces in designs sewn by tests, and holding them against the curves that were sewn."""

from __future__ import annotations

from typing import TYPE_CHECKING

from piecewright.cutting.geometry import Region
from piecewright.cutting.passes import find_runs
from piecewright.cutting.pieces import find_pieces
from piecewright.cutting.rules import PassRules
from tests.overlap import iou as overlap

if TYPE_CHECKING:
    from piecewright.cutting.design import Design
    from piecewright.cutting.geometry import FloatArray
    from piecewright.cutting.passes import Pass, Role
    from piecewright.cutting.pieces import Piece, Understanding


def understood(design: Design, rules: PassRules | None = None) -> Understanding:
    """Runs and pieces of a design."""
    return find_pieces(design, find_runs(design), rules or PassRules())


def region(curve: FloatArray, *holes: FloatArray) -> Region:
    """What closed curves enclose."""
    return Region(exterior=curve[:-1], holes=tuple(hole[:-1] for hole in holes))


def assert_cut(found: Understanding, *curves: FloatArray | Region, iou: float = 0.97) -> None:
    """Exactly these are cut."""
    wanted = [curve if isinstance(curve, Region) else region(curve) for curve in curves]
    cut = [piece for piece in found.pieces if piece.cut]
    assert len(cut) == len(wanted), [(p.id, p.confidence, p.evidence) for p in found.pieces]
    for one in wanted:
        best = max(overlap(one, piece.line) for piece in cut)
        assert best >= iou


def roles(found: Understanding, piece: Piece | None = None) -> list[tuple[int, Role]]:
    """Block and role of every pass, or of those of one piece."""
    return [(one.block, one.role) for one in found.passes if piece is None or piece.id in one.pieces]


def passes_of(found: Understanding, numbers: tuple[int, ...]) -> list[Pass]:
    """The passes with these numbers."""
    return [found.passes[number - 1] for number in numbers]


def codes(found: Understanding) -> list[str]:
    """Codes of the findings."""
    return [finding.code for finding in found.findings]
