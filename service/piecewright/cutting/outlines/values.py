"""The values of stage 4: what is cut for each piece, and how sure its raw edge is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from piecewright.cutting.geometry import transformed
from piecewright.cutting.outlines.line import curve_of

if TYPE_CHECKING:
    from piecewright.cutting.findings import Finding
    from piecewright.cutting.geometry import CurvedRegion, FloatArray, Region
    from piecewright.cutting.pieces import Piece


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeCheck:
    """How the raw edge lies between tack-down and cover; None where the design has no such stitches.

    Attributes:
        least_cover_mm: Least distance from the raw edge to the outer limit of the cover (negative:
            the edge sticks out), over the part of the edge that is not hidden under a later piece.
        median_cover_mm: The same, in the median.
        uncovered_share: Share of that part of the edge that sticks out from under the cover by more
            than half a thread's width.
        least_reach_mm: Least fabric beyond the tack-down.
        hidden_share: Share of the edge that lies under a later piece.
        worst_place: Where the cover is least, (x, y) in the design, mm.
    """

    least_cover_mm: float | None = None
    median_cover_mm: float | None = None
    uncovered_share: float | None = None
    least_reach_mm: float | None = None
    hidden_share: float = 0.0
    worst_place: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Twin:
    """How a piece is congruent to an earlier one.

    Attributes:
        of: Id of the earlier piece, whose outline is cut for both.
        turned_deg: By how much the earlier is turned (clockwise on the page, y down) to match.
        mirrored: Whether it is turned over first (x to -x).
        x_mm: With ``y_mm``, where the earlier one's origin comes to lie after the turn.
        y_mm: See ``x_mm``.
    """

    of: str
    turned_deg: float
    mirrored: bool
    x_mm: float = 0.0
    y_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CutOutline:
    """What is cut for one piece.

    Attributes:
        piece: The piece.
        sewn: The smoothed line through its needle points, densely; of a twin, that of its leader.
        curve: The cut outline in the design's coordinates, mm.
        offset_mm: Offset used.
        area_mm2: Area of the cut piece.
        corners: Corners of the line that were kept, (k, 2), mm.
        edge: How the raw edge lies between the stitches.
        twin: If it is cut from an earlier piece's outline.
        hidden: The stretches of the raw edge that lie under later pieces, each (n, 2) mm.
    """

    piece: Piece
    sewn: Region
    curve: CurvedRegion
    offset_mm: float
    area_mm2: float
    corners: FloatArray
    edge: EdgeCheck
    twin: Twin | None
    hidden: tuple[FloatArray, ...] = ()

    @property
    def line(self) -> CurvedRegion:
        """The smoothed line before the offset, drawn only when paper templates ask for it."""
        line, twin = curve_of(self.sewn), self.twin
        if twin is None:
            return line
        return transformed(line, twin.turned_deg, twin.mirrored, twin.x_mm, twin.y_mm)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Outlines:
    """The cut outlines of a design, in the order of its pieces, and doubts about them.

    Only pieces with ``cut`` are outlined; one that vanishes under its offset gives a finding.
    """

    outlines: tuple[CutOutline, ...]
    findings: tuple[Finding, ...]
