"""Small copies put into room that is left: the holes of big ones, and the gaps of a full mat.

Terms: the *room* is where a copy must lie, with half the gap around it; it is looked at in square
*cells*. A copy fits where no cell that it may touch lies partly outside the room. All places at once are
the correlation of the two masks (the room eroded by the copy), so no place on the grid is missed.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np
from scipy.ndimage import distance_transform_edt

from piecewright.cutting.geometry import Region, bounds, contains_points, grow, transformed_points
from piecewright.cutting.mats.copies import STEPS_DEG, Spot, spot_at

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from piecewright.cutting.geometry import BoolArray, FloatArray
    from piecewright.cutting.mats.copies import Copy

LEAST_CELL_MM: Final = 0.5
"""Smaller cells would save less than the gap itself."""

CELLS: Final = 320
"""Cells along the longer side of the room at most: they bound the work."""

HALF_DIAGONAL: Final = 0.7072
"""No point of a cell is farther from its middle than this share of its side."""


class Room:
    """Parts of the plane while copies are put into them."""

    def __init__(self, parts: Sequence[Region], gap_mm: float) -> None:
        """Take the parts in which copies may lie, half a gap from the edge."""
        boxes = np.array([bounds(part) for part in parts])
        self._low = boxes[:, :2].min(axis=0)
        size = boxes[:, 2:].max(axis=0) - self._low
        self._cell = max(LEAST_CELL_MM, float(size.max()) / CELLS)
        self._gap = gap_mm
        columns, rows = (int(n) for n in np.ceil(size / self._cell))
        self._free: BoolArray = np.zeros((rows, columns), dtype=np.bool_)
        for part in parts:
            for core in grow(part, -HALF_DIAGONAL * self._cell):
                self._free |= self._inside(core, self._low, (rows, columns))
        self._broadest = _broadest(self._free)

    def put(self, copy: Copy) -> Spot | None:
        """Put a copy as high up as it goes, then as far left; None if there is no room for it."""
        places = [place for way in _ways(copy) if (place := self._place(copy, *way)) is not None]
        if not places:
            return None
        _, spot, taken, (row, column) = min(places, key=lambda place: place[0])
        self._free[row : row + taken.shape[0], column : column + taken.shape[1]] &= ~taken
        self._broadest = _broadest(self._free)
        return spot

    def _place(
        self, copy: Copy, turn: float, mirrored: bool
    ) -> tuple[tuple[int, int], Spot, BoolArray, tuple[int, int]] | None:
        """The best place for a copy in one pose, and the cells that it takes there."""
        ring = transformed_points(copy.ring, turn, mirrored, 0.0, 0.0)
        taken, corner = self._touched(ring)
        if (np.array(taken.shape) > self._free.shape).any() or _broadest(taken) > self._broadest:
            return None
        blocked = _correlation(~self._free, taken)
        found = np.flatnonzero(blocked < 0.5)  # noqa: PLR2004 - whole numbers up to rounding of the transform
        if not len(found):
            return None
        row, column = (int(n) for n in np.unravel_index(found[0], blocked.shape))
        at = self._low + np.array([column, row]) * self._cell + (ring.min(axis=0) - corner)
        spot = spot_at(copy, turn, mirrored, (float(at[0]), float(at[1])))
        return (row + taken.shape[0], column), spot, taken, (row, column)

    def _touched(self, ring: FloatArray) -> tuple[BoolArray, FloatArray]:
        """Cells that the copy and half its gap may touch, and the corner of the first of them."""
        reach = grow(Region(exterior=ring), self._gap / 2 + HALF_DIAGONAL * self._cell)[0]
        x0, y0, x1, y1 = bounds(reach)
        shape = (int(np.ceil((y1 - y0) / self._cell)), int(np.ceil((x1 - x0) / self._cell)))
        corner = np.array([x0, y0])
        return self._inside(reach, corner, shape), corner

    def _inside(self, region: Region, corner: FloatArray, shape: tuple[int, int]) -> BoolArray:
        """Which cells of a grid have their middle inside a region."""
        rows, columns = np.indices(shape)
        middles = corner + (np.stack([columns, rows], axis=-1).reshape(-1, 2) + 0.5) * self._cell
        return contains_points(region, middles).reshape(shape)


def fill(room: Room, copies: Sequence[Copy]) -> tuple[Spot, ...]:
    """Put as many copies as fit, in the order given."""
    spots: list[Spot] = []
    too_big: set[int] = set()
    for copy in copies:
        if id(copy.demand) not in too_big:
            spot = room.put(copy)
            if spot is None:
                too_big.add(id(copy.demand))
            else:
                spots.append(spot)
    return tuple(spots)


def _broadest(mask: BoolArray) -> float:
    """Radius in cells of the largest disc inside a mask: no mask holds one with a larger disc."""
    return float(distance_transform_edt(np.pad(mask, 1)).max())


def _correlation(mask: BoolArray, smaller: BoolArray) -> FloatArray:
    """How many cells of a mask a smaller one meets wherever it lies wholly on it.

    Source: the convolution theorem; the transform goes round, but not at these places.
    """
    rows, columns = np.array(mask.shape) - smaller.shape + 1
    spectrum = np.fft.rfft2(mask) * np.fft.rfft2(smaller, mask.shape).conj()
    return np.asarray(np.fft.irfft2(spectrum, mask.shape)[:rows, :columns])


def _ways(copy: Copy) -> Iterator[tuple[float, bool]]:
    """Turns and sides that are tried."""
    for mirrored in copy.sides:
        base = copy.turn_on(mirrored)
        for step in STEPS_DEG[copy.turning]:
            yield base + step, mirrored
