"""The rules as values: what the rulebook says, checked, in mm.

Terms: a *product* is what the shop makes from a design (a runner, a patch) with its own rules;
the first product that matches a drop is used.

Each stage gets only its own section. The models stand at the edge: they are read from YAML by the
daemon's rulebook, and unknown keys are refused.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    PlainSerializer,
    PlainValidator,
    WithJsonSchema,
)

from piecewright.cutting.units import Show, parse_bytes, parse_length_mm, parse_seconds


def _quantity_schema(example: str) -> WithJsonSchema:
    """What a value with a unit looks like in the file that people write."""
    pattern = r"^\s*[+-]?[0-9.,]+\s*[A-Za-z]+\s*$"
    return WithJsonSchema(
        {"anyOf": [{"type": "string", "pattern": pattern}, {"const": 0}], "examples": [example]}
    )


# Rules travel to the worker as JSON; there too a value carries its unit.
_length = (
    BeforeValidator(parse_length_mm),
    PlainSerializer(lambda length_mm: f"{length_mm!r} mm", when_used="json"),
    _quantity_schema("1.5 mm"),
)
Length = Annotated[float, *_length]
"""A length that may be negative; mm inside."""
PositiveLength = Annotated[float, Field(gt=0), *_length]
NaturalLength = Annotated[float, Field(ge=0), *_length]
Offset = Annotated[
    float | Literal["fit"],
    PlainValidator(lambda text: text if text == "fit" else parse_length_mm(text)),
    PlainSerializer(lambda offset: offset if offset == "fit" else f"{offset!r} mm", when_used="json"),
    WithJsonSchema({"anyOf": [{"type": "string"}, {"const": 0}], "examples": ["1.5 mm", "fit"]}),
]
"""A length, or the word ``fit``."""
Size = Annotated[
    int,
    BeforeValidator(parse_bytes),
    PlainSerializer(lambda size: f"{size} B", when_used="json"),
    _quantity_schema("4 MB"),
]
"""Bytes inside."""
Duration = Annotated[
    float,
    BeforeValidator(parse_seconds),
    PlainSerializer(lambda seconds: f"{seconds!r} s", when_used="json"),
    _quantity_schema("5 s"),
]
"""Seconds inside."""
Share = Annotated[float, Field(ge=0, le=1)]
Turning = Literal["free", "quarter", "half", "none"]
"""By which turns a piece may be laid: any, by 90 degrees, by 180 degrees, not at all."""


class Section(BaseModel):
    """A part of the rules: cannot be changed, refuses unknown keys."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class ReadingRules(Section):
    """What one design may cost at most."""

    file_bytes: Size = Field(default=4_000_000, gt=0, description="Largest stitch file read.")
    stitches: int = Field(default=300_000, gt=0, description="Most stitches in one design.")
    drop_bytes: Size = Field(default=200_000_000, gt=0, description="Largest drop, unpacked.")
    drop_files: int = Field(default=2_000, gt=0, description="Most files in one drop.")


class BlocksByHand(Section):
    """Block numbers given by hand for designs that the finder cannot read; the last word."""

    files: str = Field(default="*", description="File name pattern of the designs it is for.")
    placement: tuple[int, ...] = Field(description="Blocks whose closed lines are placement lines.")
    tack_down: tuple[int, ...] = ()
    cover: tuple[int, ...] = ()
    base: tuple[int, ...] = Field(default=(), description="Blocks that place batting or other base layers.")
    divided: tuple[int, ...] = Field(
        default=(),
        description="Placement blocks whose lines divide the ground into pieces that share their borders.",
    )
    ignore: tuple[int, ...] = Field(default=(), description="Blocks that never hold a placement line.")


class PassRules(Section):
    """How sure the program must be before it cuts."""

    confidence: Share = Field(default=0.6, description="Pieces found with less are reported, not cut.")
    cut: tuple[Literal["applique", "base"], ...] = Field(
        default=("applique",), description="Which pieces are cut: appliqué pieces, base layers."
    )
    close_gap: PositiveLength = Field(
        default=15.0, description="Widest gap in a line closed without further evidence."
    )
    raw_edge: bool = Field(
        default=False,
        description="Edges of this product are meant to stay raw: a piece without a cover is no finding.",
    )
    by_hand: tuple[BlocksByHand, ...] = ()


class FitRules(Section):
    """What offset ``fit`` aims for."""

    beyond_tack_down: NaturalLength = Field(default=0.8, description="Least fabric beyond the tack-down.")
    under_cover: NaturalLength = Field(default=0.4, description="Least cover beyond the raw edge.")
    least: Length = 0.0
    most: Length = 3.0


class OutlineRules(Section):
    """How the cut outline follows the placement line."""

    offset: Offset = Field(default=1.5, description="Outside the line; 1.5 mm is common practice.")
    base_offset: Length = Field(default=0.0, description="The same for base layers, such as batting.")
    fit: FitRules = FitRules()
    corners: Literal["round", "sharp"] = Field(
        default="round", description="Outside corners of 84 degrees and more."
    )
    corner_ease: NaturalLength = Field(default=0.0, description="How much a sharp outside corner is blunted.")
    notches: NaturalLength = Field(
        default=0.0,
        description="Depth of small notches at the top of each piece and where a later piece begins to hide "
        "it; 0 for none.",
    )
    under_lap: NaturalLength = Field(
        default=0.0, description="How much farther fabric reaches where a later piece hides its edge."
    )
    stretch_along_grain: float = Field(
        default=1.0,
        gt=0.8,
        lt=1.25,
        description="Pieces are cut longer by this factor (up and down the design).",
    )
    stretch_across_grain: float = Field(
        default=1.0, gt=0.8, lt=1.25, description="Pieces are cut wider by this factor (across the design)."
    )
    least_width: NaturalLength = Field(default=2.0, description="Narrower necks and spikes are findings.")
    least_area: float = Field(default=20.0, ge=0, description="mm2; smaller islands are findings.")
    least_corner_deg: float = Field(default=20.0, ge=0, le=90, description="Sharper corners are findings.")
    twin_tolerance: NaturalLength = Field(default=0.2, description="Pieces that differ by less are twins.")


