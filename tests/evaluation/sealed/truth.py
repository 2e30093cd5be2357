"""The truth of a file: which of the needle points read mean what.

Formats move the origin, leave out points that fall together and sew long travels in steps, so the
points read are found again among those that were sewn, in their order.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from tests.evaluation.pen import Stretch

if TYPE_CHECKING:
    from collections.abc import Iterator

    from piecewright.cutting.design import Block, Design
    from tests.evaluation.pen import Meaning
    from tests.evaluation.sealed.tape import Mark, Tape

NEAR_MM = 0.26
"""Roundings of the point and of the origin to 0.1 mm; some formats cut digits off."""

AHEAD = 60
"""So many marks at most may have fallen together with others."""

STRAY = 0.02
"""Share of needle points that may be none of the author's: steps of travels."""


class NotAsSewnError(Exception):
    """A file does not hold what was sewn: the design cannot be scored."""


def origin(tape: Tape, design: Design) -> tuple[float, float]:
    """How far the file's origin lies from the author's."""
    places = np.array([(m.x, m.y) for block in tape.blocks for m in block])
    sewn = np.concatenate([places.min(axis=0), places.max(axis=0)])
    x, y = (np.array(design.bounds_mm) - sewn).reshape(2, 2).mean(axis=0).tolist()
    return x, y


def stretches(tape: Tape, design: Design, name: str) -> tuple[Stretch, ...]:
    """What the needle points of the design mean.

    Raises:
        NotAsSewnError: The file has other blocks, or other points in them.
    """
    sewn = [block for block in tape.blocks if block]
    read = [block for block in design.blocks if len(block.points)]
    if len(sewn) != len(read):
        msg = f"{name}: {len(sewn)} blocks sewn, {len(read)} read"
        raise NotAsSewnError(msg)
    shift = np.array(origin(tape, design))
    return tuple(
        stretch
        for marks, block in zip(sewn, read, strict=True)
        for stretch in _alike(_meanings(marks, block, shift, name), block.number)
    )


def _meanings(
    marks: list[Mark], block: Block, shift: np.ndarray[tuple[int], np.dtype[np.float64]], name: str
) -> list[Meaning | None]:
    places = np.array([(m.x, m.y) for m in marks]) + shift
    found: list[Meaning | None] = []
    at, stray = 0, 0
    for point in block.points:
        gap = np.abs(places[at : at + AHEAD] - point).max(axis=1)
        near = np.flatnonzero(gap <= NEAR_MM)
        if len(near):
            at += int(near[0])
            found.append(marks[at].meaning)
            at += 1
        else:
            stray += 1
            found.append(None)
    if stray > 2 + STRAY * len(found) or len(marks) - at > AHEAD:
        msg = f"{name}: block {block.number} has {stray} points that nobody sewed"
        raise NotAsSewnError(msg)
    return found


def _alike(meanings: list[Meaning | None], block: int) -> Iterator[Stretch]:
    first = 0
    for k in range(1, len(meanings) + 1):
        if k == len(meanings) or meanings[k] is not meanings[first]:
            meaning = meanings[first]
            if meaning is not None:
                yield Stretch(meaning, block, first, k)
            first = k
