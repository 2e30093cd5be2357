"""Whether the cells of a field are pieces of their own, or lines drawn on one piece.

Terms: see cells.py; a cell or a rim is *held* by a later closed pass that lies inside it and along it, and
inside nothing smaller. A shape of two colours has a tack-down in each cell; a leaf with a vein has one all
round.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting import geometry as geo
from piecewright.cutting.geometry import Region
from piecewright.cutting.passes import ACROSS, FIRM
from piecewright.cutting.pieces.claims import SAME_LINE, SAME_PLACE_MM, lies_along
from piecewright.cutting.pieces.following import NEAR_MM
from piecewright.cutting.pieces.paths import arc_lengths, finely
from piecewright.cutting.pieces.rings import Ring

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from piecewright.cutting.passes import Run
    from piecewright.cutting.pieces.cells import Field

STRAYS_MM: Final = 0.7
"""A tack-down on the line may stray so far outside it."""

INSIDE: Final = 0.95

BUT_TIPS: Final = 0.6
"""Share of a cell's edge along which its tack-down lies; 3 mm inside it misses the tips."""

ON_LINE_MM: Final = 0.3
"""Nearer to the line it may be the line drawn again."""

OPEN_SHARE: Final = 0.15
"""A zigzag inside a pointed tip begins and ends well short of the tip."""

HOLDING: Final = FIRM & ACROSS

FOLLOWED: Final = 0.6
"""Share of a divider along which something is sewn later for it to be more than a guide."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Hold:
    """What first holds a cell: the block, and how far inside the edge."""

    block: int
    inset_mm: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shared:
    """The rings of a design once it is known which cells are pieces.

    Attributes:
        rings: All closed lines, in sewing order.
        open_question: Fields that were left whole although later passes go along their dividers.
    """

    rings: tuple[Ring, ...]
    open_question: tuple[Field, ...]


def share_lines(
    rings: Sequence[Ring], fields: Sequence[Field], runs: Sequence[Run], named: Collection[int]
) -> Shared:
    """Put cells in the place of the lines that draw them, where they are pieces of their own.

    Args:
        rings: Closed lines of the design, in sewing order.
        fields: Of all blocks.
        runs: Of the whole design.
        named: Blocks of which the rules say that their cells are pieces.
    """
    found, questions = list(rings), []
    for field in fields:
        later = _closed_passes(field, rings, runs)
        if field.rim.block in named:
            found = _with_cells(found, field, field.cells, whole=False)
            continue
        cells, whole = _held_apart(field, later)
        if cells:
            found = _with_cells(found, field, cells, whole=whole)
        elif _is_followed(field, runs):
            questions.append(field)
    found.sort(key=lambda ring: ring.runs[0])
    return Shared(rings=tuple(found), open_question=tuple(questions))


def _closed_passes(field: Field, rings: Sequence[Ring], runs: Sequence[Run]) -> list[Ring]:
    """Closed lines and closed open stitches of later blocks that meet a field."""
    block, box = field.rim.block, field.rim.box
    wide = [
        Ring(block=run.block, runs=(index,), points=run.spine, gaps=(), lapped=0.0, stitch=run.stitch)
        for index, run in enumerate(runs)
        if run.block > block and run.stitch in HOLDING and _comes_round(run)
    ]
    return [one for one in (*rings, *wide) if one.block > block and box.holds(one.box, STRAYS_MM)]


def _comes_round(run: Run) -> bool:
    """Whether the middle of a stitch with a width ends about where it began."""
    if len(run.spine) < 4:  # noqa: PLR2004 - a triangle and its return
        return False
    return float(np.hypot(*(run.spine[0] - run.spine[-1]))) <= OPEN_SHARE * float(arc_lengths(run.spine)[-1])


def _held_apart(field: Field, later: Sequence[Ring]) -> tuple[tuple[Ring, ...], bool]:
    """Which cells are pieces of their own, and whether the whole is one below them."""
    holds = _holds(field, later)
    whole, cells = holds.get(len(field.cells)), {i: hold for i, hold in holds.items() if i < len(field.cells)}
    if not cells or _may_be_drawn_again(list(cells.values())):
        return (), False
    if whole is None or whole.block >= min(hold.block for hold in cells.values()):
        return field.cells, False
    return tuple(field.cells[i] for i in sorted(cells)), True


def _holds(field: Field, later: Sequence[Ring]) -> dict[int, _Hold]:
    """What first holds each cell, by its number; and the rim, by the number after the last."""
    candidates = [*field.cells, field.rim]
    regions = [Region(exterior=one.points) for one in candidates]
    order = sorted(range(len(candidates)), key=lambda i: geo.area(regions[i]))
    found: dict[int, _Hold] = {}
    for one in sorted(later, key=lambda ring: ring.block):
        for i in order:
            if not candidates[i].box.holds(one.box, STRAYS_MM):
                continue
            depth = geo.distances_to_edge(regions[i], one.points)
            if float((depth >= -STRAYS_MM).mean()) < INSIDE:
                continue
            if lies_along(one, candidates[i], NEAR_MM) >= SAME_LINE and (
                lies_along(candidates[i], one, NEAR_MM) >= BUT_TIPS
            ):
                found.setdefault(i, _Hold(block=one.block, inset_mm=float(np.median(depth))))
            break
    return found


def _may_be_drawn_again(holds: Sequence[_Hold]) -> bool:
    """Whether the cells are only sewn again, all together and on their line, as drawings are."""
    return len({hold.block for hold in holds}) == 1 and all(hold.inset_mm < ON_LINE_MM for hold in holds)


def _with_cells(rings: Sequence[Ring], field: Field, cells: Sequence[Ring], *, whole: bool) -> list[Ring]:
    """The rings with these cells; without whatever else the field's own lines enclose, but for the whole."""
    kept = [ring for ring in rings if not _is_of(ring, field) or (whole and _same(ring, field.rim))]
    return [*kept, *cells, *([field.rim] if whole and len(kept) == len(rings) - _count(rings, field) else [])]


def _count(rings: Sequence[Ring], field: Field) -> int:
    return sum(_is_of(ring, field) for ring in rings)


def _is_of(ring: Ring, field: Field) -> bool:
    """Whether a ring is the rim of a field, one of its cells, or what was guessed of one."""
    if ring in field.guessed:
        return True
    return ring.block == field.rim.block and any(_same(ring, one) for one in (field.rim, *field.cells))


def _same(one: Ring, other: Ring) -> bool:
    return (
        lies_along(one, other, SAME_PLACE_MM) >= SAME_LINE
        and lies_along(other, one, SAME_PLACE_MM) >= SAME_LINE
    )


def _is_followed(field: Field, runs: Sequence[Run]) -> bool:
    """Whether something is sewn along one of the dividers in a later block."""
    spines = [finely(run.spine) for run in runs if run.block > field.rim.block and len(run.spine) > 1]
    if not spines:
        return False
    every = np.vstack(spines)
    for divider in field.dividers:
        away, _ = geo.nearest(finely(divider), every)
        if float((away <= SAME_PLACE_MM).mean()) >= FOLLOWED:
            return True
    return False
