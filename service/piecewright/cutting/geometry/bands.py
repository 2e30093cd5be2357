"""What stitches that go to and fro sweep over.

Terms: a *band* is what lies between the needle points on one side and those on the other.
"""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING, Final

import numpy as np
import shapely

from piecewright.cutting.geometry.engine import regions_from

if TYPE_CHECKING:
    from collections.abc import Sequence

    from shapely.geometry.base import BaseGeometry

    from piecewright.cutting.geometry.values import FloatArray, Region


SWEEP: Final = 40
"""Stitches taken together: so few that a band seldom crosses itself, so many that it stays quick."""


def swept(path: FloatArray) -> tuple[Region, ...]:
    """What lies between the threads of stitches that go to and fro: satin, zigzag, blanket.

    Where each stitch turns back on the one before, the band is bounded by every other needle point on
    either side; elsewhere (prongs, stitches split in two) by the hulls of five points in a row.

    Args:
        path: Needle points in sewing order, (n, 2) mm.
    """
    if len(path) < 3:  # noqa: PLR2004 - one stitch sweeps nothing
        return ()
    starts = range(0, len(path) - 2, SWEEP)
    banded = _are_bands(path, starts)
    parts: list[BaseGeometry] = []
    for is_band, group in groupby(zip(starts, banded, strict=True), key=lambda pair: pair[1]):
        begins = [begin for begin, _ in group]
        if is_band:
            parts += _bands(path[begins[0] : begins[-1] + SWEEP + 2])
        else:
            parts += [hull for begin in begins for hull in _hulls(path[begin : begin + SWEEP + 2])]
    return regions_from(shapely.union_all(parts))


def _are_bands(path: FloatArray, starts: Sequence[int]) -> list[bool]:
    """Whether each of the few stitches from each start turns back on the one before, and bounds a band."""
    steps = np.diff(path, axis=0)
    straight_on = np.append(0, np.cumsum((steps[1:] * steps[:-1]).sum(axis=1) >= 0))
    ends = np.minimum(np.array(starts) + SWEEP, len(path) - 2)
    turning = straight_on[ends] == straight_on[starts]
    bands = [_band(path[begin : begin + SWEEP + 2]) for begin in np.array(starts)[turning].tolist()]
    turning[turning] = shapely.is_valid(np.asarray(bands, dtype=np.object_))
    return [bool(each) for each in turning]


def _band(path: FloatArray) -> shapely.Polygon:
    """What is bounded by every other needle point on either side."""
    return shapely.Polygon(np.vstack([path[0::2], path[1::2][::-1]]))


def _bands(path: FloatArray) -> list[BaseGeometry]:
    """Few polygons that cover a band and do not cross themselves: short ones would take long to join."""
    band = _band(path)
    chunks = -(-(len(path) - 2) // SWEEP)
    if chunks == 1 or band.is_valid:
        return [band]
    half = chunks // 2 * SWEEP
    return _bands(path[: half + 2]) + _bands(path[half:])


def _hulls(path: FloatArray) -> list[BaseGeometry]:
    """The hulls of five points in a row, which overlap."""
    width = min(len(path), 5)
    windows = np.lib.stride_tricks.sliding_window_view(path, width, axis=0).swapaxes(1, 2)
    hulls = np.asarray(shapely.convex_hull(shapely.multipoints(windows)), dtype=np.object_)
    return list(hulls[shapely.area(hulls) > 0])
