"""The bench: the mat that a job is laid on, what of it may be cut on, and the copies that go there."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from piecewright.cutting.errors import RulesError
from piecewright.cutting.geometry import curve_area, flatten
from piecewright.cutting.mats.boxes import Box, fits
from piecewright.cutting.mats.copies import FLAT_MM, Bed, Copy, best_turn, box_of
from piecewright.cutting.mats.patches import patch_of, room_for
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
        quarter = copy.turning in {"quarter", "free"}
        if self.laying.way == "patches":
            patch = patch_of(copy, self.laying.patches)
            bed = room_for(patch, self.bed(None), self.whole)
            box = Box(width=patch.width, height=patch.height, quarter=quarter)
        else:
            bed = self.bed(copy.demand.fabric)
            _, _, width, height = box_of(copy, best_turn(copy, copy.sides[0]), copy.sides[0])
            box = Box(width=width, height=height, quarter=quarter)
        return fits(box, bed.width_mm, bed.height_mm)


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


def copies_of(demands: Sequence[Demand], bench: Bench) -> Iterator[Copy]:
    """Every copy by itself, numbered by piece over all fabrics."""
    laying = bench.laying
    number: Counter[str] = Counter()
    for demand in demands:
        ring = flatten(demand.outline.exterior, FLAT_MM)
        fabric = bench.rules.fabrics.get(demand.fabric)
        sides = (demand.face_down, not demand.face_down) if laying.turn_over else (demand.face_down,)
        for _ in range(demand.copies):
            number[demand.piece] += 1
            yield Copy(
                id=f"{demand.piece}-{number[demand.piece]}",
                demand=demand,
                ring=ring,
                area_mm2=_area(demand),
                turning=turn_limit(laying.turning, fabric.grain if fabric else None),
                sides=sides,
            )


def _area(demand: Demand) -> float:
    outline = demand.outline
    return abs(curve_area(outline.exterior)) - sum(abs(curve_area(hole)) for hole in outline.holes)
