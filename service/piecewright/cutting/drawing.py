"""The picture of a design: its stitches in their colours, its pieces lettered, findings marked.

Terms: the *ground* is the area behind the stitches; a *badge* is the letter of a piece (a disc; a square
for a base layer; pale, with a question mark, for a piece that is too uncertain to be cut); a *pin* is a
numbered diamond whose tip points at the place of a finding.

The picture is SVG in mm, y down, fit to stand inside HTML: every text is escaped.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Final

import numpy as np
from markupsafe import escape

from piecewright.cutting.colours import is_colour, luminance
from piecewright.cutting.geometry import difference, flattened, intersects, largest, roomiest_point

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from piecewright.cutting.design import Block, Design
    from piecewright.cutting.geometry import Region
    from piecewright.cutting.outlines import Outlines
    from piecewright.cutting.pieces import Piece, Understanding

GROUND: Final = "#f1ede4"
INK: Final = "#1d2230"

_TINT: Final = "#dbe8ea"
_FABRIC_SHADE: Final = "99"
"""Opacity of a fabric's colour, in hexadecimal: three fifths, so that stitches of its own colour show."""

_PIN_FILL, _PIN_INK = "#ffd166", "#4a2c00"
FAINT_LINE: Final = "#6e675a"
_FAINT: Final = 0.55
"""Threads lighter than this (relative luminance) hardly show on the ground and get a dark line below."""

_THREAD_MM: Final = 0.35
"""About the width of a sewn 40 weight embroidery thread; common practice, no source."""

_FLAT_WITHIN_MM: Final = 0.05
"""Finer than any screen or printer shows at the size of a job sheet."""

_ROOM_SHARE: Final = 0.05
"""Room round the design, as a share of its longer side, so that badges at the rim stay whole."""

_LETTERS_ALONG: Final = 26
"""So many letters would stand along the longer side: still read on a phone, hiding few stitches."""

_LEAST_MM: Final = 10.0
"""Anything smaller is drawn as if it were so long: a single stitch has no size of its own."""

_MOST_POINTS: Final = 60_000
"""More needle points than this only make the page heavy; the picture then leaves some out."""

_THREADS: Final = ("#3f6f8f", "#a4552f", "#4d7a46", "#7b5a8c", "#9a7a1f", "#9c4a64", "#3d7f7a", "#6b6256")
"""For files without colours: told apart by darkness too."""

Box = tuple[float, float, float, float]
Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """The place of a finding.

    Attributes:
        label: What stands on its pin, usually the finding's number on the sheet.
        place: (x, y) in the design, mm.
    """

    label: str
    place: Point


def design_picture(
    design: Design,
    understanding: Understanding,
    outlines: Outlines | None = None,
    *,
    marks: Sequence[Mark] = (),
    colours: Mapping[str, str] | None = None,
) -> str:
    """Draw a design with its pieces lettered and the places of findings marked.

    Args:
        design: What is sewn.
        understanding: What was found in it.
        outlines: What is cut, if that is known.
        marks: Places of findings.
        colours: ``#rrggbb`` of the fabric of each piece that has one, by its id in the design.
    """
    x0, y0, x1, y1 = design.bounds_mm
    long = max(x1 - x0, y1 - y0, _LEAST_MM)
    room, size = long * _ROOM_SHARE, long / _LETTERS_ALONG
    box = (x0 - room, y0 - room, x1 - x0 + 2 * room, y1 - y0 + 2 * room)
    spots = _spots(understanding.pieces)
    taken = [(x, y) for x, y, _ in spots.values()]
    parts = (
        _open(box, _in_words(design, understanding)),
        *_tints(outlines, colours or {}),
        *_stitches(design),
        *_cut_lines(outlines, size),
        *(_badge(piece, spots[piece.id], size) for piece in understanding.pieces),
        *_pins(marks, taken, box, size),
        "</svg>",
    )
    return "".join(parts)


def _in_words(design: Design, understanding: Understanding) -> str:
    letters = ", ".join(piece.id for piece in understanding.pieces)
    return f"Picture of {design.name}" + (f" with pieces {letters}" if letters else " without pieces")


def _open(box: Box, label: str) -> str:
    x, y, width, height = (f"{value:.1f}" for value in box)
    return (
        f'<svg class="design-picture" viewBox="{x} {y} {width} {height}" role="img" '
        f'aria-label="{escape(label)}">'
        f'<rect x="{x}" y="{y}" width="{width}" height="{height}" fill="{GROUND}"/>'
    )


# -- stitches -----------------------------------------------------------------------------------------


