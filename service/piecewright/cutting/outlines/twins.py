"""Twins: pieces that are congruent, turned or turned over, and so cut from one outline.

Terms: the *leader* of some twins is the first of them, whose outline is cut for all.

Two outlines of equal length are sampled evenly and written as complex numbers about their middles.
Turning one so that it comes nearest to the other is then one correlation: its largest value over
all starting points gives the starting point, and its argument the turn (Procrustes analysis on
Fourier descriptors: E. Persoon and K. S. Fu, Shape discrimination using Fourier descriptors, IEEE
Transactions on Systems, Man and Cybernetics 7, 1977).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np
import numpy.typing as npt

from piecewright.cutting.geometry import (
    FloatArray,
    Region,
    area,
    away_from_edge,
    perimeter,
    ring_length,
    spaced,
    transformed,
    transformed_points,
)
from piecewright.cutting.outlines.values import Twin

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from piecewright.cutting.outlines.line import Line

ComplexArray = npt.NDArray[np.complex128]

SAMPLES: Final = 256
"""Points of an outline that are compared."""

TRIES: Final = 6
"""Turns tried for two outlines; more come into question only for circles, where all are alike."""

MOST_HOLES: Final = 12
"""Holes tried for the same; a piece with more is a lattice, whose rim tells the turn."""

CHECK_MM: Final = 1.0
"""How closely two outlines are compared at last."""

WHOLE_DEG: Final = 0.25
"""A turn so near to whole degrees is taken as that, if the twins still match: designers turn so."""


@dataclass(frozen=True, slots=True, eq=False)
class _Signature:
    """What of a line is compared.

    Attributes:
        line: The line.
        middle: Middle of its exterior.
        spectrum: Fourier transform of the exterior about its middle, (SAMPLES,).
        mirrored: The same with x reversed.
        size: Area and length of the edge.
        step_mm: Distance of the samples.
    """

    line: Line
    middle: FloatArray
    spectrum: ComplexArray
    mirrored: ComplexArray
    size: tuple[float, float]
    step_mm: float


def find_twins(
    lines: Sequence[Line], tolerance_mm: float, allowed: Callable[[Twin], bool]
) -> dict[str, Twin]:
    """Find pieces that are congruent to an earlier one.

    Args:
        lines: In the order of the pieces.
        tolerance_mm: How far their edges may differ.
        allowed: Whether a turn may be used at all.

    Returns:
        How each twin that is not a leader lies, by the id of its piece.
    """
    leaders: list[_Signature] = []
    twins: dict[str, Twin] = {}
    for signature in map(_signature, lines):
        found = next(
            (twin for leader in leaders if (twin := _match(leader, signature, tolerance_mm, allowed))), None
        )
        if found is None:
            leaders.append(signature)
        else:
            twins[signature.line.piece.id] = found
    return twins


def _signature(line: Line) -> _Signature:
    """Prepare a line for comparison."""
    region = line.region
    length = ring_length(region.exterior)
    ring = spaced(region.exterior, length / SAMPLES * (1 + 1e-9))
    middle = ring.mean(axis=0)
    points = (ring - middle) @ np.array([1, 1j])
    flipped = -points[::-1].conj()
    return _Signature(
        line=line,
        middle=middle,
        spectrum=np.fft.fft(points),
        mirrored=np.fft.fft(flipped),
        size=(area(region), perimeter(region)),
        step_mm=length / SAMPLES,
    )


def _match(
    leader: _Signature, other: _Signature, tolerance_mm: float, allowed: Callable[[Twin], bool]
) -> Twin | None:
    """How the other lies if it is a twin of the leader, turned as little as possible."""
    if not _alike(leader, other, tolerance_mm):
        return None
    for mirrored in (False, True):
        spectrum = leader.mirrored if mirrored else leader.spectrum
        turns = _turns(spectrum, other, tolerance_mm)
        for turn in turns + _turns_by_holes(leader, other, mirrored):
            for turned_deg in dict.fromkeys((_whole(turn), turn)):
                twin = _placed(leader, other, turned_deg, mirrored)
                if allowed(twin) and _lies_on(leader, other, twin, tolerance_mm):
                    return twin
    return None


def _alike(leader: _Signature, other: _Signature, tolerance_mm: float) -> bool:
    """Whether kind, holes, area and length allow that they are twins."""
    (area_a, length_a), (area_b, length_b) = leader.size, other.size
    same_kind = leader.line.piece.kind == other.line.piece.kind
    same_holes = len(leader.line.region.holes) == len(other.line.region.holes)
    return (
        same_kind
        and same_holes
        and abs(area_a - area_b) <= tolerance_mm * (length_a + length_b) / 2
        and abs(length_a - length_b) <= 2 * np.pi * tolerance_mm + 0.02 * length_a
    )


def _turns(leader: ComplexArray, other: _Signature, tolerance_mm: float) -> list[float]:
    """Turns that bring the leader near the other, in degrees, the smallest first."""
    cross = leader.conj() * other.spectrum
    fit = np.abs(np.fft.ifft(cross))
    power = (np.abs(leader) ** 2 + np.abs(other.spectrum) ** 2).sum() / SAMPLES
    apart = np.sqrt(np.maximum(power - 2 * fit, 0) / SAMPLES)
    peak = (fit >= np.roll(fit, 1)) & (fit >= np.roll(fit, -1))
    near = np.flatnonzero((apart <= tolerance_mm + other.step_mm) & peak)
    best = near[np.argsort(apart[near], kind="stable")][: 4 * TRIES]
    turns = [_exact_turn(cross, fit, int(shift)) for shift in best]
    return [0.0, *sorted(turns, key=lambda turn: (round(abs(turn), 3), turn))[:TRIES]]


def _turns_by_holes(leader: _Signature, other: _Signature, mirrored: bool) -> list[float]:
    """Turns that bring the leader's first hole onto one of the other's: a round rim leaves the turn open."""
    if not leader.line.region.holes:
        return []
    x, y = leader.line.region.holes[0].mean(axis=0) - leader.middle
    before = np.arctan2(y, -x if mirrored else x)
    middles = np.array([hole.mean(axis=0) for hole in other.line.region.holes[:MOST_HOLES]]) - other.middle
    turns = np.degrees(np.arctan2(middles[:, 1], middles[:, 0]) - before)
    return [float(turn) for turn in (turns + 180.0) % 360.0 - 180.0]


def _exact_turn(cross: ComplexArray, fit: FloatArray, shift: int) -> float:
    """The turn at the top of a peak, between two samples (a parabola through three)."""
    left, top, right = fit[shift - 1], fit[shift], fit[(shift + 1) % SAMPLES]
    bend = left - 2 * top + right
    between = 0.5 * (left - right) / bend if abs(bend) > 1e-12 * abs(top) else 0.0
    wave = np.fft.fftfreq(SAMPLES) * SAMPLES
    value = (cross * np.exp(2j * np.pi * wave * (shift + between) / SAMPLES)).sum()
    return float(np.degrees(np.angle(value)))


def _whole(turn: float) -> float:
    """Whole degrees, if the turn is near to them."""
    return float(round(turn)) if abs(turn - round(turn)) <= WHOLE_DEG else turn


def _placed(leader: _Signature, other: _Signature, turned_deg: float, mirrored: bool) -> Twin:
    """The turn, and where it puts the leader's origin if the middles are to meet."""
    turned_deg = (turned_deg + 180.0) % 360.0 - 180.0 if turned_deg != 180.0 else 180.0  # noqa: PLR2004
    x, y = other.middle - transformed_points(leader.middle, turned_deg, mirrored, 0.0, 0.0)
    return Twin(
        of=leader.line.piece.id, turned_deg=turned_deg, mirrored=mirrored, x_mm=float(x), y_mm=float(y)
    )


def _lies_on(leader: _Signature, other: _Signature, twin: Twin, tolerance_mm: float) -> bool:
    """Whether every edge of the one lies near an edge of the other, both ways."""
    moved = transformed(leader.line.region, twin.turned_deg, twin.mirrored, twin.x_mm, twin.y_mm)
    return _near(moved, other.line.region, tolerance_mm) and _near(other.line.region, moved, tolerance_mm)


def _near(one: Region, other: Region, tolerance_mm: float) -> bool:
    """Whether no point of one edge strays from the other edge."""
    points = np.concatenate([spaced(ring, CHECK_MM) for ring in (one.exterior, *one.holes)])
    return bool(away_from_edge(other, points).max() <= tolerance_mm)
