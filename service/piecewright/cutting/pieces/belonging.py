"""Which runs that pass along a line belong to it.

Terms: see following.py.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from piecewright.cutting.geometry import ring_area
from piecewright.cutting.passes import FIRM, Stitch
from piecewright.cutting.pieces.rows import is_rows

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from piecewright.cutting.passes import Run
    from piecewright.cutting.pieces.boxes import Box
    from piecewright.cutting.pieces.following import Follower
    from piecewright.cutting.pieces.rings import Ring
    from piecewright.cutting.pieces.surroundings import Surroundings

AT_HOME: Final = 0.5
"""A run belongs to a line if half of it runs along it ..."""

COVERS_HALF: Final = 0.5
"""... or if it runs along half of the line: one run may cover several pieces."""

SWINGS_MM: Final = 1.0
"""A pass this far on either side of a line by turns would now miss the fabric and now bare its edge: it
crosses the line, as interlaced ornaments do, and does not follow it. Drawn by eye it strays half a mm."""

SPREADS_MM: Final = 2.5
"""Between two lines that part and meet the distance changes by more; a pass keeps its distance."""

MEANDER_AT_HOME: Final = 0.7
"""The loops of a meander touch the edge here and there; one that follows it does so nearly everywhere."""

FARTHEST_SHARE: Final = 0.35
"""Passes over a small piece lie nearer to its line than this share of its radius."""

FARTHEST_FIRM_SHARE: Final = 0.55
"""The same of what is sewn to hold a raw edge, which keeps 2 mm inside on the smallest pieces too."""

NEAR_ENOUGH_MM: Final = 1.3
"""On a leaf 5 mm wide a tack-down this far inside is half-way to the middle, and still its tack-down."""

ALL_ROUND: Final = 0.8
"""Share of a hole's line, and of what holds the fabric round it, along which the two go together."""

ALIKE_MM: Final = 0.4
"""Tack-downs of one hand keep their distance from the lines; on a small dot chords cut some of it off."""

LEAST_COVERAGE: Final = 0.05

REACHES_MM: Final = 0.6
"""A stitch with a width lies on a line if its edge comes this near; farther off it is another line's."""


def belonging(
    followers: Iterable[Follower], ring: Ring, around: Surroundings, echoes: set[int]
) -> list[Follower]:
    """Those runs of later blocks that belong to the ring, not only pass by.

    Args:
        followers: All runs along the ring.
        ring: The line.
        around: The rest of the design.
        echoes: Runs that keep their distance from several lines of the block.
    """
    radius = 2 * abs(ring_area(ring.points)) / ring.length_mm
    return [
        f
        for f in followers
        if around.runs[f.run].block > ring.block
        and f.run not in echoes
        and f.away_mm <= max(_farthest_share(ring, around.runs[f.run]) * radius, NEAR_ENOUGH_MM)
        and keeps_distance(f, around.runs[f.run])
        and _is_at_home(f, around.runs[f.run])
    ]


def round_a_hole(followers: Iterable[Follower], ring: Ring, around: Surroundings) -> list[Follower]:
    """Those runs of later blocks that go round a ring outside it, as what holds the fabric round a hole does.

    However small the hole is, they may lie as far off as round a large one.

    Args:
        followers: All runs along the ring.
        ring: The line.
        around: The rest of the design.
    """
    return [
        f
        for f in followers
        if around.runs[f.run].block > ring.block
        and f.offset_mm > 0
        and min(f.coverage, f.at_home) >= ALL_ROUND
        and keeps_distance(f, around.runs[f.run])
    ]


def held_alike(
    rings: Sequence[Ring],
    along: Sequence[Sequence[Follower]],
    own: Sequence[Sequence[Follower]],
    around: Surroundings,
) -> dict[int, list[Follower]]:
    """For lines that nothing follows yet what goes round inside them as far in as it does elsewhere.

    On a piece of 6 mm a tack-down 1.5 mm inside is nearer to the middle than to the line, and might be a
    drawing on it; but where other pieces of the design are held at this distance, so is this one.

    Args:
        rings: Closed lines in sewing order.
        along: For each, every run along it.
        own: For each, the runs that belong to it.
        around: The rest of the design.
    """
    elsewhere = [
        (ring.box, f.offset_mm)
        for ring, followers in zip(rings, own, strict=True)
        for f in followers
        if _goes_round_inside(f, ring, around) and around.runs[f.run].block == ring.block + 1
    ]
    return {
        index: found
        for index, ring in enumerate(rings)
        if elsewhere and not own[index] and (found := _as_elsewhere(ring, along[index], elsewhere, around))
    }


def _as_elsewhere(
    ring: Ring, followers: Iterable[Follower], elsewhere: Sequence[tuple[Box, float]], around: Surroundings
) -> list[Follower]:
    return [
        f
        for f in followers
        if _goes_round_inside(f, ring, around)
        and any(
            abs(f.offset_mm - offset) <= ALIKE_MM and not box.meets(ring.box) for box, offset in elsewhere
        )
    ]


def _goes_round_inside(follower: Follower, ring: Ring, around: Surroundings) -> bool:
    """Whether a run of a later block that is sewn to hold goes all round inside a plain line, evenly."""
    run = around.runs[follower.run]
    return (
        run.block > ring.block
        and ring.stitch is Stitch.SINGLE_RUN
        and run.stitch in FIRM
        and follower.offset_mm < 0
        and min(follower.coverage, follower.at_home) >= ALL_ROUND
        and keeps_distance(follower, run)
    )


def _farthest_share(ring: Ring, run: Run) -> float:
    firm = ring.stitch is Stitch.SINGLE_RUN and run.stitch in FIRM and run.closed
    return FARTHEST_FIRM_SHARE if firm else FARTHEST_SHARE


def covering_before(followers: Iterable[Follower], ring: Ring, runs: Sequence[Run]) -> list[Follower]:
    """Stitches with a width along the ring before the halt: it is their underlay, or lies on top of them."""
    return [
        f
        for f in followers
        if runs[f.run].block <= ring.block
        and runs[f.run].width_mm > 0
        and f.away_mm <= runs[f.run].width_mm / 2 + REACHES_MM
    ]


def keeps_distance(follower: Follower, run: Run) -> bool:
    """Whether a run keeps its distance from the ring; stitches with a width may wander a little more."""
    more = run.width_mm / 4
    return follower.swing_mm <= SWINGS_MM + more and follower.spread_mm <= SPREADS_MM + more


def _is_at_home(follower: Follower, run: Run) -> bool:
    if run.stitch is Stitch.MEANDER and follower.at_home < MEANDER_AT_HOME:
        return False
    if run.stitch is Stitch.MOTIF and is_rows(run.points):  # rows of a fill, as regular as a figure
        return False
    return follower.coverage >= COVERS_HALF or (
        follower.at_home >= AT_HOME and follower.coverage >= LEAST_COVERAGE
    )
