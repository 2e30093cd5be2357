"""What every run of the design is for.

Terms: see DEVELOPERS.md for the roles; a *finish* is what is sewn on a piece after its cover.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.passes import AREAS, LINES, Role, Stitch
from piecewright.cutting.pieces.confidence import blocks_named
from piecewright.cutting.pieces.succession import follower_roles
from piecewright.cutting.pieces.surroundings import meanders_together, with_neighbours
from piecewright.cutting.plaintext import listing, per_cent

if TYPE_CHECKING:
    from collections.abc import Iterator

    from piecewright.cutting.pieces.nesting import Group
    from piecewright.cutting.pieces.surroundings import Surroundings

UNDER_SHARE: Final = 0.7
"""Underlay lies within the stitches over it by this share of its length in each direction."""

RIGHT_OF_PIECE: Final = {
    Role.PLACEMENT: 0.998,
    Role.TACK_DOWN: 0.993,
    Role.COVER: 0.996,
    Role.UNDERLAY: 0.97,
    Role.DETAIL: 0.9,
}
RIGHT_OF_NONE: Final = {Role.UNDERLAY: 0.99, Role.FILL: 0.988, Role.QUILTING: 0.989, Role.DETAIL: 0.975}
"""Share of passes whose role was right in designs with known truth, if their piece was (DEVELOPERS.md)."""


LIKELY: Final = 0.5
"""A line that is less likely to place a piece than not is named for what it is without one."""

_NAMES: Final = {
    Role.PLACEMENT: "the placement line",
    Role.TACK_DOWN: "the tack-down",
    Role.COVER: "the cover",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """A role given to a run: for which pieces, how sure, and why; see Pass for a role in doubt."""

    role: Role
    pieces: tuple[str, ...]
    confidence: float
    evidence: tuple[str, ...]
    in_doubt: Role | None = None


def roles_of_group(one: Group, letter: str, around: Surroundings) -> Iterator[tuple[int, Given]]:
    """Roles of the runs that belong to a piece, some of them more than once."""
    following = [
        (run, role, line) for line in one.lines for run, role in follower_roles(line.followers, around.runs)
    ]
    for line in one.lines:
        for run in line.ring.runs:
            yield (
                run,
                _of_piece(Role.PLACEMENT, letter, line.confidence, _placement_words(line.evidence.blocks)),
            )
    for run, role, line in following:
        words = _follower_words(role, letter, line.ring.block)
        yield run, _of_piece(role, letter, line.confidence, words)
    for run in _wandering(one, {run: role for run, role, _ in following}, around):
        words = f"wanders all over the inside of piece {letter}"
        yield run, _of_piece(Role.TACK_DOWN, letter, one.outer.confidence, words)


def _of_piece(role: Role, letter: str, sure: float, words: str) -> Given:
    return Given(
        role=role, pieces=(letter,), confidence=sure * RIGHT_OF_PIECE.get(role, 1.0), evidence=(words,)
    )


def _wandering(one: Group, following: dict[int, Role], around: Surroundings) -> list[int]:
    """Runs that hold a piece by wandering over it: before its cover, and if no line held it before."""
    region = one.outer.region
    together = meanders_together(one.outer.ring.block, region, around)
    found = [run for run in with_neighbours(together, region, around) if run not in following]
    before = min((run for run, role in following.items() if role is Role.COVER), default=len(around.runs))
    held = min((run for run, role in following.items() if role is Role.TACK_DOWN), default=len(around.runs))
    return [run for run in found if run < before and around.block[run] <= _block_of(held, around)]


def _block_of(run: int, around: Surroundings) -> float:
    return float(around.block[run]) if run < len(around.runs) else np.inf


def _placement_words(blocks: tuple[int, ...]) -> str:
    if not blocks:
        return "a closed line"
    return f"a closed line, sewn again after a halt in {blocks_named(blocks)}"


def _follower_words(role: Role, letter: str, block: int) -> str:
    line = f"the line of piece {letter} from block {block}"
    return {
        Role.TACK_DOWN: f"runs along {line}",
        Role.COVER: f"lies over {line}",
        Role.UNDERLAY: f"lies under the cover along {line}",
    }.get(role, f"runs along {line} after its cover is sewn")


def likeliest(given: Given, index: int, around: Surroundings) -> Given:
    """The role of a run of a piece, or what it is for otherwise where the piece is in doubt."""
    if given.confidence >= LIKELY:
        return given
    pieces = f"{'piece' if len(given.pieces) == 1 else 'pieces'} {listing(given.pieces)}"
    may = f"may be {_NAMES.get(given.role, given.role.value)} of {pieces} ({per_cent(given.confidence)} sure)"
    other = other_role(index, around)
    return Given(
        role=other.role,
        pieces=given.pieces,
        confidence=1 - given.confidence,
        evidence=(may, *given.evidence),
        in_doubt=given.role,
    )


def other_role(index: int, around: Surroundings) -> Given:
    """Role of a run that belongs to no piece."""
    run = around.runs[index]
    if _is_underlay(index, around):
        return _given(Role.UNDERLAY, "lies under the stitches sewn right after it")
    if run.stitch in AREAS:
        return _given(Role.FILL, "fills an area")
    if run.stitch is Stitch.MEANDER:
        return _given(Role.QUILTING, "wanders over an area")
    return _given(Role.DETAIL, "belongs to no piece")


def _given(role: Role, words: str) -> Given:
    return Given(role=role, pieces=(), confidence=RIGHT_OF_NONE[role], evidence=(words,))


def _is_underlay(index: int, around: Surroundings) -> bool:
    """Whether dense stitches of the same block follow right after a light run and lie over it."""
    runs = around.runs
    if runs[index].stitch not in LINES | {Stitch.ZIGZAG, Stitch.FILL} or index + 1 >= len(runs):
        return False
    over = next(
        (
            i
            for i in range(index + 1, min(index + 4, len(runs)))
            if runs[i].stitch in {Stitch.SATIN, Stitch.FILL}
        ),
        None,
    )
    if over is None or runs[over].block != runs[index].block:
        return False
    light = runs[index].stitch is not Stitch.FILL or runs[index].spacing_mm > 2 * runs[over].spacing_mm
    shared = np.minimum(around.high[index], around.high[over]) - np.maximum(
        around.low[index], around.low[over]
    )
    size = np.maximum(around.high[index] - around.low[index], 0.5)
    return bool(light and (shared >= UNDER_SHARE * size).all())
