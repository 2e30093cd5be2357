"""Cover: what lies over the raw edge of a piece, and what hides it later.

Terms: a *band* is what the stitches of one run of a cover sweep; a *roof* is everything under which
a raw edge is out of sight: the piece's own cover, later pieces, and the covers of these.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.geometry import (
    FloatArray,
    Region,
    away_from_edge,
    bounds,
    closed_up,
    distances_to_edge,
    grow,
    joined_with,
    spaced,
    swept,
    union,
)
from piecewright.cutting.passes import ACROSS

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from piecewright.cutting.passes import Pass, Run
    from piecewright.cutting.pieces import Piece, Understanding

NEAR_MM: Final = 12.0
"""Stitches and pieces farther than this from a piece have nothing to do with its edge."""

INSIDE_MM: Final = 1.0
"""What lies this far inside a line is not its edge; covers reach at least as far in."""

SURE: Final = 0.6
"""A later piece less certain than this is not trusted to hide an edge."""

THREAD_MM: Final = 0.4
"""Width of a thread: usual satin lies in rows so far apart (common practice, no source)."""

WIDEST_GAP_MM: Final = 4.0
"""Stitches farther apart than this cover nothing between them."""

OTHER_EDGE_STEP_MM: Final = 1.0
"""How closely the edges of other pieces are looked at to tell whose stitches are whose."""

INNER: Final = 0.75
"""Needle points past this share of the way from the outer side to the inner one hold fabric; the first and
last ones, which often stand in between, do not count."""

WAY_MM: Final = 4.0
"""Thread of a tack-down farther outside the line is on its way to the next piece."""

Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True, eq=False)
class Band:
    """What one run of a cover sweeps, the box around it, and how far apart its threads lie."""

    regions: tuple[Region, ...]
    box: Box
    gap_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class Covers:
    """What all covers of a design sweep.

    Attributes:
        bands: The bands of each pass that covers a piece, by the number of the pass.
    """

    bands: Mapping[int, tuple[Band, ...]]
    _closed: dict[tuple[Band, ...], tuple[Region, ...]] = field(default_factory=dict)

    def near(self, numbers: Iterable[int], box: Box) -> tuple[Region, ...]:
        """What some passes cover near a box; the gap where a cover comes round to its start is none."""
        near = tuple(band for number in numbers for band in self.bands[number] if _near(band.box, box))
        if near and near not in self._closed:
            regions = tuple(region for band in near for region in band.regions)
            gap = max(band.gap_mm for band in near)
            self._closed[near] = closed_up(regions, (gap + THREAD_MM) / 2)
        return self._closed.get(near, ())


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Roof:
    """What lies over one piece.

    Attributes:
        cover: Bands of its own cover; empty if it has none.
        later_pieces: Regions of later pieces near it.
        later_covers: Bands of the covers of these.
    """

    cover: tuple[Region, ...]
    later_pieces: tuple[Region, ...]
    later_covers: tuple[Region, ...]


def covers_of(understanding: Understanding) -> Covers:
    """The covers of all pieces."""
    numbers = {number for piece in understanding.pieces for number in piece.cover}
    return Covers(
        {number: tuple(map(_band, understanding.passes[number - 1].runs)) for number in sorted(numbers)}
    )


def roof_over(line: Region, piece: Piece, understanding: Understanding, covers: Covers) -> Roof:
    """Gather what lies over a piece.

    Args:
        line: Its smooth line.
        piece: The piece.
        understanding: All pieces, in the order in which they are placed.
        covers: From ``covers_of``.
    """
    box = bounds(line)
    later = [other for other in _after(piece, understanding) if _near(bounds(other.line), box)]
    return Roof(
        cover=covers.near(piece.cover, box),
        later_pieces=tuple(other.line for other in later),
        later_covers=tuple(region for other in later for region in covers.near(other.cover, box)),
    )


def joined_roof(line: Region, roof: Roof) -> tuple[Region, ...]:
    """The roof and the piece's own line joined, less what touches neither line nor cover.

    Seen from a point under the cover the edge of such a part is never the nearest.
    """
    return joined_with([line, *roof.cover], [*roof.later_pieces, *roof.later_covers])


def limit_of(line: Region, roof: Roof) -> tuple[Region, ...]:
    """The roof with only the inside of the line: it ends where the stitches end, even inside the line."""
    return union([*grow(line, -INSIDE_MM), *roof.cover, *roof.later_pieces, *roof.later_covers])


def tack_points(line: Region, piece: Piece, understanding: Understanding) -> FloatArray:
    """Needle points of the tack-down that must catch the fabric of a piece, (n, 2) mm.

    Of a zigzag or blanket stitch these are the inner ones. Where one pass holds several pieces, each
    needle point belongs to the piece whose edge is nearest. A base layer is held by the pass that catches
    it best: the others tack the cloth that is laid over it.
    """
    rows = [_of_pass(line, piece, understanding, number) for number in piece.tack_down]
    rows = [row for row in rows if len(row)]
    if rows and piece.kind == "base":
        return max(rows, key=lambda row: float(distances_to_edge(line, row).min()))
    return np.concatenate(rows) if rows else np.zeros((0, 2))


def _of_pass(line: Region, piece: Piece, understanding: Understanding, number: int) -> FloatArray:
    """The needle points of one pass that must catch the fabric of a piece."""
    holding = understanding.passes[number - 1]
    near = [run for run in holding.runs if _near(_box(run.points), bounds(line))]
    rows = [_own(_catching(run, line), line, holding, piece, understanding) for run in near]
    points = np.concatenate(rows) if rows else np.zeros((0, 2))
    return points[distances_to_edge(line, points) > -WAY_MM]


def _after(piece: Piece, understanding: Understanding) -> list[Piece]:
    """Pieces that are placed later and are certain enough."""
    start = next(k for k, other in enumerate(understanding.pieces) if other.id == piece.id)
    later = understanding.pieces[start + 1 :]
    return [other for other in later if other.kind == "applique" and (other.cut or other.confidence >= SURE)]


def _band(run: Run) -> Band:
    """What one run sweeps."""
    gap = min(max(run.spacing_mm, THREAD_MM), WIDEST_GAP_MM)
    return Band(swept(run.points), _box(run.points), gap)


def _box(points: FloatArray) -> Box:
    """Bounds of points."""
    (x0, y0), (x1, y1) = points.min(axis=0), points.max(axis=0)
    return (float(x0), float(y0), float(x1), float(y1))


def _near(one: Box, other: Box) -> bool:
    """Whether two boxes come within ``NEAR_MM`` of each other."""
    return _apart(one, other) <= NEAR_MM


def _apart(one: Box, other: Box) -> float:
    """How far two boxes are apart at least, by x or by y; negative where they overlap."""
    apart_x = max(one[0], other[0]) - min(one[2], other[2])
    apart_y = max(one[1], other[1]) - min(one[3], other[3])
    return max(apart_x, apart_y)


def _catching(run: Run, line: Region) -> FloatArray:
    """The needle points of a tack-down run that hold fabric."""
    if run.stitch not in ACROSS:
        return run.points
    inside = distances_to_edge(line, run.points)
    outer, inner = np.quantile(inside, (0.25, 0.75))
    return np.asarray(run.points[inside >= outer + INNER * (inner - outer)])


def _own(
    points: FloatArray, line: Region, holding: Pass, piece: Piece, understanding: Understanding
) -> FloatArray:
    """Those points of a pass that are nearer to this piece's edge than to another's."""
    if len(holding.pieces) < 2 or len(points) == 0:  # noqa: PLR2004 - it holds this piece alone
        return points
    own = away_from_edge(line, points)
    held = set(holding.pieces) - {piece.id}
    reach, box = float(own.max()), _box(points)
    others = [
        other
        for other in understanding.pieces
        if other.id in held and _apart(bounds(other.line), box) <= reach
    ]
    if not others:
        return points
    nearest = np.min(np.stack([_to_ring(other.line, points) for other in others]), axis=0)
    return np.asarray(points[own <= nearest])


def _to_ring(region: Region, points: FloatArray) -> FloatArray:
    """Distance of points to a region's edge."""
    ring = Region(exterior=spaced(region.exterior, OTHER_EDGE_STEP_MM), holes=region.holes)
    return away_from_edge(ring, points)
