"""The picture of one mat: what lies where, from which fabric.

Terms: a *look* is the colour and the pattern that stand for one fabric in all pictures, so that
fabrics differ also where colours cannot be told apart.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from piecewright.cutting.geometry import bounds, flattened
from piecewright.cutting.sheet import words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.geometry import CurvedRegion, FloatArray
    from piecewright.cutting.mats import LaidPiece, MatLayout
    from piecewright.cutting.rules import JobRules

_COLOURS: Final = ("#a8c3a0", "#d9a77a", "#e0c768", "#b79ac2", "#9cc0cf", "#d99aa5", "#b9b3a6", "#87b3a8")
_PATTERNS: Final = ("plain", "stripes", "dots", "checks", "bars", "waves")


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """How one fabric is shown.

    Attributes:
        number: From 1, for ids inside the page.
        label: What the shop calls it.
        colour: ``#rrggbb``.
        pattern: Name of the pattern drawn over the colour.
    """

    number: int
    label: str
    colour: str
    pattern: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidView:
    """One laid piece, ready to draw.

    Attributes:
        path: SVG path of its cut outline in mat coordinates, mm.
        letter: Id of its piece.
        x: Where the letter stands.
        y: Where the letter stands.
        letter_mm: Height of the letter.
        look: Number of its fabric's look.
        patch: x, y, width, height of its patch, if it has one.
    """

    path: str
    letter: str
    x: float
    y: float
    letter_mm: float
    look: int
    patch: tuple[float, float, float, float] | None


def looks(fabrics: Sequence[str], rules: JobRules) -> dict[str, Look]:
    """A look for each fabric, the same in every picture of the job."""
    made = {}
    for index, key in enumerate(dict.fromkeys(fabrics)):
        known = rules.fabrics.get(key)
        made[key] = Look(
            number=index + 1,
            label=(known.label if known else "") or key or "Fabric",
            colour=(known.colour if known else "") or _COLOURS[index % len(_COLOURS)],
            pattern=_PATTERNS[index % len(_PATTERNS)],
        )
    return made


def laid_views(mat: MatLayout, fabric_looks: dict[str, Look]) -> tuple[LaidView, ...]:
    """The laid pieces of a mat, ready to draw, in cutting order."""
    return tuple(_laid_view(laid, fabric_looks[laid.fabric].number) for laid in mat.laid)


def in_words(mat: MatLayout, rules: JobRules) -> str:
    """What the picture shows, for those who cannot see it."""
    counted: dict[str, int] = {}
    for laid in mat.laid:
        counted[laid.piece] = counted.get(laid.piece, 0) + 1
    pieces = words.listing([f"{number} × {piece}" for piece, number in counted.items()])
    return f"Mat {mat.number}, {words.size(mat.width_mm, mat.height_mm, rules.show)}, with {pieces}"


def curve_path(region: CurvedRegion) -> str:
    """SVG path of a curved region."""
    return "".join(_chain_path(chain) for chain in (region.exterior, *region.holes))


def _laid_view(laid: LaidPiece, look: int) -> LaidView:
    x0, y0, x1, y1 = bounds(flattened(laid.curve, 0.1))
    return LaidView(
        path=curve_path(laid.curve),
        letter=laid.piece,
        x=round((x0 + x1) / 2, 1),
        y=round((y0 + y1) / 2, 1),
        letter_mm=max(4.0, min(11.0, (x1 - x0) / 3, (y1 - y0) / 3)),
        look=look,
        patch=laid.patch,
    )


def _chain_path(chain: FloatArray) -> str:
    x, y = chain[0, 0]
    cubics = "".join("C" + " ".join(f"{v:.2f}" for v in segment[1:].ravel()) for segment in chain)
    return f"M{x:.2f} {y:.2f}{cubics}Z"
