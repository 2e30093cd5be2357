"""Cells: what lines of one block enclose together, where neighbours share a line that is drawn once.

     ______       ____
    |  |   |     / |  )
    |--+---|    |  | |      a window with panes, a shape of two colours, a leaf with its midrib
    |__|___|     ) |_/

Terms: a *divider* is an open line that begins and ends on other lines of its block; a *cell* is what they
enclose with nothing between; a *field* is a group of cells that touch, and its *rim* goes round all of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting import geometry as geo
from piecewright.cutting.geometry import frozen
from piecewright.cutting.pieces.loops import seamed
from piecewright.cutting.pieces.paths import finely
from piecewright.cutting.pieces.rings import Ring, sound

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.geometry import FloatArray, Region
    from piecewright.cutting.pieces.chains import Chain
    from piecewright.cutting.pieces.rings import Lines

REACH_MM: Final = 2.5
"""A divider ends within a stitch of the line that it begins or ends on."""

PAST_MM: Final = 0.1
"""It is drawn so far past that line, so that the two cross."""

DRAWN_MM: Final = 0.5
"""An open line this near to a closed one for most of its way is a part of that."""

MOSTLY: Final = 0.8
ON_MM: Final = 0.15
"""A cell's edge lies on the lines that draw it, but for rounding."""

LEAST_PART: Final = 0.04
"""A line draws a cell if this share of the cell's edge lies on it."""

