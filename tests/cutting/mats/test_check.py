"""Our own check sees every way in which a layout can be wrong."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from piecewright.cutting.errors import SelfCheckFailed
from piecewright.cutting.geometry import transformed
from piecewright.cutting.mats import Demand, LaidPiece, lay
from piecewright.cutting.mats import laying as laying_module
from piecewright.cutting.mats.bench import bench_of, copies_of
from piecewright.cutting.mats.check import faults
from tests.cutting.mats.support import demand, rectangle, rules

if TYPE_CHECKING:
    from collections.abc import Callable

    from piecewright.cutting.rules import JobRules

Corner = tuple[float, float]
Patch = tuple[float, float, float, float]

DEMANDS = [demand(rectangle(60, 40), copies=2), demand(rectangle(30, 30), "B")]


def moved(piece: LaidPiece, x: float, y: float) -> LaidPiece:
    return replace(
        piece, curve=transformed(piece.curve, 0.0, False, x, y), x_mm=piece.x_mm + x, y_mm=piece.y_mm + y
    )


def wrong(job: JobRules, change: Callable[[list[LaidPiece]], list[LaidPiece]]) -> list[str]:
    layout = lay(DEMANDS, job)
    [mat] = layout.mats
    return faults(DEMANDS, [replace(mat, laid=tuple(change(list(mat.laid))))], [], bench_of(job))


def by_id(pieces: list[LaidPiece], name: str) -> LaidPiece:
    return next(piece for piece in pieces if piece.id == name)


def a_little_nearer(pieces: list[LaidPiece]) -> list[LaidPiece]:
    """The second copy moved a tenth of a millimetre towards the first, beside which it lies."""
    one, two = (by_id(pieces, name) for name in ("A-1", "A-2"))
    x, y = (one.curve.exterior - two.curve.exterior).reshape(-1, 2).mean(axis=0)
    step = (0.1 * np.sign(round(x, 3)), 0.1 * np.sign(round(y, 3)))
    return [moved(piece, *step) if piece is two else piece for piece in pieces]


def test_a_sound_layout_has_no_faults() -> None:
    assert wrong(rules(), lambda pieces: pieces) == []
    assert wrong(rules(way="patches"), lambda pieces: pieces) == []


CHANGES: list[tuple[str, Callable[[list[LaidPiece]], list[LaidPiece]], dict[str, Any]]] = [
    ("off the bed", lambda ps: [moved(ps[0], -0.1, 0.0), *ps[1:]], {"turning": "none"}),
    ("nearer than the gap", a_little_nearer, {"turning": "none"}),
    ("wrong number", lambda ps: ps[1:], {}),
    ("laid twice", lambda ps: [*ps[:-1], ps[0]], {}),
    ("as it must not", lambda ps: [replace(ps[0], turned_deg=45.0), *ps[1:]], {"turning": "quarter"}),
    ("as it must not", lambda ps: [replace(ps[0], mirrored=True), *ps[1:]], {}),
    ("off its patch", lambda ps: [moved(ps[0], 20.0, 0.0), *ps[1:]], {"way": "patches"}),
    (
        "off the mat",
        lambda ps: [replace(ps[0], patch=(-1.0, 0.0, 80.0, 80.0)), *ps[1:]],
        {"way": "patches"},
    ),
    (
        "patches of",
        lambda ps: [replace(ps[0], patch=(0.0, 0.0, 300.0, 300.0)), *ps[1:]],
        {"way": "patches"},
    ),
]


@pytest.mark.parametrize(("words", "change", "options"), CHANGES)
def test_a_fault_is_seen(
    words: str, change: Callable[[list[LaidPiece]], list[LaidPiece]], options: dict[str, Any]
) -> None:
    assert any(words in fault for fault in wrong(rules(**options), change))


def test_without_a_gap_an_overlap_is_still_seen() -> None:
    job = rules(gap="0 mm", turning="none")
    assert wrong(job, lambda pieces: pieces) == []
    assert any("nearer" in fault for fault in wrong(job, a_little_nearer))


def test_a_piece_that_swallows_another_is_seen() -> None:
    def swallow(pieces: list[LaidPiece]) -> list[LaidPiece]:
        big, small = by_id(pieces, "A-1"), by_id(pieces, "B-1")
        x = big.curve.exterior[..., 0].min() + 5 - small.curve.exterior[..., 0].min()
        y = big.curve.exterior[..., 1].min() + 5 - small.curve.exterior[..., 1].min()
        return [moved(piece, float(x), float(y)) if piece is small else piece for piece in pieces]

    assert any("nearer than the gap" in fault for fault in wrong(rules(), swallow))


def test_copies_cut_from_the_wrong_fabric_are_seen() -> None:
    demands = [demand(rectangle(60, 40), fabric="moss"), demand(rectangle(60, 40), fabric="rust")]
    layout = lay(demands, rules())
    swapped = [replace(mat, laid=tuple(replace(p, fabric="moss") for p in mat.laid)) for mat in layout.mats]
    assert "A is laid in the wrong number" in faults(demands, swapped, [], bench_of(rules()))


def test_a_layout_with_faults_does_not_leave(monkeypatch: pytest.MonkeyPatch) -> None:
    def fault(*_: object) -> list[str]:
        return ["A-1 is off the bed"]

    monkeypatch.setattr(laying_module, "faults", fault)
    with pytest.raises(SelfCheckFailed, match="A-1 is off the bed"):
        lay(DEMANDS, rules())


def test_demands_are_not_changed() -> None:
    before = [(d.piece, d.copies, d.outline.exterior.tobytes()) for d in DEMANDS]
    lay(DEMANDS, rules())
    assert [(d.piece, d.copies, d.outline.exterior.tobytes()) for d in DEMANDS] == before
    assert all(isinstance(d, Demand) for d in DEMANDS)


def alone(job: JobRules, corner: Corner, size: tuple[float, float], patch: Patch | None = None) -> list[str]:
    """Faults of a rectangle laid by hand at a corner, on a mat of 305 mm with a margin of 5 mm."""
    one = demand(rectangle(*size))
    laid = lay([one], job).mats[0]
    piece = replace(laid.laid[0], curve=transformed(one.outline, 0.0, False, *corner), patch=patch)
    return faults([one], [replace(laid, laid=(piece,))], [], bench_of(job))


@pytest.mark.parametrize(
    ("x", "y"),
    [(5.0, 50.0), (50.0, 5.0), (240.0, 50.0), (50.0, 260.0)],
    ids=["left", "top", "right", "bottom"],
)
def test_a_piece_may_touch_each_side_of_the_bed_and_not_pass_it(x: float, y: float) -> None:
    out = np.sign([x - 122.5, y - 132.5]) * (np.array([x, y]) != 50.0)
    for past, found in ((0.0, []), (0.009, []), (0.011, ["A-1 is off the bed"])):
        at_x, at_y = np.array([x, y]) + past * out
        assert alone(rules(turning="none"), (float(at_x), float(at_y)), (60.0, 40.0)) == found


@pytest.mark.parametrize("side", range(4), ids=["left", "top", "right", "bottom"])
def test_a_piece_may_come_as_near_to_each_side_of_its_patch_as_the_handling_margin(side: int) -> None:
    job = rules(way="patches", turning="none", patches={"handling_margin": "4 mm"})
    for less, found in ((0.0, []), (0.009, []), (0.011, ["A-1 is off its patch"])):
        edges = [50.0 - 10, 50.0 - 10, 110.0 + 10, 90.0 + 10]
        edges[side] = (50.0 - 4 + less, 50.0 - 4 + less, 110.0 + 4 - less, 90.0 + 4 - less)[side]
        patch = (edges[0], edges[1], edges[2] - edges[0], edges[3] - edges[1])
        assert alone(job, (50.0, 50.0), (60.0, 40.0), patch) == found


@pytest.mark.parametrize("side", range(4), ids=["left", "top", "right", "bottom"])
def test_a_patch_may_reach_each_edge_of_the_mat_and_not_pass_it(side: int) -> None:
    job = rules(way="patches", turning="none")
    for past, found in ((0.0, []), (0.009, []), (0.011, ["the patch of A-1 is off the mat"])):
        edges = [20.0, 20.0, 200.0, 200.0]
        edges[side] = (-past, -past, 305.0 + past, 305.0 + past)[side]
        patch = (edges[0], edges[1], edges[2] - edges[0], edges[3] - edges[1])
        assert alone(job, (50.0, 50.0), (60.0, 40.0), patch) == found


@pytest.mark.parametrize(("x", "y"), [(1, 0), (0, 1), (-1, 0), (0, -1)])
def test_two_pieces_may_be_as_near_as_the_gap_on_every_side(x: int, y: int) -> None:
    one = demand(rectangle(40, 40), copies=2)
    job = rules(turning="none", gap="3 mm")
    mat = lay([one], job).mats[0]
    for less, found in ((0.0, []), (0.009, []), (0.011, ["A-1 and A-2 are nearer than the gap"])):
        places = [(100.0, 100.0), (100.0 + x * (43.0 - less), 100.0 + y * (43.0 - less))]
        laid = tuple(
            replace(piece, curve=transformed(one.outline, 0.0, False, *place))
            for piece, place in zip(sorted(mat.laid, key=lambda piece: piece.id), places, strict=True)
        )
        seen = [
            fault.replace("A-2 and A-1", "A-1 and A-2")
            for fault in faults([one], [replace(mat, laid=laid)], [], bench_of(job))
        ]
        assert seen == found


def test_what_was_left_out_with_a_finding_is_not_missing() -> None:
    demands = [demand(rectangle(400, 310), copies=2), demand(rectangle(30, 30), "B")]
    job = rules()
    layout = lay(demands, job)
    assert faults(demands, layout.mats, [], bench_of(job)) == ["A is laid in the wrong number"]
    left_out = [
        copy for copies in copies_of(demands, bench_of(job)) for copy in copies if copy.demand.piece == "A"
    ]
    assert faults(demands, layout.mats, left_out, bench_of(job)) == []


def test_a_piece_beyond_the_edge_of_its_fabric_is_off_the_bed_though_the_mat_goes_on() -> None:
    job = rules(turning="none", fabrics={"ribbon": {"width": "150 mm"}})
    one = demand(rectangle(60, 40), fabric="ribbon")
    mat = lay([one], job).mats[0]
    for x, found in ((80.0, []), (100.0, ["A-1 is off the bed"])):
        piece = replace(mat.laid[0], curve=transformed(one.outline, 0.0, False, x, 50.0))
        assert faults([one], [replace(mat, laid=(piece,))], [], bench_of(job)) == found


@pytest.mark.parametrize(
    ("turning", "grain", "turned", "allowed"),
    [
        ("quarter", None, 90.0, True),
        ("quarter", "half", 90.0, False),
        ("quarter", "half", 180.0, True),
        ("free", None, 37.3, True),
        ("free", "quarter", 37.3, False),
    ],
)
def test_pieces_are_turned_as_far_as_product_and_grain_both_allow(
    turning: str, grain: str | None, turned: float, allowed: bool
) -> None:
    job = rules(turning=turning, fabrics={"moss": {"grain": grain} if grain else {}})
    one = demand(rectangle(60, 40), fabric="moss")
    mat = lay([one], job).mats[0]
    piece = replace(mat.laid[0], turned_deg=turned)
    found = faults([one], [replace(mat, laid=(piece,))], [], bench_of(job))
    assert found == ([] if allowed else ["A-1 lies as it must not"])


@pytest.mark.parametrize("places", [(100.0, 250.0, 141.0), (141.0, 250.0, 100.0), (250.0, 100.0, 141.0)])
def test_two_pieces_that_are_too_near_are_seen_in_whatever_order_they_are_cut(
    places: tuple[float, ...],
) -> None:
    one = demand(rectangle(40, 40), copies=3)
    job = rules(turning="none", gap="3 mm")
    mat = lay([one], job).mats[0]
    laid = tuple(
        replace(piece, curve=transformed(one.outline, 0.0, False, x, 100.0))
        for piece, x in zip(mat.laid, places, strict=True)
    )
    (fault,) = faults([one], [replace(mat, laid=laid)], [], bench_of(job))
    assert "nearer than the gap" in fault
