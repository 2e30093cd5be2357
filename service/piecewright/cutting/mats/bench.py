"""The bench: the mat that a job is laid on, what of it may be cut on, and the copies that go there."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from piecewright.cutting.errors import RulesError
from piecewright.cutting.geometry import curve_area, flatten, transformed_points
from piecewright.cutting.mats.copies import FLAT_MM, Bed, Copy, best_turn, box_of
from piecewright.cutting.mats.patches import goes_on, patch_of
from piecewright.cutting.rules import turn_limit

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from piecewright.cutting.mats.values import Demand
    from piecewright.cutting.rules import JobRules, LayingRules, Mat


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """The mat of a job and its rules."""

    rules: JobRules
    name: str
    mat: Mat

    @property
    def laying(self) -> LayingRules:
        """How the product is laid."""
        return self.rules.product.laying

    @property
    def whole(self) -> Bed:
        """The whole mat."""
        return Bed(x_mm=0.0, y_mm=0.0, width_mm=self.mat.width, height_mm=self.mat.height)

    def bed(self, fabric: str | None) -> Bed:
        """What may be cut on: inside the margin of the mat, and of the fabric where that is smaller.

        Args:
            fabric: Of which a sheet covers the mat; None for patches, which are cut to size by hand.
        """
        kept = self.rules.fabrics.get(fabric) if fabric is not None else None
        width = min(self.mat.width, kept.width) if kept and kept.width else self.mat.width
        height = min(self.mat.height, kept.height) if kept and kept.height else self.mat.height
        return Bed(x_mm=0.0, y_mm=0.0, width_mm=width, height_mm=height).grown(-self.mat.margin)

    def takes(self, copy: Copy) -> bool:
        """Whether a copy, turned as it may be, goes on an empty mat."""
        if self.laying.way == "patches":
            patch = patch_of(copy, self.bed(None), self.whole, self.laying.patches)
            return goes_on(patch, self.bed(None), self.whole, quarter=copy.quarter)
        _, _, width, height = box_of(copy, copy.turn_deg, copy.sides[0])
        return self.bed(copy.demand.fabric).takes(width, height, quarter=copy.quarter)


def bench_of(rules: JobRules) -> Bench:
    """The bench that the rules of a job name.

    Raises:
        RulesError: If they name a mat that they do not have.
    """
    name = rules.mat_name()
    if name not in rules.mats:
        message = f"The product {rules.product.name} names the mat {name}, which the rules do not have."
        raise RulesError(message, f"Name one of: {', '.join(rules.mats)}.")
    return Bench(rules=rules, name=name, mat=rules.mats[name])


def copies_of(demands: Sequence[Demand], bench: Bench) -> Iterator[tuple[Copy, ...]]:
    """The copies of each demand, numbered by piece over all fabrics."""
    number: Counter[str] = Counter()
    for demand in demands:
        first = copy_of(demand, bench)
        begin = number[demand.piece] + 1
        number[demand.piece] += demand.copies
        yield tuple(replace(first, id=f"{demand.piece}-{n}") for n in range(begin, number[demand.piece] + 1))


def copy_of(demand: Demand, bench: Bench) -> Copy:
    """A copy of a demand, as it may be laid."""
    laying = bench.laying
    fabric = bench.rules.fabrics.get(demand.fabric)
    turning = turn_limit(laying.turning, fabric.grain if fabric else None)
    sides = (demand.face_down, not demand.face_down) if laying.turn_over else (demand.face_down,)
    ring = flatten(demand.outline.exterior, FLAT_MM)
    seen = transformed_points(ring, 0.0, sides[0], 0.0, 0.0)
    return Copy(
        id=f"{demand.piece}-1",
        demand=demand,
        ring=ring,
        area_mm2=_area(demand),
        turning=turning,
        sides=sides,
        turn_deg=best_turn(seen, turning, bench.bed(demand.fabric if laying.way == "sheet" else None)),
    )


def _area(demand: Demand) -> float:
    outline = demand.outline
    return abs(curve_area(outline.exterior)) - sum(abs(curve_area(hole)) for hole in outline.holes)
