"""Giving every run its role and finding the pieces."""

from __future__ import annotations

from dataclasses import dataclass
from string import ascii_uppercase
from typing import TYPE_CHECKING, Final

import numpy as np
from scipy.spatial import cKDTree

from piecewright.cutting.geometry import FloatArray, Region, frozen, ring_area, ring_length
from piecewright.cutting.passes import Pass, Role, Stitch
from piecewright.cutting.pieces.values import Piece, Understanding

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.design import Design
    from piecewright.cutting.passes import Run
    from piecewright.cutting.rules import PassRules

ALONG_MM: Final = 3.0
"""Tack-down and cover keep this close to the line that they follow."""

LEAST_SHARE: Final = 0.6
"""Share of the line that later passes must follow."""

_LINES: Final = {Stitch.SINGLE_RUN, Stitch.DOUBLE_RUN, Stitch.BEAN}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Found:
    index: int
    ring: FloatArray
    later: tuple[int, ...]


def find_pieces(design: Design, runs: Sequence[Run], rules: PassRules) -> Understanding:  # noqa: ARG001
    """Give every run its role and find the pieces.

    Args:
        design: For thread evidence and the file name that ``by_hand`` patterns look at.
        runs: Of the whole design, in sewing order.
        rules: Threshold, gaps, block numbers by hand.
    """
    found: list[_Found] = []
    used: set[int] = set()
    for index, run in enumerate(runs):
        if index in used or run.stitch not in _LINES or not _closes(run, rules.close_gap):
            continue
        later = tuple(i for i, other in enumerate(runs) if other.block > run.block and _follows(other, run))
        if later:
            found.append(_Found(index=index, ring=_ring(run), later=later))
            used.update(later)
    return _understanding(runs, found, rules)


def _closes(run: Run, gap_mm: float) -> bool:
    gap = float(np.hypot(*(run.points[0] - run.points[-1])))
    return len(run.points) > 5 and gap <= min(gap_mm, ring_length(run.points) / 6)  # noqa: PLR2004


def _ring(run: Run) -> FloatArray:
    points = run.points[:-1] if np.allclose(run.points[0], run.points[-1], atol=0.25) else run.points
    keep = np.hypot(*(points - np.roll(points, 1, axis=0)).T) > 0.25  # noqa: PLR2004
    return frozen(points[keep])


def _follows(later: Run, line: Run) -> bool:
    away, _ = cKDTree(line.points).query(later.points, distance_upper_bound=ALONG_MM + 1)
    near, _ = cKDTree(later.points).query(line.points, distance_upper_bound=ALONG_MM + 1)
    return bool(np.mean(np.isfinite(away)) > 0.8 and np.mean(np.isfinite(near)) > LEAST_SHARE)  # noqa: PLR2004


def _understanding(runs: Sequence[Run], found: Sequence[_Found], rules: PassRules) -> Understanding:
    roles: dict[int, tuple[Role, list[str]]] = {}
    pieces: list[Piece] = []
    for number, one in enumerate(found):
        letter = _letter(number)
        roles.setdefault(one.index, (Role.PLACEMENT, []))[1].append(letter)
        cover = [i for i in one.later if runs[i].stitch not in _LINES]
        covers = cover[-1:]
        for i in one.later:
            role = Role.COVER if i in covers else Role.TACK_DOWN
            roles.setdefault(i, (role, []))[1].append(letter)
        blocks = sorted({runs[i].block for i in one.later})
        region = Region(exterior=one.ring if ring_area(one.ring) > 0 else frozen(one.ring[::-1]), holes=())
        pieces.append(
            Piece(
                id=letter,
                kind="applique",
                line=region,
                placement=(one.index + 1,),
                tack_down=tuple(i + 1 for i in one.later if i not in covers),
                cover=tuple(i + 1 for i in covers),
                confidence=0.8,
                evidence=(f"sewn again in block {', '.join(map(str, blocks))} after a halt",),
                cut="applique" in rules.cut and rules.confidence <= 0.8,  # noqa: PLR2004
            )
        )
    passes = tuple(_pass(i, run, roles.get(i, (Role.DETAIL, []))) for i, run in enumerate(runs))
    return Understanding(passes=passes, pieces=tuple(pieces), findings=())


def _pass(index: int, run: Run, role: tuple[Role, list[str]]) -> Pass:
    return Pass(
        number=index + 1,
        block=run.block,
        runs=(run,),
        role=role[0],
        stitch=run.stitch,
        confidence=0.8 if role[1] else 0.5,
        evidence=(),
        pieces=tuple(role[1]),
    )


def _letter(number: int) -> str:
    tail = ascii_uppercase[number % 26]
    return tail if number < 26 else _letter(number // 26 - 1) + tail  # noqa: PLR2004
