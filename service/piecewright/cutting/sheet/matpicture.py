"""The picture of one mat: what lies where, from which fabric.

Terms: a *look* is the colour and the pattern that stand for one fabric in all pictures, so that
fabrics differ also where colours cannot be told apart.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from piecewright.cutting.colours import is_colour, luminance
from piecewright.cutting.geometry import roomiest_point
from piecewright.cutting.mats import fabric_needs
from piecewright.cutting.plaintext import listing
from piecewright.cutting.rules import turn_limit
from piecewright.cutting.sheet import words
from piecewright.cutting.units import format_ruled

if TYPE_CHECKING:
    from piecewright.cutting.geometry import CurvedRegion, FloatArray
    from piecewright.cutting.mats import LaidPiece, Layout, MatLayout
    from piecewright.cutting.report import Report
    from piecewright.cutting.rules import JobRules, Turning

_COLOURS: Final = ("#a8c3a0", "#d9a77a", "#e0c768", "#b79ac2", "#9cc0cf", "#d99aa5", "#b9b3a6", "#87b3a8")
"""For fabrics without a colour in the rules: pale, so that letters stay readable on them."""

_PATTERNS: Final = ("plain", "stripes", "dots", "checks", "bars", "waves")

_GRAIN_MM: Final = 20.0
"""Room beside the mat for the arrow along the grain: on the mat it would lie over pieces."""

_LETTER_MM: Final = (3.5, 12.0)
"""Least and greatest height of a letter: still read on a phone; no larger than a heading."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """How one fabric is shown.

    Attributes:
        number: From 1, for ids inside the page.
        label: What the shop calls it.
        colour: ``#rrggbb``.
        pattern: Name of the pattern drawn over the colour.
        ink: Colour of the pattern: dark on pale fabrics, pale on dark ones.
    """

    number: int
    label: str
    colour: str
    pattern: str
    ink: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidView:
    """One laid piece, ready to draw.

    Attributes:
        path: SVG path of its cut outline in mat coordinates, mm.
        letter: Id of its piece, with a star if it lies on its other side.
        x: Middle of the letter.
        baseline: Foot of the letter.
        letter_mm: Height of the letter.
        halo: Width of the pale line round the letter.
        look: Number of its fabric's look.
        patch: x, y, width, height of its patch, if it has one.
    """

    path: str
    letter: str
    x: float
    baseline: float
    letter_mm: float
    halo: float
    look: int
    patch: tuple[float, float, float, float] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class MatView:
    """One mat, ready to draw; all numbers in mm."""

    number: int
    files: tuple[str, ...]
    pen_files: tuple[str, ...]
    size: str
    pieces: str
    time: str
    fabric_box: tuple[float, float] | None
    fabric_size: str
    grain: bool
    in_words: str
    width: float
    height: float
    width_words: str
    box_width: float
    box_height: float
    laid: tuple[LaidView, ...]
    looks: tuple[Look, ...]


def looks(layout: Layout, rules: JobRules) -> dict[str, Look]:
    """A look for each fabric on the mats, the same in every picture of the job."""
    keys = dict.fromkeys(laid.fabric for mat in layout.mats for laid in mat.laid)
    return {key: _look(index, key, rules) for index, key in enumerate(keys)}


def turned_over(report: Report, rules: JobRules) -> frozenset[str]:
    """Ids of the laid pieces that are cut turned over, to save fabric, and turned back before sewing."""
    face_down = rules.product.dealing.fusible_back
    bases = {piece.id for piece in report.pieces if piece.kind == "base"}
    return frozenset(
        laid.id
        for mat in report.mats
        for laid in mat.laid
        if laid.mirrored != (face_down and laid.piece not in bases)
    )


def mat_view(
    mat: MatLayout, report: Report, fabric_looks: dict[str, Look], over: frozenset[str], rules: JobRules
) -> MatView:
    """One mat, ready to draw, its pieces in cutting order."""
    own = [file for file in report.files if file.mat == mat.number]
    box = _fabric_box(mat, rules)
    grain = any(has_grain(laid.fabric, rules) for laid in mat.laid)
    return MatView(
        number=mat.number,
        files=tuple(file.name for file in own if file.kind != "pen"),
        pen_files=tuple(file.name for file in own if file.kind == "pen"),
        fabric_box=box,
        fabric_size=words.ruled_size(*box, rules.show, at_least=True) if box else "",
        grain=grain,
        size=words.ruled_size(mat.width_mm, mat.height_mm, rules.show),
        pieces=words.count(len(mat.laid), "piece"),
        time=words.duration(mat.seconds),
        in_words=_in_words(mat, rules),
        width=round(mat.width_mm, 1),
        height=round(mat.height_mm, 1),
        width_words=format_ruled(mat.width_mm, rules.show),
        box_width=round(mat.width_mm + 4 + (_GRAIN_MM if grain else 0), 1),
        box_height=round(mat.height_mm + 13, 1),
        laid=tuple(
            _laid_view(laid, fabric_looks[laid.fabric].number, other_side=laid.id in over)
            for laid in mat.laid
        ),
        looks=tuple(fabric_looks[key] for key in dict.fromkeys(laid.fabric for laid in mat.laid)),
    )


def hint(over: frozenset[str], rules: JobRules, *, patches: bool) -> str:
    """How to lay the fabric on the mats, and how to read their pictures."""
    face_down = rules.product.dealing.fusible_back
    side = "web side up (the pieces are cut mirrored for that)" if face_down else "right side up"
    what = "each rectangle" if patches else "the fabric"
    text = (
        f"Lay {what} where its dashed outline is, {side}, smooth and without folds. The bracket stands "
        "where the cut file begins: at the upper left corner of the mat."
    )
    return text + (
        " A star marks pieces that are turned over before they are laid in the hoop." if over else ""
    )


def grain_words(fabric: str, rules: JobRules) -> str:
    """Which way the grain of a fabric runs in its rectangle, as wide as high is said of it."""
    limit = _turn_limit(fabric, rules)
    return {
        "none": "up and down, all one way",
        "half": "up and down",
        "quarter": "up and down or across",
    }.get(limit, "any way")


def has_grain(fabric: str, rules: JobRules) -> bool:
    """Whether its grain runs one way through all pieces of a fabric."""
    return _turn_limit(fabric, rules) in {"none", "half"}


def _turn_limit(fabric: str, rules: JobRules) -> Turning:
    known = rules.fabrics.get(fabric)
    return turn_limit(rules.product.laying.turning, known.grain if known else None)


def _fabric_box(mat: MatLayout, rules: JobRules) -> tuple[float, float] | None:
    """Width and height of the rectangle of fabric that begins at the mat's corner; None for patches."""
    if any(laid.patch for laid in mat.laid):
        return None
    needs = fabric_needs([mat], rules)
    return (needs[0].width_mm, needs[0].height_mm) if len(needs) == 1 else None


