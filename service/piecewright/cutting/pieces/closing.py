"""Closing gaps in lines the way the line itself would go on.

Terms: see rings.py.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.geometry import nearest

if TYPE_CHECKING:
    from piecewright.cutting.geometry import FloatArray, IntArray

OVERLAP_MM: Final = 20.0
"""How far two ends of one line may pass each other."""

OVERLAP_SHARE: Final = 0.25
BESIDE_MM: Final = 1.6
"""Ends that pass each other lie this close; farther apart they are two lines."""

FOLD_COS: Final = -0.96
"""164 degrees: sharper joints run back along the same line, they do not go on."""

BEND_DEG: Final = 6.0
"""An end that turns by more over its last stitches is curved."""

CORNER_DEG: Final = (35.0, 150.0)
"""Straight ends that meet at an angle between these meet in a corner."""

CORNER_REACH: Final = 2.0
"""A corner may lie this many gap widths ahead: at a tip of 30 degrees the gap is half as wide as deep."""

GOES_ON: Final = 0.64
"""Cosine of 50 degrees: an end that points farther off the gap stops there, it does not go on over it."""

SPACING_MM: Final = 2.0
"""Between the points that close a gap: about a stitch."""


def trimmed(path: FloatArray) -> FloatArray:
    """The path (n, 2) without the part at its end that passes its own start at a little distance."""
    arc = np.r_[0.0, np.cumsum(np.hypot(*np.diff(path, axis=0).T))]
    reach = min(OVERLAP_MM, OVERLAP_SHARE * arc[-1])
    tail = np.flatnonzero(arc >= arc[-1] - reach)
    head = np.flatnonzero(arc <= reach)
    if len(path) < 6 or len(head) < 2:  # noqa: PLR2004 - too few points to pass anything
        return path
    chosen = _first_passing(path, head, tail)
    return path if chosen is None else path[: chosen + 1]


def _first_passing(path: FloatArray, head: IntArray, tail: IntArray) -> int | None:
    """Index of the last point before the end of the path runs along its head."""
    fine = _finely(path[head])
    away, where = nearest(path[tail], fine)
    way = np.gradient(fine, axis=0)
    step = path[tail] - path[np.maximum(tail - 1, 0)]
    same = np.einsum("ij,ij->i", way[where], step) > 0
    beyond = where > 0
    passing = tail[(away <= BESIDE_MM) & same & beyond]
    return int(passing[0]) - 1 if len(passing) else None


def _finely(path: FloatArray, spacing: float = 0.25) -> FloatArray:
    arc = np.r_[0.0, np.cumsum(np.hypot(*np.diff(path, axis=0).T))]
    at = np.linspace(0, arc[-1], max(int(arc[-1] / spacing), 2))
    return np.column_stack([np.interp(at, arc, path[:, axis]) for axis in (0, 1)])


def folds_back(one: FloatArray, other: FloatArray) -> bool:
    """Whether two paths (n, 2) that end at the same place run beside each other, instead of going on."""
    return bool(heading(one) @ heading(other) > -FOLD_COS)


def heading(path: FloatArray) -> FloatArray:
    """Direction in which a path ends, over its last stitches, (2,)."""
    step = path[-1] - path[max(len(path) - 3, 0)]
    return np.asarray(step / max(float(np.hypot(*step)), 1e-9))


def bridged(before: FloatArray, after: FloatArray) -> FloatArray:
    """Points in the gap from the end of one path to the start of another, (n, 2) mm; none for a stitch.

    Args:
        before: Path that ends at the gap.
        after: Path that begins behind it; the same path to close a ring.
    """
    start, end = before[-1], after[0]
    width = float(np.hypot(*(end - start)))
    if width <= 1.5 * SPACING_MM or len(before) < 3 or len(after) < 3:  # noqa: PLR2004 - no direction
        return np.zeros((0, 2))
    leaving, arriving = heading(before), -heading(after[::-1])
    corner = _corner(start, leaving, end, arriving, width)
    if corner is not None and _straight(before[-4:]) and _straight(after[:4]):
        return corner[None]
    return _curve(start, leaving, end, arriving, width)


def _corner(
    start: FloatArray, leaving: FloatArray, end: FloatArray, arriving: FloatArray, width: float
) -> FloatArray | None:
    """Where both ends point at, if it lies in the gap."""
    cross = float(leaving[0] * arriving[1] - leaving[1] * arriving[0])
    turn = np.degrees(np.arctan2(cross, float(leaving @ arriving)))
    if not CORNER_DEG[0] <= abs(turn) <= CORNER_DEG[1]:
        return None
    to = end - start
    on = float(to[0] * arriving[1] - to[1] * arriving[0]) / cross
    back = float(to[0] * leaving[1] - to[1] * leaving[0]) / cross
    farthest = CORNER_REACH * width
    return np.asarray(start + on * leaving) if 0 < on < farthest and -farthest < back < 0 else None


def _straight(end: FloatArray) -> bool:
    """Whether the last stitches go in one direction."""
    steps = np.diff(end, axis=0)
    angle = np.degrees(np.arctan2(steps[:, 1], steps[:, 0]))
    return bool(np.max(np.abs((np.diff(angle) + 180) % 360 - 180), initial=0.0) < BEND_DEG)


def _curve(
    start: FloatArray, leaving: FloatArray, end: FloatArray, arriving: FloatArray, width: float
) -> FloatArray:
    """A cubic that leaves and arrives as the ends do; straight where they point elsewhere.

    The handles of a third of the chord times 1 / cos2 of half the turn follow a circle closely.
    Source: the cubic for a circular arc, handle = 4/3 tan(angle/4) x radius.
    """
    chord = (end - start) / width
    if min(float(leaving @ chord), float(arriving @ chord)) < GOES_ON:
        return _spread(np.vstack([start, end]), width)
    half = np.arccos(np.clip((leaving @ chord + arriving @ chord) / 2, -1, 1))
    handle = width / 3 / max(float(np.cos(half / 2)) ** 2, 0.5)
    control = np.vstack([start, start + handle * leaving, end - handle * arriving, end])
    return _spread(control, width)


def _spread(control: FloatArray, width: float) -> FloatArray:
    """Points on a straight line or a cubic, about a stitch apart, the ends left out."""
    t = np.linspace(0, 1, max(int(width / SPACING_MM), 1) + 1)[1:-1, None]
    if len(control) == 2:  # noqa: PLR2004 - a straight line
        return np.asarray(control[0] * (1 - t) + control[1] * t)
    a, b, c, d = control
    return np.asarray((1 - t) ** 3 * a + 3 * (1 - t) ** 2 * t * b + 3 * (1 - t) * t**2 * c + t**3 * d)
