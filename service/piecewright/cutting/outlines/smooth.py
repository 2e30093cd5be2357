"""Smooth: the designer's curve through needle points that the file has rounded.

Terms: the *stiffness* says how many stitches the curve looks along itself before it bends; an
*alarm* is a stretch of needle points that all lie on one side of the curve by more than rounding
explains.

The points x are those that minimise ``sum |x - q|^2 + sum (stiffness * step)^6 |D3 x|^2`` over the
needle points q, where D3 are third divided differences by chord length, none of them across a
corner: a discrete spline whose curvature changes as little as possible (divided differences as a
penalty: P. H. C. Eilers and B. D. Marx, Flexible smoothing with B-splines and penalties, Statistical
Science 11, 1996). It begins stiff and is softened only where alarms are heard (the multiscale
criterion of P. L. Davies and A. Kovac, Local extremes, runs, strings and multiresolution, Annals of
Statistics 29, 2001). Every step is linear in the number of needle points.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np
from scipy.linalg import solveh_banded

from piecewright.cutting.outlines.polyline import NEEDLE_SIGMA_MM, edge_lengths

if TYPE_CHECKING:
    from piecewright.cutting.geometry import BoolArray, FloatArray, IntArray

WINDOWS: Final = (1, 2, 3, 4, 6, 8, 12)
"""Over how many needle points residuals are averaged."""

ALARM_SIGMAS: Final = 2.0
"""An average this many of its own standard deviations from 0 is an alarm: of pure rounding, one in 20 is."""

STIFFEST: Final = 30.0
"""Stitches; a hoop-sized circle is drawn through its rounded points without a wave."""

SOFTER: Final = 0.75
"""By how much the stiffness falls at a time; a finer step finds no better curve, only later."""

ROUNDS: Final = 14
"""Then the stiffness is half a stitch, and the curve goes through the needle points themselves."""

FEWEST_POINTS: Final = 5
"""With fewer there is nothing to smooth."""


@dataclass(frozen=True, slots=True)
class _Differences:
    """Third divided differences round a ring: of which points, with which factors, over which step."""

    index: IntArray
    factors: FloatArray
    step_mm: FloatArray
    across_corner: BoolArray


def smoothed(ring: FloatArray, corners: IntArray) -> FloatArray:
    """Move needle points onto the curve that they were taken from, as far as rounding allows.

    Args:
        ring: Cleaned needle points in order, (n, 2) mm.
        corners: Indices of the corners, where the curve may break.

    Returns:
        The moved points, (n, 2) mm.
    """
    if len(ring) < FEWEST_POINTS:
        return ring
    is_corner = np.zeros(len(ring), dtype=np.bool_)
    is_corner[corners] = True
    differences = _differences(ring, is_corner)
    stiffness = np.where(differences.across_corner, 0.0, STIFFEST)
    points = ring
    for _ in range(ROUNDS):
        points = _solved(ring, differences, (stiffness * differences.step_mm) ** 6)
        alarms = _alarms(ring, points, is_corner)
        if not alarms.any():
            break
        stiffness = np.where(alarms[differences.index].any(axis=1), stiffness * SOFTER, stiffness)
    return points


def _differences(ring: FloatArray, is_corner: BoolArray) -> _Differences:
    """The third divided difference of each four points in a row."""
    count = len(ring)
    index = (np.arange(count)[:, None] + np.arange(4)) % count
    steps = edge_lengths(ring)[index[:, :3]]
    t = np.hstack([np.zeros((count, 1)), np.cumsum(steps, axis=1)])
    gaps = t[:, :, None] - t[:, None, :]
    gaps[:, range(4), range(4)] = 1.0
    return _Differences(
        index=index,
        factors=1 / gaps.prod(axis=2),
        step_mm=steps.mean(axis=1),
        across_corner=is_corner[index[:, 1]] | is_corner[index[:, 2]],
    )


def _solved(ring: FloatArray, differences: _Differences, weight: FloatArray) -> FloatArray:
    """The minimiser: a banded system for the open ring, and three more rows that close it.

    The closing rows enter by the formula of Sherman, Morrison and Woodbury (G. H. Golub and C. F. Van
    Loan, Matrix Computations, 4th edition, 2.1.4).
    """
    count, factors = len(ring), differences.factors
    band = np.zeros((4, count))
    band[3] = 1
    for a in range(4):
        for b in range(a, 4):
            band[3 - (b - a), b : b + count - 3] += (weight * factors[:, a] * factors[:, b])[:-3]
    closing = np.zeros((count, 3))
    for column in range(3):
        row = count - 3 + column
        closing[differences.index[row], column] = factors[row] * np.sqrt(weight[row])
    solved = solveh_banded(band, np.hstack([ring, closing]), check_finite=False)
    points, spread = solved[:, :2], solved[:, 2:]
    joint = np.eye(3) + closing.T @ spread
    return np.asarray(points - spread @ np.linalg.solve(joint, closing.T @ points))


def _alarms(ring: FloatArray, points: FloatArray, is_corner: BoolArray) -> BoolArray:
    """Which needle points lie in a stretch whose residuals rounding does not explain, (n,)."""
    count = len(ring)
    residual = np.where(is_corner, 0.0, _residuals(ring, points))
    total = np.append(0.0, np.cumsum(np.concatenate([residual, residual])))
    widths = np.array([width for width in WINDOWS if 2 * width <= count])
    mean = (total[widths[:, None] + np.arange(count)] - total[:count]) / widths[:, None]
    window, begin = np.nonzero(np.abs(mean) > (ALARM_SIGMAS * NEEDLE_SIGMA_MM / np.sqrt(widths))[:, None])
    begins, ends = (np.bincount(at, minlength=2 * count + 1) for at in (begin, begin + widths[window]))
    inside = np.cumsum(begins - ends)[:-1] > 0
    return np.asarray(inside[:count] | inside[count:])


def _residuals(ring: FloatArray, points: FloatArray) -> FloatArray:
    """Distance of each needle point from the curve along its normal, signed, (n,) mm."""
    ahead = np.roll(points, -1, axis=0) - np.roll(points, 1, axis=0)
    off = ring - points
    size = np.maximum(np.hypot(ahead[:, 0], ahead[:, 1]), 1e-9)
    return np.asarray((ahead[:, 0] * off[:, 1] - ahead[:, 1] * off[:, 0]) / size)
