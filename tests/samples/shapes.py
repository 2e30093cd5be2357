"""Closed curves for the sample designs, mm, y down: drawn densely, with their corners marked.

Everything is drawn from cubic Béziers, as a designer draws, so that the samples have true curves.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    import numpy.typing as npt

    Points = npt.NDArray[np.float64]

CORNER_DEG = 25.0
"""Where two segments meet at more than this, the designer meant a corner."""
PER_SEGMENT = 240
"""Points per Bézier segment: no two are farther apart than 0.5 mm in these designs."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Curve:
    """A curve as dense points, (n, 2) mm, and the indices of its corners.

    A closed curve ends where it begins, so that its last point repeats the first.
    """

    points: Points
    corners: tuple[int, ...]
    closed: bool = True

    def moved(self, x: float = 0, y: float = 0, *, turn: float = 0, mirror: bool = False) -> Curve:
        """Turned by degrees clockwise (y is down), turned over if asked, then moved."""
        a = np.radians(turn)
        matrix = np.array([[np.cos(a), np.sin(a)], [-np.sin(a), np.cos(a)]])
        flip = np.array([-1.0, 1.0]) if mirror else np.ones(2)
        return Curve(points=(self.points * flip) @ matrix + (x, y), corners=self.corners, closed=self.closed)

    def scaled(self, factor: float) -> Curve:
        """Larger or smaller about the origin."""
        return Curve(points=self.points * factor, corners=self.corners, closed=self.closed)


def drawn(*segments: tuple[tuple[float, float], ...], closed: bool = True) -> Curve:
    """A curve from segments of two (straight) or four (cubic) points."""
    runs = [_segment(np.asarray(s, dtype=float)) for s in segments]
    joints = np.cumsum([0, *(len(r) - 1 for r in runs)]).tolist()
    points = np.concatenate([runs[0][:1], *(r[1:] for r in runs)])
    n = len(runs)
    corners = [joints[k] for k in range(0 if closed else 1, n) if _turn(runs[k - 1], runs[k]) > CORNER_DEG]
    return Curve(points=points, corners=tuple(corners), closed=closed)


def polygon(*corners: tuple[float, float]) -> Curve:
    """Straight sides."""
    return drawn(*((a, b) for a, b in zip(corners, (*corners[1:], corners[0]), strict=True)))


def circle(radius: float) -> Curve:
    """A circle as four cubics; it is true within 0.03 % of the radius."""
    k = 0.5522847498 * radius
    r = radius
    return drawn(
        ((r, 0), (r, k), (k, r), (0, r)),
        ((0, r), (-k, r), (-r, k), (-r, 0)),
        ((-r, 0), (-r, -k), (-k, -r), (0, -r)),
        ((0, -r), (k, -r), (r, -k), (r, 0)),
    )


def rounded_square(side: float, radius: float) -> Curve:
    """A square with round corners."""
    a, r = side / 2, radius
    k = 0.4477152502 * r  # what is left of the radius beside the control point
    quarter = (
        ((a - r, -a), (a - k, -a), (a, -a + k), (a, -a + r)),
        ((a, -a + r), (a, a - r)),
    )
    turned = [tuple(_quarter_turn(p, times) for p in segment) for times in range(4) for segment in quarter]
    return drawn(*turned)


def leaf(length: float, width: float) -> Curve:
    """Two bows between two tips, the tip above a little sharper."""
    a, w = length / 2, width * 0.68
    return drawn(
        ((0, a), (w, a * 0.55), (w * 0.9, -a * 0.45), (0, -a)),
        ((0, -a), (-w * 0.9, -a * 0.45), (-w, a * 0.55), (0, a)),
    )


def petal(length: float, width: float) -> Curve:
    """A drop with its tip at the origin, opening upwards."""
    w = width * 0.7
    return drawn(
        ((0, 0), (w * 0.5, -length * 0.25), (w, -length), (0, -length)),
        ((0, -length), (-w, -length), (-w * 0.5, -length * 0.25), (0, 0)),
    )


