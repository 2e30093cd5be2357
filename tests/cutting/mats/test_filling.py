"""Mats filled one after the other, with an engine that only counts areas."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, cast

import pytest

from piecewright.cutting.geometry import ring_area
from piecewright.cutting.mats import filling
from piecewright.cutting.mats.bench import bench_of, copies_of
from piecewright.cutting.mats.engine import Engine, Placed, Strip
from piecewright.cutting.mats.filling import Filler
from piecewright.cutting.mats.nesting import shapes_of
from tests.cutting.mats.support import demand, rules

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.mats.engine import Effort, StripItem
    from piecewright.cutting.mats.nesting import Shape

BED_MM2 = 298.0**2


@dataclass
class DensityEngine:
    """Stands in for the engine: packs as densely as it is told, strip by strip, the last value for ever."""

    densities: list[float]
    strips: int = 0
    loads: list[float] = field(default_factory=list)

    def pack(
        self, items: Sequence[StripItem], height: float, limit: float, effort: Effort, *, enough: bool
    ) -> Strip:
        del effort, enough
        taken = sum(abs(ring_area(item.ring)) * item.copies for item in items)
        density = self.densities[min(self.strips, len(self.densities) - 1)]
        self.strips += 1
        self.loads.append(taken / (height * limit))
        placed = [
            Placed(item=n, turned_deg=0.0, x=0.0, y=0.0)
            for n, item in enumerate(items)
            for _ in range(item.copies)
        ]
        return Strip(length=taken / density / height, placed=tuple(placed))


@pytest.fixture(autouse=True)
def _nothing_added(monkeypatch: pytest.MonkeyPatch) -> None:
    """What goes between laid pieces is another matter: here they all lie on one spot."""
    monkeypatch.setattr(filling, "fill", lambda *_: ())


def corners(copies: int) -> tuple[Shape, ...]:
    """Right triangles, whose boxes waste more than half a mat."""
    one = demand([(0.0, 0.0), (30.0, 0.0), (0.0, 30.0)], copies=copies)
    job = rules(gap="3 mm", turning="none")
    return shapes_of([copy for copies in copies_of([one], bench_of(job)) for copy in copies], 3.0)


ONE = corners(1)[0].area_mm2 / BED_MM2
"""Load of one."""


def filled(engine: DensityEngine, copies: int) -> list[int]:
    bench = bench_of(rules(gap="3 mm"))
    filler = Filler(engine=cast("Engine", engine), bed=bench.bed(""), gap_mm=3.0, effort=2)
    return [len(mat) for mat in filler.fill(corners(copies))]


def test_a_mat_is_filled_further_than_the_first_draw_that_fits() -> None:
    # The first draw is unlucky, so the next is much smaller; those after it may be larger again.
    engine = DensityEngine([0.70, 0.772])
    first, *_ = filled(engine, copies=200)
    assert engine.loads[1] < 0.72
    assert engine.loads[1] + 0.03 < first * ONE <= 0.772


def test_a_fuller_draw_that_does_not_fit_leaves_the_one_that_does() -> None:
    engine = DensityEngine([0.70, 0.72, 0.60])
    first, *_ = filled(engine, copies=200)
    assert first * ONE == pytest.approx(engine.loads[1])
    assert len(engine.loads) > 2


def test_all_that_is_left_is_tried_again_where_it_nearly_goes_on_one_mat() -> None:
    engine = DensityEngine([0.70, 0.75])
    copies = int(0.72 / ONE)
    assert filled(engine, copies) == [copies]
    assert engine.strips == 2


def test_mats_of_the_same_make_up_are_laid_alike_without_asking_again() -> None:
    few, many = DensityEngine([0.75]), DensityEngine([0.75])
    assert set(filled(few, copies=300)[:-1]) == set(filled(many, copies=900)[:-1])
    assert many.strips - few.strips <= 1
