"""How what was found compares with the truth.

Terms: a piece is *found* when its line encloses the truth's region to an intersection over union of
0.97, either the region that was drawn or the polygon of needle points that was sewn (on a dot of 6 mm
they differ by as much; smoothing is the work of a later stage); *recall* is the share of true pieces
found, *precision* the share of cut pieces that are true.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from scipy.optimize import linear_sum_assignment
from shapely.geometry import Polygon

from piecewright.cutting.passes import find_runs
from piecewright.cutting.pieces import find_pieces
from piecewright.cutting.pieces.placements import REPORTED
from piecewright.cutting.rules import PassRules

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from piecewright.cutting.geometry import FloatArray
    from piecewright.cutting.passes import Pass, Role
    from piecewright.cutting.pieces import Piece, Understanding
    from tests.evaluation.cases import Case, TruePiece

FOUND_IOU = 0.97
RULES = PassRules(cut=("applique", "base"))
"""Base layers are asked for too, so that ``cut`` says no more than that the finder is sure enough."""


@dataclass(frozen=True)
class Result:
    """One case scored.

    Attributes:
        case: Name.
        situation: Of the case.
        negative: Whether nothing was to be cut.
        true: How many pieces the truth has.
        cut: How many pieces would be cut.
        hits: How many of these are true.
        roles: (true role, found role or None, accepted) of each pass of the truth.
        stated: (confidence, whether true) of each piece found, cut or not.
        stated_roles: (confidence, share of stitches whose role is accepted) of each pass found.
        ious: Best overlap of each true piece.
    """

    case: str
    situation: str
    negative: bool
    true: int
    cut: int
    hits: int
    roles: tuple[tuple[Role, Role | None, bool], ...]
    stated: tuple[tuple[float, bool], ...]
    stated_roles: tuple[tuple[float, float], ...]
    ious: tuple[float, ...]

    @property
    def right(self) -> bool:
        """Whether every piece was found and no other."""
        return self.true == self.cut == self.hits


@dataclass
class Totals:
    """Sums over results."""

    true: int = 0
    cut: int = 0
    hits: int = 0
    negatives: int = 0
    false_on_negatives: int = 0
    roles: Counter[tuple[str, str]] = field(default_factory=Counter)
    roles_right: int = 0

    @property
    def recall(self) -> float:
        """Share of true pieces found."""
        return self.hits / self.true if self.true else 1.0

    @property
    def precision(self) -> float:
        """Share of cut pieces that are true."""
        return self.hits / self.cut if self.cut else 1.0

    @property
    def role_accuracy(self) -> float:
        """Share of the truth's passes whose role was found."""
        every = sum(self.roles.values())
        return self.roles_right / every if every else 1.0


def totals(results: Iterable[Result]) -> Totals:
    """Add up results."""
    sums = Totals()
    for result in results:
        sums.true += result.true
        sums.cut += result.cut
        sums.hits += result.hits
        sums.negatives += result.negative
        sums.false_on_negatives += result.cut if result.negative else 0
        for role, found, accepted in result.roles:
            sums.roles[role.value, found.value if found else "not seen"] += 1
            sums.roles_right += accepted
    return sums


def score(case: Case, least: float = REPORTED) -> Result:
    """Let the finder work on a case and compare.

    Args:
        case: The design and its truth.
        least: Less likely lines are not reported.
    """
    found = find_pieces(case.design, find_runs(case.design), RULES, least=least)
    overlap = _overlaps(case.pieces, found.pieces)
    hit, allowed = _pairs(case, overlap)
    return Result(
        case=case.name,
        situation=case.situation,
        negative=case.negative,
        true=sum(not piece.optional for piece in case.pieces),
        cut=sum(piece.cut for j, piece in enumerate(found.pieces) if j not in allowed),
        hits=sum(found.pieces[j].cut for j in hit),
        roles=tuple(_roles(case, found)),
        stated=tuple(
            (piece.confidence, j in hit) for j, piece in enumerate(found.pieces) if j not in allowed
        ),
        stated_roles=tuple((one.confidence, share) for one, share in roles_by_pass(case, found)),
        ious=tuple(float(row.max()) if len(row) else 0.0 for row in overlap),
    )


def hits(case: Case, found: Sequence[Piece]) -> tuple[set[int], set[int]]:
    """Which of these lines are true pieces, and which are pieces that may as well be left."""
    return _pairs(case, _overlaps(case.pieces, found))


def _pairs(case: Case, overlap: FloatArray) -> tuple[set[int], set[int]]:
    true, mine = linear_sum_assignment(-overlap)
    pairs = [(int(i), int(j)) for i, j in zip(true, mine, strict=True) if overlap[i, j] >= FOUND_IOU]
    hit = {j for i, j in pairs if not case.pieces[i].optional}
    return hit, {j for i, j in pairs if case.pieces[i].optional}


def _overlaps(true: tuple[TruePiece, ...], found: Sequence[Piece]) -> FloatArray:
    """Intersection over union of each true piece with each found one of its kind."""
    regions = [Polygon(p.line.exterior, [h for h in p.line.holes if len(h) > 2]).buffer(0) for p in found]
    table = np.zeros((len(true), len(found)))
    for i, one in enumerate(true):
        for j, (piece, region) in enumerate(zip(found, regions, strict=True)):
            if one.kind in {piece.kind, "either"}:
                table[i, j] = max(_iou(one.drawn, region), _iou(one.sewn, region))
    return table


def _iou(a: Polygon, b: Polygon) -> float:
    if not a.intersects(b):
        return 0.0
    both = a.intersection(b).area
    return float(both / (a.area + b.area - both))


def _found_roles(case: Case, found: Understanding) -> dict[int, list[Role | None]]:
    """The role found for each needle point, by block."""
    table: dict[int, list[Role | None]] = {b.number: [None] * len(b.points) for b in case.design.blocks}
    for one in found.passes:
        for run in one.runs:
            table[run.block][run.first : run.last + 1] = [one.role] * (run.last + 1 - run.first)
    return table


def _roles(case: Case, found: Understanding) -> Iterable[tuple[Role, Role | None, bool]]:
    table = _found_roles(case, found)
    for stretch in case.stretches:
        if stretch.last - stretch.first < 4:
            continue  # a tie or a travel of a few stitches has no role of its own
        said = Counter(table[stretch.block][stretch.first : stretch.last]).most_common(1)[0][0]
        meaning = stretch.meaning
        yield meaning.role, said, said == meaning.role or said in meaning.also


def roles_by_pass(case: Case, found: Understanding) -> Iterable[tuple[Pass, float]]:
    """Every pass found, and the share of its stitches whose role the author accepts."""
    accepted: dict[int, list[frozenset[Role]]] = {
        b.number: [frozenset()] * len(b.points) for b in case.design.blocks
    }
    for s in case.stretches:
        meant = s.meaning.also | {s.meaning.role}
        accepted[s.block][s.first : s.last] = [meant] * (s.last - s.first)
    for one in found.passes:
        right = [one.role in accepted[r.block][k] for r in one.runs for k in range(r.first, r.last + 1)]
        if right:
            yield one, sum(right) / len(right)
