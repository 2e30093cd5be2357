"""Open lines that later passes follow as they follow placement lines, though nothing shows how to close them.

      ______
    (        )      a hill along the edge of a block, whose lower side is to be the seam
    |        |

Terms: see following.py.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.geometry import pairs_between, ring_area
from piecewright.cutting.passes import AREAS, Stitch
from piecewright.cutting.pieces.following import NEAR_MM, PARALLEL, SAMPLE_MM, samples_of

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from piecewright.cutting.geometry import IntArray
    from piecewright.cutting.passes import Run
    from piecewright.cutting.pieces.chains import Chain
    from piecewright.cutting.pieces.following import Along
    from piecewright.cutting.pieces.rings import Lines

LEAST_MM: Final = 30.0
"""A shorter open line places nothing worth a finding."""

ENCLOSES: Final = 0.05
"""Area over squared length of a line once it is closed straight: a half circle has 0.16, a stem nothing."""

FOLLOWED: Final = 0.7
COVERED: Final = 0.3
"""Shares of the line along which a first pass and a cover run later, in blocks of their own."""

MOST: Final = 20
"""The longest open lines of a design; with more of them it is a drawing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenLine:
    """An open line that is sewn again after a halt, and covered.

    Attributes:
        block: In which it is drawn.
        again: Blocks in which it is sewn again.
        place: Where it ends, (x, y) mm.
    """

    block: int
    again: tuple[int, ...]
    place: tuple[float, float]


def followed_open_lines(lines: Lines, runs: Sequence[Run], taken: Collection[int]) -> list[OpenLine]:
    """Open lines that would be placement lines if they were closed.

    Args:
        lines: Of the design.
        runs: Of the design.
        taken: Indices of runs that draw pieces.
    """
    chains = [
        (block, chain)
        for block, chain in lines.left_open
        if chain.sewn_mm >= LEAST_MM and not set(chain.runs) & set(taken) and _goes_round(chain)
    ]
    longest = sorted(chains, key=lambda each: -each[1].sewn_mm)[:MOST]
    if not longest:
        return []
    spines = samples_of(
        [run.spine[:0] if run.stitch in AREAS else run.spine for run in runs], np.full(len(runs), SAMPLE_MM)
    )
    found = [_followed(block, chain, spines, runs) for block, chain in longest]
    return sorted((one for one in found if one is not None), key=lambda one: one.block)


def _goes_round(chain: Chain) -> bool:
    return abs(ring_area(chain.path)) >= ENCLOSES * chain.sewn_mm**2


def _followed(block: int, chain: Chain, spines: Along, runs: Sequence[Run]) -> OpenLine | None:
    """The line if a first pass and a cover follow it, each in a later block of its own."""
    line = samples_of([chain.path], np.array([SAMPLE_MM]))
    one, other = pairs_between(line.places, spines.places, NEAR_MM)
    along = np.abs(np.einsum("ij,ij->i", line.way[one], spines.way[other])) >= PARALLEL
    one, run = one[along], spines.owner[other[along]]
    blocks: dict[int, list[int]] = {}
    for index in np.unique(run).tolist():
        if runs[index].block > block:
            blocks.setdefault(runs[index].block, []).append(index)
    holds, covers = (
        [
            number
            for number, some in blocks.items()
            if _share(
                one, run, [i for i in some if (runs[i].stitch is Stitch.SATIN) == satin], len(line.owner)
            )
            >= least
        ]
        for satin, least in ((False, FOLLOWED), (True, COVERED))
    )
    if not holds or not covers or min(holds) >= max(covers):
        return None
    x, y = chain.path[-1].tolist()
    return OpenLine(block=block, again=tuple(sorted({*holds, *covers})), place=(x, y))


def _share(on: IntArray, run: IntArray, chosen: Sequence[int], count: int) -> float:
    """Share of the samples of a line along which any of the chosen runs lies."""
    return len(np.unique(on[np.isin(run, chosen)])) / count
