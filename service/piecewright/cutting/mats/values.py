"""What laying works on and gives back: demands in, mats with laid pieces out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.findings import Finding
    from piecewright.cutting.geometry import CurvedRegion
    from piecewright.cutting.outlines import CutOutline


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Demand:
    """So many copies of one piece from one fabric.

    Attributes:
        piece: Id of the piece, unique in the job (``A``, or ``2A`` in an order of several designs).
        design: Name of the design that it comes from.
        outline: What is cut, in the design's coordinates, mm.
        fabric: Key of the fabric in the rules, or a name made from the thread ("" is one unnamed fabric).
        copies: How many.
        face_down: Cut mirrored, because the back of the fabric lies up on the mat.
        base: Whether it is a base layer.
    """

    piece: str
    design: str
    outline: CurvedRegion
    fabric: str
    copies: int
    face_down: bool
    base: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LaidPiece:
    """One copy on a mat.

    Attributes:
        id: Unique in the job: the piece id, a dash, and the number of the copy (``A-1``).
        piece: Id of the piece.
        design: Name of the design.
        curve: The cut outline in mat coordinates: mm from the mat's upper left corner, y down.
        x_mm: With ``y_mm``, where the origin of the design comes to lie after turning.
        y_mm: See ``x_mm``; mat point = turn(mirror(design point)) + (x_mm, y_mm).
        turned_deg: Turn, clockwise on the page (y down).
        mirrored: Whether x is reversed before the turn.
        patch: The rectangle of fabric that carries it, x, y, width, height in mm, in the way ``patches``.
        fabric: Key of the fabric that it is cut from (differs on one mat in the way ``patches``).
    """

    id: str
    piece: str
    design: str
    curve: CurvedRegion
    x_mm: float
    y_mm: float
    turned_deg: float
    mirrored: bool
    patch: tuple[float, float, float, float] | None
    fabric: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MatLayout:
    """One mat, pieces in the order in which they are cut.

    Attributes:
        number: From 1 over the whole job.
        mat: Name of the mat in the rules.
        width_mm: Of the whole mat.
        height_mm: Of the whole mat.
        fabric: Key of the fabric; "" in the way ``patches`` when it carries several.
        laid: In cutting order.
        fill_ratio: Area of the pieces over the area inside the margins.
        cut_mm: Length of all cuts.
        travel_mm: Length of the way between them.
        seconds: Estimate of the time it takes to cut.
    """

    number: int
    mat: str
    width_mm: float
    height_mm: float
    fabric: str
    laid: tuple[LaidPiece, ...]
    fill_ratio: float
    cut_mm: float
    travel_mm: float
    seconds: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FabricNeed:
    """How much of one fabric the job takes.

    Attributes:
        fabric: Key of the fabric.
        width_mm: Of the rectangle that covers what is cut from it, or of one patch.
        height_mm: See ``width_mm``.
        count: How many such rectangles.
        area_mm2: Area of the pieces themselves.
        bolt_mm: Length of bolt that all rectangles of this fabric take, if the rules give its width alone.
        sheets: How many sheets all rectangles of this fabric take, if the rules give their size.
    """

    fabric: str
    width_mm: float
    height_mm: float
    count: int
    area_mm2: float
    bolt_mm: float | None = None
    sheets: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Layout:
    """All mats of a job."""

    mats: tuple[MatLayout, ...]
    fabrics: tuple[FabricNeed, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Order:
    """The outlines of one design of the job, and how often it is made.

    Attributes:
        design: Its name.
        copies: How often the whole design is made, on top of the product's own copies.
        outlines: Its cut outlines.
        threads: Per piece id of the outlines: colour and name of its thread, for ``by_thread``.
        blocks: Per piece id: block of its placement line, for ``by_block``.
    """

    design: str
    copies: int
    outlines: Sequence[CutOutline]
    threads: dict[str, tuple[str, ...]]
    blocks: dict[str, int]
