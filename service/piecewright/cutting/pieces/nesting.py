"""Holes, layers and base layers: how placement lines lie in each other.

Terms: a line inside another is a *hole* if both are placed in one block and held together, since
fabric laid on both would hide the inner one, or if what holds it lies outside it, in the fabric around;
placed one after the other they are *layers*.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

import numpy as np

from piecewright.cutting import geometry as geo
from piecewright.cutting.geometry import Region
from piecewright.cutting.passes import Role
from piecewright.cutting.pieces.succession import follower_roles
from piecewright.cutting.pieces.words import Hint

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.pieces.claims import Placement
    from piecewright.cutting.pieces.surroundings import Surroundings

OUTSIDE_MM: Final = 0.4
"""A tack-down this far outside its line would miss the fabric, or only just catch it."""

INSIDE_MM: Final = 0.3
"""Needle points of a hole may lie this far over the outer line."""

BASE_SHARE: Final = 0.8
"""A base layer lies under this share of all that is sewn besides it."""

LEAST_SIDE_MM: Final = 0.1
"""A straight run has a box without a width."""

AS_LARGE: Final = 0.8
"""Batting and ground cloth of one hoop differ by less."""

BASTING_MM: Final = 4.5
"""Basting is taken out again, so its stitches are this long (common practice, no source)."""

NO_FINER: Final = 1.3
"""A tack-down sewn this much finer than the line holds for good; basting over basting does not."""

RECTANGULAR: Final = 0.93
"""Batting and ground cloth fill their rectangle but for rounded corners; a circle fills 0.79."""

UNCOVERED: Final = 0.3
"""A base layer has no cover along more of its edge."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Group:
    """One piece in the making: its outer line, its holes, what it is."""

    outer: Placement
    holes: tuple[Placement, ...]
    kind: Literal["applique", "base"]

    @property
    def lines(self) -> tuple[Placement, ...]:
        """All lines that draw it."""
        return (self.outer, *self.holes)


def group(placements: Sequence[Placement], around: Surroundings) -> list[Group]:
    """Put lines together to pieces, in the order of placing."""
    parents = [_parent(one, placements, around) for one in placements]
    depths = [_depth(index, parents) for index in range(len(placements))]
    groups = []
    for index, placement in enumerate(placements):
        if depths[index] % 2 == 0:
            holes = tuple(p for i, p in enumerate(placements) if parents[i] == index)
            groups.append((placement, holes))
    base = _base_layers([outer for outer, _ in groups], around)
    return [
        Group(outer=outer, holes=holes, kind="base" if outer in base else "applique")
        for outer, holes in groups
    ]


def region_with_holes(one: Group) -> Region:
    """What is cut: the outer ring and the rings of the holes."""
    return Region(exterior=one.outer.region.exterior, holes=tuple(h.region.exterior for h in one.holes))


def _parent(inner: Placement, placements: Sequence[Placement], around: Surroundings) -> int | None:
    """Index of the smallest line around another of which that is a hole."""
    if inner.ring.cell:  # it was told from its neighbours by what holds it
        return None
    outside = _held_from_outside(inner, around)
    found = [
        (geo.area(outer.region), index)
        for index, outer in enumerate(placements)
        if outer is not inner
        and (outer.ring.block == inner.ring.block or (outside and _not_yet_held(outer, inner)))
        and _held_together(inner, outer)
        and lies_in(inner, outer)
    ]
    return min(found)[1] if found else None


def _not_yet_held(outer: Placement, inner: Placement) -> bool:
    """Whether nothing holds the outer piece when the inner line is sewn, which fabric would hide."""
    return min(outer.evidence.blocks, default=0) > inner.ring.block


def _held_from_outside(inner: Placement, around: Surroundings) -> bool:
    """Whether the first passes along a line lie outside it, where they hold nothing that was laid on it."""
    first = [f for f in inner.followers if around.runs[f.run].block in inner.evidence.blocks[:1]]
    nearer_mm = [f.offset_mm - around.runs[f.run].width_mm / 2 for f in first]
    return min(nearer_mm, default=0.0) > OUTSIDE_MM


