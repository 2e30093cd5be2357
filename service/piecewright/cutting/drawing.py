"""Pictures of a design: its stitches in their colours, its pieces lettered over them.

Terms: the *ground* is the area behind the stitches; a *badge* is the letter of a piece in its disc;
a *mark* is the numbered diamond at the place of a finding.

All pictures are SVG fragments in mm, y down, safe to stand inside HTML: every name is escaped.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Final

import numpy as np
from markupsafe import escape

from piecewright.cutting.geometry import flattened, roomiest_point

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from piecewright.cutting.design import Block, Design
    from piecewright.cutting.geometry import Region
    from piecewright.cutting.outlines import Outlines
    from piecewright.cutting.pieces import Piece, Understanding

_FLAT_WITHIN_MM: Final = 0.05
"""Finer than any screen or printer shows at the size of a job sheet."""

_ROOM_SHARE: Final = 0.04
"""Room round the design, as a share of its longer side, so that badges at the rim stay whole."""

_MOST_POINTS: Final = 40_000
"""More needle points than this only make the page heavy; the picture then leaves some out."""

_THREADS: Final = ("#3f6f8f", "#a4552f", "#4d7a46", "#7b5a8c", "#9a7a1f", "#9c4a64", "#3d7f7a", "#6b6256")
"""For files without colours: told apart by darkness too."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """The place of a finding.

    Attributes:
        label: What stands in the diamond, usually the finding's number on the sheet.
        place: (x, y) in the design, mm.
    """

    label: str
    place: tuple[float, float]


def design_picture(
    design: Design,
    understanding: Understanding,
    outlines: Outlines | None = None,
    *,
    prefix: str = "",
    marks: Sequence[Mark] = (),
) -> str:
    """Draw a design with its pieces lettered and the places of findings marked.

    Args:
        design: What is sewn.
        understanding: What was found in it.
        outlines: What is cut, if that is known.
        prefix: What the ids of its pieces begin with in this job.
        marks: Places of findings.
    """
    x0, y0, x1, y1 = design.bounds_mm
    long = max(x1 - x0, y1 - y0, 1.0)
    room = long * _ROOM_SHARE
    size = long / 26
    box = (x0 - room, y0 - room, x1 - x0 + 2 * room, y1 - y0 + 2 * room)
    parts = (
        _open(box, _in_words(design, understanding, prefix)),
        *_stitches(design),
        *_cut_lines(outlines),
        *(_badge(piece, prefix, size) for piece in understanding.pieces),
        *(_mark(mark, size) for mark in marks),
        "</svg>",
    )
    return "".join(parts)


def _open(box: tuple[float, float, float, float], label: str) -> str:
    x, y, width, height = (f"{value:.1f}" for value in box)
    return (
        f'<svg class="design-picture" viewBox="{x} {y} {width} {height}" role="img" '
        f'aria-label="{escape(label)}">'
        f'<rect x="{x}" y="{y}" width="{width}" height="{height}" fill="#f1ede4"/>'
    )


def _in_words(design: Design, understanding: Understanding, prefix: str) -> str:
    letters = ", ".join(prefix + piece.id for piece in understanding.pieces)
    return f"Picture of {design.name}" + (f" with pieces {letters}" if letters else " without pieces")


def _stitches(design: Design) -> Iterable[str]:
    step = max(1, -(-design.stitches // _MOST_POINTS))
    for index, block in enumerate(b for b in design.blocks if len(b.points)):
        colour = block.thread.colour or _THREADS[index % len(_THREADS)]
        yield (
            f'<path fill="none" stroke="{escape(colour)}" stroke-width="0.35" stroke-linejoin="round" '
            f'stroke-linecap="round" d="{_block_path(block, step)}"/>'
        )


def _block_path(block: Block, step: int) -> str:
    """Needle points in tenths of a mm as relative moves, which keeps the page small."""
    starts = np.flatnonzero(block.cut_before | block.travel_before)
    bounds = sorted({0, *starts.tolist(), len(block.points)})
    parts = []
    for first, last in pairwise(bounds):
        points = block.points[first:last:step]
        parts.append("M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points.tolist()))
    return "".join(parts)


def _cut_lines(outlines: Outlines | None) -> Iterable[str]:
    for outline in outlines.outlines if outlines else ():
        path = _region_path(flattened(outline.curve, _FLAT_WITHIN_MM))
        yield f'<path fill="none" stroke="#fff" stroke-width="1.6" d="{path}"/>'
        yield f'<path fill="none" stroke="#1d2230" stroke-width="0.6" stroke-dasharray="3 1.2" d="{path}"/>'


def _region_path(region: Region) -> str:
    rings = (region.exterior, *region.holes)
    return "".join("M" + "L".join(f"{x:.2f} {y:.2f}" for x, y in ring.tolist()) + "Z" for ring in rings)


def _badge(piece: Piece, prefix: str, size: float) -> str:
    x, y, _ = roomiest_point(piece.line)
    return (
        f'<g><circle cx="{x:.1f}" cy="{y:.1f}" r="{size * 0.75:.2f}" fill="#1d2230" stroke="#fff" '
        f'stroke-width="{size / 10:.2f}"/><text x="{x:.1f}" y="{y + size * 0.33:.1f}" fill="#fff" '
        f'font-size="{size * 0.95:.2f}" font-weight="700" '
        f'text-anchor="middle">{escape(prefix + piece.id)}</text></g>'
    )


def _mark(mark: Mark, size: float) -> str:
    x, y = mark.place
    half = size * 0.8
    return (
        f'<g><path d="M{x:.1f} {y - half:.1f}l{half:.1f} {half:.1f}l{-half:.1f} {half:.1f}'
        f'l{-half:.1f} {-half:.1f}Z" fill="#ffd166" stroke="#4a2c00" stroke-width="{size / 10:.2f}"/>'
        f'<text x="{x:.1f}" y="{y + size * 0.3:.1f}" fill="#4a2c00" font-size="{size * 0.8:.2f}" '
        f'font-weight="700" text-anchor="middle">{escape(mark.label)}</text></g>'
    )
