"""Telling apart what is sewn along a line, one after the other.

Terms: a *finish* is a line sewn along a piece after its cover.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.passes import Role, Stitch

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from piecewright.cutting.passes import Run
    from piecewright.cutting.pieces.following import Follower

CLOSE_ZIGZAG_MM: Final = 1.5
"""A zigzag this close covers a raw edge by itself; a more open one only holds."""


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
    satin = {f.run for f in followers if runs[f.run].stitch is Stitch.SATIN}
    if satin:
        return satin
    for kind in (Stitch.BLANKET, Stitch.MOTIF):
        found = {f.run for f in followers if runs[f.run].stitch is kind}
        if found:
            return found
    return _zigzag_covers(followers, runs)


def _zigzag_covers(followers: Sequence[Follower], runs: Sequence[Run]) -> set[int]:
    """The last zigzag, if something held the piece before it or it is close enough to do both."""
    zigzag = [f.run for f in followers if runs[f.run].stitch is Stitch.ZIGZAG]
    if not zigzag:
        return set()
    last_block = max(runs[i].block for i in zigzag)
    last = {i for i in zigzag if runs[i].block == last_block}
    first = min(last)
    held = any(f.run < first for f in followers)
    close = float(np.median([runs[i].spacing_mm for i in last])) <= CLOSE_ZIGZAG_MM
    return last if held or close else set()


def _under_next(index: int, covers: set[int], runs: Sequence[Run]) -> bool:
    """Whether a cover follows in the same block."""
    return any(cover > index and runs[cover].block == runs[index].block for cover in covers)
