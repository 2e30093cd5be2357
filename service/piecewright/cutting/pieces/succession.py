"""Telling apart what is sewn along a line, one after the other.

Terms: a *finish* is a line sewn along a piece after its cover.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.passes import COVERING, Role, Stitch

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from piecewright.cutting.passes import Run
    from piecewright.cutting.pieces.following import Follower

GOOD_COVERAGE: Final = 0.25
"""Along less of the line a stitch with a width is a detail or the end of something else."""

SAME_SPACING: Final = 1.6
"""Zigzags of one cover differ by less; their underlay is more open."""

CLOSE_ZIGZAG_MM: Final = 1.5
"""A zigzag this close covers a raw edge by itself; a more open one only holds."""

AS_WIDE: Final = 0.85
"""A zigzag under satin is narrower than the satin; where satin grows open it keeps its width."""


def follower_roles(followers: Sequence[Follower], runs: Sequence[Run]) -> Iterator[tuple[int, Role]]:
    """Tell tack-down, underlay, cover and finish apart among the passes over one line."""
    ordered = sorted(followers, key=lambda follower: follower.run)
    covers = _covers(ordered, runs)
    first_cover = min(covers, default=len(runs))
    last_cover = max(covers, default=-1)
    tacked = False
    for follower in ordered:
        index = follower.run
        if index in covers:
            yield index, Role.COVER
        elif index > last_cover >= 0:
            yield index, Role.DETAIL
        elif tacked and (index > first_cover or _under_next(index, covers, runs)):
            yield index, Role.UNDERLAY
        else:
            tacked = True
            yield index, Role.TACK_DOWN


def _covers(followers: Sequence[Follower], runs: Sequence[Run]) -> set[int]:
    """Indices of the runs that cover the raw edge."""
    satin = _of_kind(followers, runs, Stitch.SATIN)
    if _coverage(satin) >= GOOD_COVERAGE:
        return {follower.run for follower in (*satin, *_opened(satin, followers, runs))}
    others = [_of_kind(followers, runs, kind) for kind in sorted(COVERING - {Stitch.SATIN, Stitch.ZIGZAG})]
    best = max([*others, _zigzag_covers(followers, runs), satin], key=_coverage)
    return {follower.run for follower in best}


def _opened(
    satin: Sequence[Follower], followers: Sequence[Follower], runs: Sequence[Run]
) -> Iterator[Follower]:
    """Zigzags of the satin's own block, as wide as the satin and hardly more open."""
    blocks = {runs[f.run].block for f in satin}
    wide = AS_WIDE * max(runs[f.run].width_mm for f in satin)
    for follower in _of_kind(followers, runs, Stitch.ZIGZAG):
        run = runs[follower.run]
        if run.block in blocks and run.width_mm >= wide and run.spacing_mm <= CLOSE_ZIGZAG_MM:
            yield follower


def _of_kind(followers: Sequence[Follower], runs: Sequence[Run], kind: Stitch) -> list[Follower]:
    return [follower for follower in followers if runs[follower.run].stitch is kind]


def _coverage(followers: Sequence[Follower]) -> float:
    """Share of the line along which any of the runs lies."""
    return float(np.mean(np.any(np.array([f.on for f in followers]), axis=0))) if followers else 0.0


def _zigzag_covers(followers: Sequence[Follower], runs: Sequence[Run]) -> list[Follower]:
    """The closest zigzag of the last block, if the piece is held before or it is close enough to do both."""
    zigzag = _of_kind(followers, runs, Stitch.ZIGZAG)
    if not zigzag:
        return []
    last_block = max(runs[f.run].block for f in zigzag)
    last = [f for f in zigzag if runs[f.run].block == last_block]
    closest = min(runs[f.run].spacing_mm for f in last)
    last = [f for f in last if runs[f.run].spacing_mm <= SAME_SPACING * closest]
    held = any(f.run < last[0].run for f in followers)
    return last if held or closest <= CLOSE_ZIGZAG_MM else []


def _under_next(index: int, covers: set[int], runs: Sequence[Run]) -> bool:
    """Whether a cover follows in the same block."""
    return any(cover > index and runs[cover].block == runs[index].block for cover in covers)