def _stitches(design: Design) -> Iterable[str]:
    step = -(-design.stitches // _MOST_POINTS) or 1
    step += step % 2 == 0  # an even step would keep only one side of a satin
    yield '<g fill="none" stroke-linejoin="round" stroke-linecap="round">'
    for block in (b for b in design.blocks if len(b.points)):
        colour = thread_colour(block)
        path = _block_path(block, step)
        if is_faint(colour):
            yield f'<path stroke="{FAINT_LINE}" stroke-width="{1.6 * _THREAD_MM:.2f}" d="{path}"/>'
        yield f'<path stroke="{colour}" stroke-width="{_THREAD_MM}" d="{path}"/>'
    yield "</g>"


def _block_path(block: Block, step: int) -> str:
    starts = np.flatnonzero(block.cut_before | block.travel_before)
    ends = sorted({0, *starts.tolist(), len(block.points)})
    runs = (block.points[first:last:step].tolist() for first, last in pairwise(ends))
    return "".join("M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in run) for run in runs)


def thread_colour(block: Block) -> str:
    """The colour that a block is drawn in: its thread's, or one of our own where the file names none."""
    given = block.thread.colour or ""
    return given if is_colour(given) else _THREADS[(block.number - 1) % len(_THREADS)]


def is_faint(colour: str) -> bool:
    """Whether a thread hardly shows on the ground, so that a darker line is needed below it."""
    return luminance(colour) > _FAINT


# -- pieces -------------------------------------------------------------------------------------------


def _tints(outlines: Outlines | None, colours: Mapping[str, str]) -> Iterable[str]:
    for outline in outlines.outlines if outlines else ():
        path = _region_path(flattened(outline.curve, _FLAT_WITHIN_MM))
        colour = colours.get(outline.piece.id, "")
        if is_colour(colour):  # what lies below must not shine through
            yield f'<path fill="{GROUND}" fill-rule="evenodd" d="{path}"/>'
            yield f'<path fill="{colour}{_FABRIC_SHADE}" fill-rule="evenodd" d="{path}"/>'
        else:
            yield f'<path fill="{_TINT}" fill-rule="evenodd" d="{path}"/>'


def _cut_lines(outlines: Outlines | None, size: float) -> Iterable[str]:
    dashes = f"{size * 0.42:.2f} {size * 0.2:.2f}"
    for outline in outlines.outlines if outlines else ():
        path = _region_path(flattened(outline.curve, _FLAT_WITHIN_MM))
        yield f'<path fill="none" stroke="#fff" stroke-width="{size * 0.15:.2f}" d="{path}"/>'
        yield (
            f'<path fill="none" stroke="{INK}" stroke-width="{size * 0.08:.2f}" '
            f'stroke-dasharray="{dashes}" d="{path}"/>'
        )


def _region_path(region: Region) -> str:
    rings = (region.exterior, *region.holes)
    return "".join("M" + "L".join(f"{x:.2f} {y:.2f}" for x, y in ring.tolist()) + "Z" for ring in rings)


def _spots(pieces: Sequence[Piece]) -> dict[str, tuple[float, float, float]]:
    """Where each badge has most room: x, y, radius; on the part of its piece that no later one lies on."""
    spots = {}
    for index, piece in enumerate(pieces):
        seen = piece.line
        for later in pieces[index + 1 :]:
            if intersects(seen, later.line):
                seen = largest(difference(seen, later.line)) or seen
        spots[piece.id] = roomiest_point(seen)
    return spots


def _badge(piece: Piece, spot: tuple[float, float, float], size: float) -> str:
    x, y, room = spot
    unsure = not piece.cut and piece.kind == "applique"
    text = piece.id + ("?" if unsure else "")
    radius = min(max(room * 0.85, size * 0.5), size * 0.75)
    fill, ink = ("#fff", INK) if unsure else (INK, "#fff")
    look = f'fill="{fill}" stroke="{ink}" stroke-width="{size / 10:.2f}"'
    if piece.kind == "base":
        corner, side = f'x="{x - radius:.1f}" y="{y - radius:.1f}"', f"{2 * radius:.2f}"
        shape = f'<rect {corner} width="{side}" height="{side}" {look}/>'
    else:
        shape = f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:.2f}" {look}/>'
    return f"<g>{shape}{_label(text, (x, y), radius * min(1.3, 2.2 / len(text)), ink)}</g>"


def _label(text: str, middle: Point, height: float, ink: str) -> str:
    return (
        f'<text x="{middle[0]:.1f}" y="{middle[1] + height * 0.36:.1f}" fill="{ink}" '
        f'font-size="{height:.2f}" font-weight="700" text-anchor="middle">{escape(text)}</text>'
    )


# -- findings -----------------------------------------------------------------------------------------


def _pins(marks: Sequence[Mark], taken: list[Point], box: Box, size: float) -> Iterable[str]:
    half = size * 0.8
    for mark in marks:
        middle = _pin_middle(mark.place, taken, box, half)
        taken.append(middle)
        x, y = middle
        diamond = (
            f"M{x:.1f} {y - half:.1f}l{half:.1f} {half:.1f}l{-half:.1f} {half:.1f}l{-half:.1f} {-half:.1f}Z"
        )
        dot = f'cx="{mark.place[0]:.1f}" cy="{mark.place[1]:.1f}" r="{size / 7:.2f}"'
        yield (
            f'<g><path d="{diamond}" fill="{_PIN_FILL}" stroke="{_PIN_INK}" stroke-width="{size / 10:.2f}"/>'
            f'<circle {dot} fill="{_PIN_INK}"/>'
            f"{_label(mark.label, middle, size * min(0.85, 1.5 / len(mark.label)), _PIN_INK)}</g>"
        )


def _pin_middle(place: Point, taken: Sequence[Point], box: Box, half: float) -> Point:
    """Where the diamond stands with one tip at its place: above if it can, else where it hides least."""
    ways = ((0.0, -half), (0.0, half), (half, 0.0), (-half, 0.0))
    middles = [(place[0] + dx, place[1] + dy) for dx, dy in ways]

    def hides(middle: Point) -> float:
        near = sum(max(0.0, 2 * half - abs(complex(*middle) - complex(*other))) for other in taken)
        return near + (0.0 if _is_inside(middle, box, half) else 10 * half)

    return min(middles, key=hides)


def _is_inside(middle: Point, box: Box, half: float) -> bool:
    x, y, width, height = box
    return x + half <= middle[0] <= x + width - half and y + half <= middle[1] <= y + height - half
