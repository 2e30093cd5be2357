"""Lines that run along themselves, and lines made of a figure that repeats."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.geometry import pairs_within
from piecewright.cutting.passes.stretches import Manner

if TYPE_CHECKING:
    from piecewright.cutting.geometry import BoolArray, FloatArray, IntArray
    from piecewright.cutting.passes.measures import Measures
    from piecewright.cutting.passes.stretches import Stretches
    from piecewright.cutting.passes.trace import Steps

SAMPLE_MM: Final = 1.0
BESIDE_MM: Final = 0.4
"""Two laps on one curve lie this close: the sagitta of a 3 mm stitch on a radius of 3 mm."""

APART_MM: Final = 3.0
"""Along the line, thread nearer than this is the line itself."""

ALONG: Final = 0.85
"""Cosine of 32 degrees: laps run the same way or back, crossings do not."""

COMES_BACK: Final = 1.3
"""Thread over the diagonal of the box: a line that closes or goes back has 1.4 and more."""

MOST_SAMPLES: Final = 400_000
"""Longer designs are sampled more coarsely, so that the cost stays bounded."""

REPEATS: Final = 0.7
"""Correlation of the turns with those one figure later."""

LARGEST_FIGURE_MM: Final = 20.0
"""Thread of one figure; what repeats at a larger scale is the shape of an outline."""

TIE_POINTS: Final = 5
"""Needle points at either end that may be a tie, with turns of its own."""

FEWEST_TURNS: Final = 24
RESTLESS_DEG: Final = 18.0
"""Spread of the turns of a line with figures; outlines are calmer."""


def twice_sewn(steps: Steps, stretches: Stretches, measures: Measures) -> FloatArray:
    """Share of each stretch that has other thread of the same stretch along it, (s,)."""
    asked = (stretches.manner == Manner.LINE) & (measures.sewn_mm > COMES_BACK * measures.extent_mm)
    share = np.zeros(len(stretches.first))
    places, way, arc, owner = _samples(steps, stretches, np.flatnonzero(asked & (measures.points > 5)))  # noqa: PLR2004
    if not len(owner):
        return share
    # A third axis keeps the stretches apart, so that one search serves them all.
    one, other = pairs_within(np.column_stack([places, owner * 1000.0]), SAMPLE_MM * 0.8).T
    apart = np.abs(arc[one] - arc[other]) > APART_MM
    along = np.abs(np.einsum("ij,ij->i", way[one], way[other])) >= ALONG
    between = places[one] - places[other]
    beside = np.abs(way[one][:, 0] * between[:, 1] - way[one][:, 1] * between[:, 0]) <= BESIDE_MM
    hit = np.zeros(len(owner), dtype=np.bool_)
    hit[np.concatenate([one, other])[np.tile(apart & along & beside, 2)]] = True
    total = np.bincount(owner, minlength=len(share))
    share[:] = np.bincount(owner, hit, minlength=len(share)) / np.maximum(total, 1)
    return share


def _samples(
    steps: Steps, stretches: Stretches, chosen: IntArray
) -> tuple[FloatArray, FloatArray, FloatArray, IntArray]:
    """Places along the chosen stretches, direction and arc length there, and whose they are."""
    size = stretches.last[chosen] - stretches.first[chosen]
    owner = np.repeat(chosen, size)
    step = np.repeat(stretches.first[chosen], size) + _counting(size)
    length = steps.length[step]
    spacing = max(SAMPLE_MM, float(length.sum()) / MOST_SAMPLES)
    pieces = np.maximum(np.ceil(length / spacing), 1).astype(np.int64)
    index = np.repeat(np.arange(len(step)), pieces)
    share = (_counting(pieces) + 0.5) / pieces[index]
    arc = np.cumsum(length)[index] - length[index] * (1 - share)
    way = steps.vector[step][index] / np.maximum(length[index], 1e-9)[:, None]
    places = steps.points[step][index] + steps.vector[step][index] * share[:, None]
    return places, way, arc, owner[index]


def _counting(sizes: IntArray) -> IntArray:
    """0, 1, ... for each size in turn."""
    return np.asarray(np.arange(int(sizes.sum())) - np.repeat(np.cumsum(sizes) - sizes, sizes))


def repeating(steps: Steps, stretches: Stretches) -> BoolArray:
    """Whether a figure repeats along each line or open stitch, (s,)."""
    found = np.zeros(len(stretches.first), dtype=np.bool_)
    open_ones = (stretches.manner != Manner.HATCH) & (
        stretches.last - stretches.first > FEWEST_TURNS + 2 * TIE_POINTS
    )
    for index in np.flatnonzero(open_ones).tolist():
        turn = steps.turn[stretches.first[index] + TIE_POINTS : stretches.last[index] - TIE_POINTS]
        length = float(steps.length[stretches.first[index] : stretches.last[index]].mean())
        found[index] = float(turn.std()) > RESTLESS_DEG and 0 < _period(turn) * length < LARGEST_FIGURE_MM
    return found


def _period(turn: FloatArray) -> int:
    """After how many stitches the turns come again, at least six times over; 0 if they do not."""
    # Directions instead of angles: a turn right back has no sign.
    way = np.exp(1j * np.radians(turn))
    calm = way - way.mean()
    size = len(calm)
    spectrum = np.fft.fft(calm, 2 * size)
    alike = np.fft.ifft(np.abs(spectrum) ** 2).real[:size]
    alike = alike / np.maximum(alike[0], 1e-9) * size / np.maximum(size - np.arange(size), 1)
    likely = np.flatnonzero(alike[3 : size // 6] > REPEATS)
    return int(likely[0]) + 3 if len(likely) else 0
