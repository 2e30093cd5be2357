"""The report of a job: the pydantic model of report.json, whose JSON Schema stands in config/.

Terms: see the glossary in DEVELOPERS.md. Coordinates under ``outline`` and ``cut`` are the design's
own, mm, y down; curves are flattened within 0.01 mm.
"""

from __future__ import annotations

from typing import Final, Literal, Self

from pydantic import BaseModel, ConfigDict, Field

from piecewright.cutting.findings import Finding

SCHEMA = "piecewright-report/1"

Ring = list[tuple[float, float]]


_DECIMALS: Final = 4
"""A ten-thousandth of a mm is below every tolerance and keeps reports the same across machines."""


def rounded(value: float) -> float:
    """A number as it stands in the report."""
    return round(float(value), _DECIMALS) + 0.0


class Entry(BaseModel):
    """A part of the report."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class SourceEntry(Entry):
    """One design as it was dropped."""

    name: str
    sha256: str
    format: str
    stitches: int
    width_mm: float
    height_mm: float
    copies: int = 1


class PassEntry(Entry):
    """One pass; ``piece`` lists the ids of the pieces that it belongs to.

    Where a piece is less likely than not, ``role`` says what the pass is for without it, and ``in_doubt``
    what it is for if the piece is one.
    """

    design: int
    block: int
    role: str
    stitch: str
    confidence: float
    evidence: list[str]
    piece: list[str]
    stitches: int
    width_mm: float
    spacing_mm: float
    stitch_length_mm: float
    in_doubt: str = ""


class OutlineEntry(Entry):
    """A region flattened to rings."""

    exterior: Ring
    holes: list[Ring]


class EdgeEntry(Entry):
    """The edge check of a piece; null where the design has no such stitches."""

    least_cover_mm: float | None
    median_cover_mm: float | None
    uncovered_share: float | None
    least_reach_mm: float | None
    hidden_share: float
    worst_place: tuple[float, float] | None
    hidden: list[Ring] = Field(
        default=[], description="Stretches of the raw edge that lie under later pieces, as open lines."
    )


class TwinEntry(Entry):
    """How a piece matches the one it is cut from."""

    turned_deg: float
    mirrored: bool


class PieceEntry(Entry):
    """One piece; ``cut``, ``offset_mm`` and ``edge`` are null if it is not cut."""

    id: str
    kind: Literal["applique", "base"]
    design: int = Field(description="Index into sources, from 1.")
    block: int
    confidence: float
    evidence: list[str]
    outline: OutlineEntry
    cut: OutlineEntry | None
    offset_mm: float | None
    copies: int
    twin_of: str | None
    twin: TwinEntry | None
    area_mm2: float | None
    edge: EdgeEntry | None


class LaidEntry(Entry):
    """One copy on a mat: mat point = turn(mirror(design point)) + (x_mm, y_mm)."""

    id: str
    piece: str
    x_mm: float
    y_mm: float
    turned_deg: float
    mirrored: bool
    fabric: str
    patch: tuple[float, float, float, float] | None


class MatEntry(Entry):
    """One mat; ``file`` is its first cut file, ``files`` all of them."""

    file: str
    files: list[str]
    mat: str
    width_mm: float
    height_mm: float
    fabric: str
    fill_ratio: float
    cut_mm: float
    travel_mm: float
    seconds: float
    laid: list[LaidEntry]


class FabricEntry(Entry):
    """How much of one fabric is needed."""

    fabric: str
    label: str
    width_mm: float
    height_mm: float
    count: int
    area_mm2: float
    bolt_mm: float | None = Field(
        default=None,
        description="Bolt that all rectangles of the fabric take, if the rules give its width alone.",
    )
    sheets: int | None = Field(
        default=None,
        description="Sheets that all rectangles of the fabric take, if the rules give their size.",
    )


class FindingEntry(Entry):
    """One doubt; ``message`` is ``says`` with its blanks filled in, in mm."""

    code: str
    message: str
    advice: str
    piece: str | None
    place: tuple[float, float] | None = None
    design: int | None = None
    twins: list[str] = Field(default=[], description="Twins of the piece for which it holds as well.")
    says: str = Field(description="The message with a blank for each thing that it speaks of.")
    values: dict[str, float | int | str] = Field(
        default={},
        description="What stands in the blanks; mm where the name ends in _mm, shares of 1 in _share.",
    )

    def finding(self) -> Finding:
        """The finding that it was made of."""
        return Finding(
            code=self.code,
            says=self.says,
            advice=self.advice,
            values=self.values,
            piece=self.piece,
            twins=tuple(self.twins),
            place=self.place,
        )

    @classmethod
    def of(cls, finding: Finding, design: int | None) -> Self:
        """The entry of a finding about a design, by its number from 1, or about the job."""
        return cls(
            code=finding.code,
            message=finding.message,
            advice=finding.advice,
            piece=finding.piece,
            place=None if finding.place is None else (rounded(finding.place[0]), rounded(finding.place[1])),
            design=design,
            twins=list(finding.twins),
            says=finding.says,
            values={
                name: rounded(value) if isinstance(value, float) else value
                for name, value in finding.values.items()
            },
        )


class FileEntry(Entry):
    """One file of the job."""

    name: str
    sha256: str
    kind: str = Field(
        default="", description="A format of the rules, pen for piece letters, or sheet for the job sheet."
    )
    mat: int | None = Field(default=None, description="Number of the mat that it shows; null if none.")


class ErrorEntry(Entry):
    """Why a drop was refused."""

    code: str
    message: str
    advice: str


class Report(Entry):
    """What became of one drop."""

    schema_: str = Field(default=SCHEMA, alias="schema")
    job: str
    drop: str = Field(default="", description="What was dropped, by name.")
    status: Literal["cut", "nothing-to-cut", "refused"]
    source: SourceEntry | None = None
    sources: list[SourceEntry] | None = None
    product: str
    passes: list[PassEntry] = []
    pieces: list[PieceEntry] = []
    mats: list[MatEntry] = []
    fabrics: list[FabricEntry] = []
    findings: list[FindingEntry] = []
    error: ErrorEntry | None = None
    passed_over: list[str] = Field(
        default=[], description="Files of the drop that are no designs or other formats of one."
    )
    files: list[FileEntry] = []

    model_config = ConfigDict(frozen=True, extra="forbid", validate_by_name=True, validate_by_alias=True)
