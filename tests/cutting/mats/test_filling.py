"""Mats filled one after the other, with an engine that only counts areas."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, cast

import numpy as np
import pytest

from piecewright.cutting.geometry import ring_area
from piecewright.cutting.mats import filling
from piecewright.cutting.mats.bench import bench_of, copies_of
from piecewright.cutting.mats.efforts import FIRST_LOAD
from piecewright.cutting.mats.engine import Engine, Placed, Strip
from piecewright.cutting.mats.enginefaults import EngineError
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
    fails_after: int | None = None
    strips: int = 0
    loads: list[float] = field(default_factory=list)
    whole: list[bool] = field(default_factory=list)

    def pack(
        self, items: Sequence[StripItem], height: float, limit: float, effort: Effort, *, enough: bool
    ) -> Strip:
        del effort
        self.whole.append(not enough)
        if self.strips == self.fails_after:
            raise EngineError
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


def test_all_that_is_left_is_no_longer_hoped_for_where_it_sticks_out_by_more_than_a_twenty_fifth() -> None:
    engine = DensityEngine([0.68, 0.9])
    assert len(filled(engine, int(0.72 / ONE))) == 2  # 0.72 / 0.68 is 1.06
    assert engine.loads[1] < engine.loads[0] - 0.02


def test_what_is_a_little_more_than_a_full_mat_is_tried_whole_and_what_is_much_more_is_not() -> None:
    little, much = DensityEngine([0.9]), DensityEngine([0.9])
    copies = int((FIRST_LOAD[2] + 0.05) / ONE)
    assert filled(little, copies) == [copies]
    assert little.strips == 1
    filled(much, int((FIRST_LOAD[2] + 0.07) / ONE))
    assert much.loads[0] == pytest.approx(FIRST_LOAD[2], abs=ONE)


def test_a_lucky_engine_is_asked_three_times_for_a_little_more_on_a_full_mat() -> None:
    engine = DensityEngine([0.95])
    filled(engine, copies=400)
    first = engine.loads[:4]
    assert np.diff(first) == pytest.approx(0.015, abs=1.5 * ONE)
    assert engine.loads[4] < first[0]  # the next mat, which is the last


def test_the_engine_need_not_go_on_once_a_draw_fits_unless_it_is_all_that_is_left() -> None:
    """What is left is laid as short as can be, for the bolt is cut behind it."""
    engine = DensityEngine([0.75])
    filled(engine, copies=int(1.9 * 0.75 / ONE))
    assert engine.whole == [load < 0.7 for load in engine.loads]
    assert set(engine.whole) == {False, True}
    near = DensityEngine([0.70, 0.75])
    filled(near, int(0.72 / ONE))
    assert near.whole == [True, True]


def test_large_pieces_come_first() -> None:
    one = demand([(0.0, 0.0), (60.0, 0.0), (0.0, 60.0)], "L", copies=10)
    other = demand([(0.0, 0.0), (30.0, 0.0), (0.0, 30.0)], "S", copies=150)
    job = rules(gap="3 mm", turning="none")
    copies = [copy for copies in copies_of([other, one], bench_of(job)) for copy in copies]
    engine = cast("Engine", DensityEngine([0.75]))
    filler = Filler(engine=engine, bed=bench_of(job).bed(""), gap_mm=3.0, effort=2)
    first, *others = filler.fill(shapes_of(copies, 3.0))
    assert others
    assert sum(spot.copy.demand.piece == "L" for spot in first) == 10


def test_after_each_draw_that_does_not_fit_the_next_is_smaller() -> None:
    engine = DensityEngine([0.75, 0.7, 0.65, 0.6, 0.9])
    first, *_ = filled(engine, copies=400)
    assert (np.diff(engine.loads[:5]) < -0.015).all()
    assert first * ONE >= engine.loads[4] - 1e-9


def test_where_the_engine_packs_worse_than_boxes_the_boxes_stand() -> None:
    """Nine triangles lie in a row of 33 mm boxes, nine rows on a mat: 81."""
    assert filled(DensityEngine([0.2]), copies=200) == [81, 81, 38]


def test_an_engine_that_fails_keeps_the_mats_that_it_has_filled() -> None:
    engine = DensityEngine([0.9], fails_after=4)
    first, *others = filled(engine, copies=400)
    assert first * ONE == pytest.approx(engine.loads[3])
    assert others == [first, first, 400 - 3 * first]  # two more like it, and the last one by boxes
    assert engine.strips == 4


def test_mats_of_the_same_make_up_are_laid_alike_without_asking_again() -> None:
    few, many = DensityEngine([0.75]), DensityEngine([0.75])
    assert set(filled(few, copies=300)[:-1]) == set(filled(many, copies=900)[:-1])
    assert many.strips - few.strips <= 1