class PatchRules(Section):
    """Rough-cut rectangles of fabric for the way ``patches``."""

    handling_margin: NaturalLength = Field(
        default=3.175,
        description="Fabric around the piece, each side; an eighth of an inch: with it a piece of "
        "3.64 in still takes a 4 in square, as is common practice.",
    )
    ruler_step: PositiveLength = Field(default=25.4, description="Rectangles are rounded up to this.")


class LayingRules(Section):
    """How pieces are laid on mats."""

    way: Literal["sheet", "patches"] = "sheet"
    mat: str = Field(default="", description="Name of the mat; the first of the rules if left out.")
    gap: NaturalLength = Field(default=3.0, description="Least distance between cut outlines.")
    turning: Turning = "free"
    turn_over: bool = Field(
        default=False,
        description="Pieces may be cut turned over to save fabric: for fabrics alike on both sides.",
    )
    in_holes: bool = Field(default=False, description="Small pieces may be laid in the holes of big ones.")
    effort: int = Field(
        default=2,
        ge=0,
        le=5,
        description="How hard the layout tries, in its own steps; 0 is rectangles only.",
    )
    time_limit_s: float = Field(
        default=240.0,
        gt=0,
        description="Last resort against a layout that hangs; the effort bounds it before.",
    )
    patches: PatchRules = PatchRules()
    cut_speed_mm_s: float = Field(
        default=20.0, gt=0, description="Of the blade in the fabric, for the estimate."
    )
    travel_speed_mm_s: float = Field(default=60.0, gt=0, description="Of the lifted blade, for the estimate.")


class DealingRules(Section):
    """Which fabrics the copies of each piece are cut from."""

    copies: int = Field(default=1, ge=1, le=1000, description="How often the whole design is made.")
    fabrics: tuple[str, ...] = Field(default=(), description="Dealt over the copies in turn.")
    by_thread: dict[str, str] = Field(default={}, description="Thread colour or name to fabric.")
    by_block: dict[int, str] = Field(default={}, description="Block of the placement line to fabric.")
    by_piece: dict[str, str] = Field(default={}, description="Piece letter to fabric.")
    base_fabric: str = Field(default="", description="Fabric of base layers.")
    fusible_back: bool = Field(
        default=False, description="Web on the back: pieces are cut face down, mirrored."
    )


Writable = Literal["svg", "dxf", "plt", "pdf"]


class WritingRules(Section):
    """Which files leave."""

    formats: tuple[Writable, ...] = Field(default=("svg",), min_length=1)
    pen_labels: bool = Field(default=False, description="Piece letters as a separate file for a pen.")
    paper: Literal["a4", "letter"] = "a4"
    sheet: bool = True


class Match(Section):
    """Which drops belong to a product."""

    files: tuple[str, ...] = Field(default=("*",), description="File name patterns.")


class Product(Section):
    """One product of the shop."""

    name: str = Field(min_length=1, max_length=60)
    tray: str = Field(default="", description="Standing folder in the inbox that belongs to it.")
    match: Match = Match()
    passes: PassRules = PassRules()
    outline: OutlineRules = OutlineRules()
    dealing: DealingRules = DealingRules()
    laying: LayingRules = LayingRules()
    writing: WritingRules = WritingRules()
    hand_over: str = Field(default="", description="Second folder to which the cut files are copied.")
    gather: Duration = Field(
        default=0.0, ge=0, description="The tray gathers files for this long into one order."
    )


class Mat(Section):
    """The cutter's carrier sheet."""

    width: PositiveLength
    height: PositiveLength
    margin: NaturalLength = 5.0


class Fabric(Section):
    """A fabric that the shop has."""

    label: str = Field(default="", max_length=60)
    grain: Turning | None = Field(default=None, description="Limits turning, whatever the product allows.")
    width: PositiveLength | None = Field(default=None, description="Of the bolt or sheet.")
    height: PositiveLength | None = Field(default=None, description="Of the sheet; none for a bolt.")
    colour: str = Field(default="", pattern="^(#[0-9a-fA-F]{6})?$", description="For the pictures, #rrggbb.")


class JobRules(Section):
    """All that one job needs to know: its product, the mats and fabrics of the shop."""

    show: Show = "mm"
    reading: ReadingRules = ReadingRules()
    mats: dict[str, Mat] = Field(min_length=1)
    fabrics: dict[str, Fabric] = {}
    product: Product

    def fabric_label(self, key: str) -> str:
        """What the shop calls a fabric: its label, or else the name that it has in the rules."""
        known = self.fabrics.get(key)
        return (known.label if known else "") or key

    def mat_name(self) -> str:
        """The mat that this product is laid on."""
        return self.product.laying.mat or next(iter(self.mats))


def turn_limit(*turnings: Turning | None) -> Turning:
    """The strictest of several limits on turning."""
    order: tuple[Any, ...] = ("none", "half", "quarter", "free")
    return order[min((order.index(t) for t in turnings if t is not None), default=3)]  # type: ignore[no-any-return]