def _held_together(inner: Placement, outer: Placement) -> bool:
    """Whether the inner line is first followed where the outer one is, or never but where that one is.

    Where the rules name the block, nothing need follow the inner line at all.
    """
    own, of_outer = inner.evidence.blocks, outer.evidence.blocks
    known = bool(own) or inner.evidence.by_hand
    return own[:1] == of_outer[:1] or (known and set(own) <= set(of_outer))


def lies_in(inner: Placement, outer: Placement) -> bool:
    """Whether a line lies inside another."""
    if not outer.ring.box.holds(inner.ring.box, INSIDE_MM):
        return False
    return float(geo.distances_to_edge(outer.region, inner.ring.points).min()) > -INSIDE_MM


def _depth(index: int, parents: Sequence[int | None]) -> int:
    depth, parent = 0, parents[index]
    while parent is not None:
        depth, parent = depth + 1, parents[parent]
    return depth


def _base_layers(outer: Sequence[Placement], around: Surroundings) -> list[Placement]:
    """Base layers come first, hold all the rest, and are not covered."""
    found = [one for one in outer if one.evidence.hint is Hint.BASE]
    for one in sorted(outer, key=lambda each: each.ring.block):
        if one in found:
            continue
        if (
            _is_covered(one, around)
            or not _holds_rest(one, outer, around)
            or not _like_base(one, outer, around)
        ):
            break
        found.append(one)
    return found


def _like_base(one: Placement, outer: Sequence[Placement], around: Surroundings) -> bool:
    """Basted with long stitches, or under pieces that are covered or lie on a rectangle."""
    if around.runs[one.ring.runs[0]].stitch_length_mm >= BASTING_MM and one.evidence.finer < NO_FINER:
        return True
    later = [each for each in outer if each.ring.block > one.ring.block]
    return any(_is_covered(each, around) for each in later) or (bool(later) and _is_rectangular(one))


def _is_rectangular(one: Placement) -> bool:
    """Whether a line nearly fills the smallest rectangle around it, however turned."""
    hull = geo.convex_hull(one.ring.points)
    sides = np.roll(hull, -1, axis=0) - hull
    way = sides / np.maximum(np.hypot(sides[:, 0], sides[:, 1]), 1e-9)[:, None]
    along = hull @ way.T
    across = hull @ np.column_stack([-way[:, 1], way[:, 0]]).T
    smallest = float((np.ptp(along, axis=0) * np.ptp(across, axis=0)).min())
    return geo.area(one.region) >= RECTANGULAR * smallest


def _as_large(one: Placement, area: float, around: Surroundings) -> bool:
    return geo.area(one.region) >= AS_LARGE * area and not _is_covered(one, around)


def _is_covered(placement: Placement, around: Surroundings) -> bool:
    covering = {run for run, role in follower_roles(placement.followers, around.runs) if role is Role.COVER}
    covers = [f.on for f in placement.followers if f.run in covering]
    return bool(covers) and float(np.mean(np.any(np.array(covers), axis=0))) > UNCOVERED


def _holds_rest(placement: Placement, outer: Sequence[Placement], around: Surroundings) -> bool:
    """Whether nearly all that is sewn besides it and other layers as large lies inside."""
    area = geo.area(placement.region)
    lines = [placement, *(one for one in outer if _as_large(one, area, around))]
    own = {run for line in lines for run in (*line.ring.runs, *(f.run for f in line.followers))}
    rest = [i for i in range(len(around.runs)) if i not in own]
    x0, y0, x1, y1 = geo.bounds(placement.region)
    size = np.maximum(around.high - around.low, LEAST_SIDE_MM)
    shared = np.minimum(around.high, (x1, y1)) - np.maximum(around.low, (x0, y0))
    inside = np.clip((shared + LEAST_SIDE_MM) / size, 0, 1).prod(axis=1)
    whole = float(around.length[rest].sum())
    held = float((around.length * inside)[rest].sum())
    return whole > 0 and held >= BASE_SHARE * whole
