"""Small copies laid in the holes of big ones, where the rules allow it.

Terms: a *host* is a copy with holes; its *guests* are cut from the fabric of its holes and go wherever
the host goes.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from piecewright.cutting.geometry import Region, flatten, frozen, grow, transformed_points
from piecewright.cutting.mats.copies import DIGITS, FLAT_MM, Spot
from piecewright.cutting.mats.fitting import Room, fill

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from piecewright.cutting.mats.copies import Copy


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lodging:
    """Who lies in whose holes.

    Attributes:
        guests: Of each host, by its id: places in the host's design, as if the host lay there unturned.
        others: Copies that are no guests, hosts included, in their order.
    """

    guests: Mapping[str, tuple[Spot, ...]]
    others: tuple[Copy, ...]


def lodge(copies: Sequence[Copy], gap_mm: float) -> Lodging:
    """Put small copies into the holes of large ones.

    Hosts are filled from the largest on, each hole with the largest copies that go in. A guest is no host.
    """
    order = sorted(copies, key=lambda copy: -copy.area_mm2)
    left = {copy.id: copy for copy in order}
    guests: dict[str, tuple[Spot, ...]] = {}
    for host in order:
        if host.id not in left or not host.demand.outline.holes:
            continue
        inside = _guests_of(host, [copy for copy in left.values() if _smaller(copy, host)], gap_mm)
        if inside:
            guests[host.id] = inside
        for spot in inside:
            del left[spot.copy.id]
    return Lodging(guests=guests, others=tuple(copy for copy in copies if copy.id in left))


def moved_in(host: Spot, lodging: Lodging) -> tuple[Spot, ...]:
    """A laid host's guests, with the host's own move applied to their places."""
    return tuple(_moved(guest, host) for guest in lodging.guests.get(host.copy.id, ()))


def _smaller(copy: Copy, host: Copy) -> bool:
    """Whether a copy may be a guest: without holes of its own, smaller, and under the same limits."""
    return (
        copy.area_mm2 < host.area_mm2
        and not copy.demand.outline.holes
        and copy.turning == host.turning
        and len(copy.sides) == len(host.sides)
    )


def _guests_of(host: Copy, copies: Sequence[Copy], gap_mm: float) -> tuple[Spot, ...]:
    """What goes into the holes of one host."""
    spots: list[Spot] = []
    for hole in host.demand.outline.holes:
        parts = grow(Region(exterior=flatten(hole, FLAT_MM)), -gap_mm / 2)
        taken = {spot.copy.id for spot in spots}
        if parts:
            spots += fill(Room(parts, gap_mm), [_as_seen(c, host) for c in copies if c.id not in taken])
    originals = {copy.id: copy for copy in copies}
    return tuple(replace(spot, copy=originals[spot.copy.id]) for spot in spots)


def _as_seen(copy: Copy, host: Copy) -> Copy:
    """The copy as the host's design sees it: mirrored only if it lies on the other side than the host."""
    return replace(copy, sides=tuple(side != host.sides[0] for side in copy.sides))


def _moved(guest: Spot, host: Spot) -> Spot:
    """The guest's place after the host's move: turn(mirror(turn(mirror(p)) + t)) + T."""
    turn = host.turned_deg + (-guest.turned_deg if host.mirrored else guest.turned_deg)
    at = transformed_points(
        frozen([guest.x_mm, guest.y_mm]), host.turned_deg, host.mirrored, host.x_mm, host.y_mm
    )
    return Spot(
        copy=guest.copy,
        x_mm=round(float(at[0]), DIGITS),
        y_mm=round(float(at[1]), DIGITS),
        turned_deg=round(turn % 360.0, DIGITS),
        mirrored=host.mirrored != guest.mirrored,
    )
