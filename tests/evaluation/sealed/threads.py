"""Ways to sew along a curve: needle points of lines, columns and borders.

Terms: a *bean* goes forth, back and forth again; a *column* goes to and fro across the curve (satin if
dense, zigzag if not); a *comb* runs along an edge and bites inwards (blanket stitch, E-stitch).
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Literal

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tests.evaluation.sealed.curves import Curve, FloatArray

Lock = Literal["none", "dots", "back", "cross", "star", "long"]
LONGEST_MM = 11.5


def bean(points: FloatArray, strands: int = 3) -> FloatArray:
    """Each stitch three (or five) times: forth, back, forth."""
    there = np.repeat(points[1:], strands, axis=0)
    for k in range(1, strands, 2):
        there[k::strands] = points[:-1]
    return np.vstack([points[:1], there])


def there_and_back(points: FloatArray) -> FloatArray:
    """A run, and the same needle points back."""
    return np.vstack([points, points[-2::-1]])


def column(
    line: Curve,
    span: tuple[float, float],
    width: float,
    gap: float,
    shift: float = 0.0,
    *,
    split: float = 99.0,
) -> FloatArray:
    """To and fro across the curve, outside first.

    Args:
        line: Its middle if ``shift`` is 0.
        span: From and to, lengths on the curve.
        width: Across, mm.
        gap: Between neighbouring points of one side, mm.
        shift: How far the middle lies outside the curve, mm.
        split: Stitches longer than this get penetrations in between.
    """
    a, b = span
    n = max(4, int(abs(b - a) / gap * 2))
    s = np.linspace(a, b, n + 1)
    side = np.where(np.arange(n + 1) % 2 == 0, width / 2, -width / 2) + shift
    points = line.at(s) + line.outward(s, max(0.3, width / 3)) * side[:, None]
    return broken(points, min(split, LONGEST_MM))


def broken(points: FloatArray, longest: float) -> FloatArray:
    """Long stitches broken by penetrations, every second one by another share so that none align."""
    out = [points[0]]
    for k, (p, q) in enumerate(pairwise(points)):
        n = int(np.ceil(np.linalg.norm(q - p) / longest))
        shares = (np.arange(1, n) + (0.15 if k % 2 else -0.15)) / n if n > 1 else np.array([])
        out += [p + (q - p) * share for share in shares]
        out.append(q)
    return np.array(out)


def comb(
    line: Curve, span: tuple[float, float], bite: float, pitch: float, *, double: bool = False
) -> FloatArray:
    """Along the edge with bites inwards (negative: outwards) every ``pitch`` mm."""
    a, b = span
    n = max(3, round(abs(b - a) / pitch))
    s = np.linspace(a, b, n + 1)
    edge = line.at(s)
    tips = edge - line.outward(s, 0.4) * bite
    tooth = [edge, tips, edge] + ([tips, edge] if double else [])
    return np.stack(tooth, axis=1).reshape(-1, 2)


def motif(
    line: Curve, span: tuple[float, float], unit: Sequence[tuple[float, float]], pitch: float
) -> FloatArray:
    """A small figure again and again: its points are (share of the pitch, mm outwards)."""
    a, b = span
    n = max(2, round(abs(b - a) / pitch))
    step = (b - a) / n
    s = np.concatenate([[a + (k + along) * step for along, _ in unit] for k in range(n)])
    out = np.tile([across for _, across in unit], n)
    return np.asarray(line.at(s) + line.outward(s, 0.5) * out[:, None])


def loose(points: FloatArray, rng: np.random.Generator, amount: float) -> FloatArray:
    """The same stitches drawn by an unsteady hand: up to ``amount`` mm aside, slowly varying."""
    n = len(points)
    phase = rng.uniform(0, 2 * np.pi, (3, 2))
    turns = rng.uniform(0.5, 5.0, (3, 2))
    t = np.linspace(0, 2 * np.pi, n)[:, None]
    wobble = sum(np.sin(t * turns[k] + phase[k]) for k in range(3)) / 3
    return np.asarray(points + amount * wobble)


def locked(points: FloatArray, lock: Lock, size: float = 0.6) -> FloatArray:
    """The stitches with a lock at both ends, in one of the habits of machines and programs."""
    if lock == "none" or len(points) < 4:
        return points
    return np.vstack([_lock(points[:4], lock, size), points, _lock(points[:-5:-1], lock, size)[::-1]])


def _lock(first: FloatArray, lock: Lock, size: float) -> FloatArray:
    """What stands before the first of some points."""
    at, ahead = first[0], first[1] - first[0]
    ahead = ahead / max(float(np.linalg.norm(ahead)), 1e-9)
    side = np.array([-ahead[1], ahead[0]])
    if lock == "dots":  # on the spot along the line
        return np.array([at, at + ahead * size, at, at + ahead * size])
    if lock == "back":  # some stitches forth and back again
        return np.vstack([first[:3], first[1:2]])
    if lock == "cross":
        return np.asarray(at + size * np.array([-side, side, -ahead, ahead]) / 2)
    if lock == "long":  # one step back, off the line's end
        return np.array([at, at - ahead * size * 2, at - ahead * size])
    spokes = [ahead, at * 0, side, at * 0, -ahead, at * 0, -side, at * 0]
    return np.asarray(at + np.array(spokes) * size / 2)