def curve_path(region: CurvedRegion) -> str:
    """SVG path of a curved region."""
    return "".join(_chain_path(chain) for chain in (region.exterior, *region.holes))


def _look(index: int, key: str, rules: JobRules) -> Look:
    known = rules.fabrics.get(key)
    given = known.colour if known and is_colour(known.colour) else ""
    colour = given or _COLOURS[index % len(_COLOURS)]
    return Look(
        number=index + 1,
        label=rules.fabric_label(key) or "Fabric",
        colour=colour,
        pattern=_PATTERNS[index % len(_PATTERNS)],
        ink="#14161c" if luminance(colour) > 0.35 else "#f4f1ea",  # noqa: PLR2004 - tried by eye
    )


def _in_words(mat: MatLayout, rules: JobRules) -> str:
    """What the picture shows, for those who cannot see it."""
    counted: dict[str, int] = {}
    for laid in mat.laid:
        counted[laid.piece] = counted.get(laid.piece, 0) + 1
    pieces = listing([f"{number} × {piece}" for piece, number in counted.items()])
    return f"Mat {mat.number}, {words.ruled_size(mat.width_mm, mat.height_mm, rules.show)}, with {pieces}"


def _laid_view(laid: LaidPiece, look: int, *, other_side: bool) -> LaidView:
    letter = laid.piece + ("*" if other_side else "")
    x, y, room = roomiest_point(laid.curve)
    least, greatest = _LETTER_MM
    height = min(max(1.5 * room / max(1, len(letter) / 2), least), greatest)
    return LaidView(
        path=curve_path(laid.curve),
        letter=letter,
        x=round(x, 1),
        baseline=round(y + 0.36 * height, 1),
        letter_mm=round(height, 1),
        halo=round(height / 5, 2),
        look=look,
        patch=laid.patch,
    )


def _chain_path(chain: FloatArray) -> str:
    x, y = chain[0, 0]
    cubics = "".join("C" + " ".join(f"{v:.1f}" for v in segment[1:].ravel()) for segment in chain)
    return f"M{x:.1f} {y:.1f}{cubics}Z"