def heart(width: float) -> Curve:
    """Notch above, tip below."""
    w = width / 2
    return drawn(
        ((0, -0.45 * w), (0.3 * w, -1.15 * w), (w, -w), (w, -0.25 * w)),
        ((w, -0.25 * w), (w, 0.35 * w), (0.35 * w, 0.75 * w), (0, 1.1 * w)),
        ((0, 1.1 * w), (-0.35 * w, 0.75 * w), (-w, 0.35 * w), (-w, -0.25 * w)),
        ((-w, -0.25 * w), (-w, -w), (-0.3 * w, -1.15 * w), (0, -0.45 * w)),
    )


def star(radius: float, waist: float, tips: int = 5) -> Curve:
    """Straight sides, tips on one circle and waists on another."""
    angles = np.arange(2 * tips) * np.pi / tips - np.pi / 2
    radii = np.where(np.arange(2 * tips) % 2 == 0, radius, waist)
    return polygon(*zip((radii * np.cos(angles)).tolist(), (radii * np.sin(angles)).tolist(), strict=True))


def crescent(radius: float) -> Curve:
    """A moon that opens to the right."""
    r = radius
    return drawn(
        ((r * 0.35, -r * 0.94), (-r * 0.5, -r * 1.25), (-r, -r * 0.6), (-r, 0)),
        ((-r, 0), (-r, r * 0.6), (-r * 0.5, r * 1.25), (r * 0.35, r * 0.94)),
        ((r * 0.35, r * 0.94), (-r * 0.25, r * 0.75), (-r * 0.3, r * 0.4), (-r * 0.3, 0)),
        ((-r * 0.3, 0), (-r * 0.3, -r * 0.4), (-r * 0.25, -r * 0.75), (r * 0.35, -r * 0.94)),
    )


def bird() -> Curve:
    """A small wren, 62 mm from beak to tail, looking right."""
    return drawn(
        ((31, -9), (27, -12), (26, -17), (18, -18)),
        ((18, -18), (8, -19), (4, -8), (-8, -6)),
        ((-8, -6), (-16, -5), (-22, -12), (-31, -20)),
        ((-31, -20), (-30, -10), (-26, 2), (-17, 9)),
        ((-17, 9), (-6, 18), (14, 17), (20, 3)),
        ((20, 3), (22, -2), (23, -4), (31, -9)),
    )


def hull() -> Curve:
    """A boat's hull, 70 mm wide."""
    return drawn(
        ((-35, 0), (35, 0)), ((35, 0), (30, 12), (22, 18), (12, 18)), ((12, 18), (-18, 18)),
        ((-18, 18), (-27, 18), (-32, 10), (-35, 0)),
    )  # fmt: skip


def fish() -> Curve:
    """A fish, 54 mm long, swimming to the right."""
    return drawn(
        ((27, 0), (20, -14), (0, -17), (-14, -4)),
        ((-14, -4), (-18, -8), (-22, -13), (-27, -14)),
        ((-27, -14), (-23, -5), (-23, 5), (-27, 14)),
        ((-27, 14), (-22, 13), (-18, 8), (-14, 4)),
        ((-14, 4), (0, 17), (20, 14), (27, 0)),
    )


def sail(width: float, height: float) -> Curve:
    """A sail with its straight side at x = 0."""
    return drawn(
        ((0, 0), (0, -height)),
        ((0, -height), (width * 0.75, -height * 0.75), (width, -height * 0.35), (width, 0)),
        ((width, 0), (width * 0.6, -2), (width * 0.3, -2), (0, 0)),
    )


def _segment(control: Points) -> Points:
    t = np.linspace(0, 1, PER_SEGMENT + 1)[:, None]
    if len(control) == 2:
        straight: Points = control[0] * (1 - t) + control[1] * t
        return straight
    a, b, c, d = control
    cubic: Points = a * (1 - t) ** 3 + 3 * b * t * (1 - t) ** 2 + 3 * c * t**2 * (1 - t) + d * t**3
    return cubic


def _turn(before: Points, after: Points) -> float:
    u, v = before[-1] - before[-2], after[1] - after[0]
    return float(abs(np.degrees(np.arctan2(u[0] * v[1] - u[1] * v[0], u @ v))))


def _quarter_turn(point: tuple[float, float], times: int) -> tuple[float, float]:
    x, y = point
    for _ in range(times):
        x, y = -y, x
    return x, y