MOST_TRAILS: Final = 80
MOST_RINGS: Final = 120
"""A block of more lines is a drawing, whatever they enclose."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Field:
    """Cells that touch.

    Attributes:
        rim: Round all of them.
        cells: Each of them.
        dividers: Open lines between them, each (n, 2) mm.
        guessed: Rings of the block that were closed over a gap, from one line of the field to another.
    """

    rim: Ring
    cells: tuple[Ring, ...]
    dividers: tuple[FloatArray, ...]
    guessed: tuple[Ring, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Drawn:
    """A line of a block: its path (n, 2) mm and the runs that draw it."""

    path: FloatArray
    runs: tuple[int, ...]


def find_fields(lines: Lines) -> list[Field]:
    """Fields of all blocks in which open lines divide what others enclose."""
    by_block: dict[int, list[Ring]] = {}
    for ring in lines.rings:
        by_block.setdefault(ring.block, []).append(ring)
    return [
        field for block, rings in by_block.items() for field in _fields(rings, lines.trails.get(block, []))
    ]


def _fields(rings: Sequence[Ring], trails: Sequence[Chain]) -> list[Field]:
    if not trails or len(trails) > MOST_TRAILS or len(rings) > MOST_RINGS:
        return []
    guessed = [ring for ring in rings if _ends_on_others(ring, rings)]
    whole = [ring for ring in rings if ring not in guessed]
    closed = [_Drawn(path=np.vstack([ring.points, ring.points[:1]]), runs=ring.runs) for ring in whole]
    loose = [_Drawn(path=trail.path, runs=trail.runs) for trail in trails]
    dividers = _dividers(closed, [line for line in loose if not _part_of(line, closed)])
    if not dividers or not whole:
        return []
    drawn = [*closed, *dividers]
    found = geo.faces(line.path for line in drawn)
    return [
        field
        for part in geo.union(found)
        if (field := _field(part, found, drawn, dividers, whole, guessed)) is not None
    ]


def _ends_on_others(ring: Ring, rings: Sequence[Ring]) -> bool:
    """Whether a ring is closed over gaps that begin and end on other rings."""
    others = [finely(np.vstack([one.points, one.points[:1]])) for one in rings if one is not ring]
    if not ring.gaps or not others:
        return False
    ends = np.array([end for gap in ring.gaps for end in (gap.start, gap.end)])
    away, _ = geo.nearest(ends, np.vstack(others))
    return float(away.max()) <= REACH_MM


def _part_of(line: _Drawn, closed: Sequence[_Drawn]) -> bool:
    """Whether an open line was joined with others to a closed one."""
    here = finely(line.path)
    every = np.vstack(
        [finely(other.path) for other in closed if set(other.runs) & set(line.runs)] or [here + 1e6]
    )
    away, _ = geo.nearest(here, every)
    return float((away <= DRAWN_MM).mean()) >= MOSTLY


def _dividers(closed: Sequence[_Drawn], loose: Sequence[_Drawn]) -> list[_Drawn]:
    """Open lines that begin and end on others, each drawn out to where it meets them."""
    every = [finely(line.path) for line in (*closed, *loose)]
    owner = np.repeat(np.arange(len(every)), [len(path) for path in every])
    places = np.vstack(every) if every else np.zeros((0, 2))
    kept = set(range(len(loose)))
    while True:
        drawn = {i: _drawn_out(i, loose[i], len(closed), owner, places, kept) for i in sorted(kept)}
        if all(line is not None for line in drawn.values()):
            return [line for line in drawn.values() if line is not None]
        kept = {i for i, line in drawn.items() if line is not None}


def _drawn_out(
    number: int, line: _Drawn, closed: int, owner: geo.IntArray, places: FloatArray, kept: set[int]
) -> _Drawn | None:
    """The line drawn out to the nearest other lines at both its ends; None if one end is loose."""
    others = np.isin(owner, [*range(closed), *(closed + i for i in kept if i != number)])
    if not others.any():
        return None
    ends = line.path[[0, -1]]
    away, where = geo.nearest(ends, places[others])
    if float(away.max()) > REACH_MM:
        return None
    meets = places[others][where]
    first, last = (_past(ends[i], meets[i], line.path[[1, -2][i]]) for i in (0, 1))
    return _Drawn(path=np.vstack([first, line.path, last]), runs=line.runs)


def _past(end: FloatArray, meets: FloatArray, before: FloatArray) -> FloatArray:
    """A point a little past the line that an end meets."""
    way = meets - end if np.hypot(*(meets - end)) > ON_MM else end - before
    return np.asarray(meets + PAST_MM * way / max(float(np.hypot(*way)), 1e-9))[None]


def _field(
    part: Region,
    faces: Sequence[Region],
    drawn: Sequence[_Drawn],
    dividers: Sequence[_Drawn],
    rings: Sequence[Ring],
    guessed: Sequence[Ring],
) -> Field | None:
    """The cells of one part, if a divider lies between some of them."""
    inside = [face for face in faces if geo.contains(part, face, ON_MM)]
    if any(face.holes for face in inside):  # a way from an outline to its hole divides nothing
        return None
    cells = [_cell(face.exterior, drawn, rings) for face in inside]
    cells = [cell for cell in cells if sound(cell)]
    own = [line.path for line in dividers if geo.contains_points(part, line.path[1:-1]).mean() >= MOSTLY]
    if len(cells) < 2 or not own:  # noqa: PLR2004 - undivided
        return None
    rim = _cell(part.exterior, drawn, rings)
    return Field(rim=rim, cells=tuple(cells), dividers=tuple(own), guessed=_in_part(guessed, part))


def _in_part(rings: Sequence[Ring], part: Region) -> tuple[Ring, ...]:
    return tuple(ring for ring in rings if geo.contains_points(part, ring.points).any())


def _cell(edge: FloatArray, drawn: Sequence[_Drawn], rings: Sequence[Ring]) -> Ring:
    """The ring round a cell, with the gaps of the lines that draw it."""
    places = finely(np.vstack([edge, edge[:1]]))
    runs = {run for line in drawn if _draws(line, places) for run in line.runs}
    gaps = [gap for ring in rings for gap in ring.gaps if _on(np.array([gap.start, gap.end]), places)]
    longest = max(rings, key=lambda ring: ring.length_mm)
    points = seamed(edge)
    return Ring(
        block=longest.block,
        runs=tuple(sorted(runs)),
        points=frozen(points if geo.ring_area(points) > 0 else points[::-1]),
        gaps=tuple(gaps),
        lapped=0.0,
        stitch=longest.stitch,
        cell=True,
    )


def _draws(line: _Drawn, places: FloatArray) -> bool:
    away, _ = geo.nearest(places, finely(line.path))
    return float((away <= ON_MM + 0.1).mean()) >= LEAST_PART


def _on(points: FloatArray, places: FloatArray) -> bool:
    away, _ = geo.nearest(points, places)
    return float(away.max()) <= ON_MM + 0.1
