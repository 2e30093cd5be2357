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
from piecewright.cutting.mats.bench import bench_of
from piecewright.cutting.mats.check import faults
from tests.cutting.mats.support import demand, rectangle, rules

if TYPE_CHECKING:
    from collections.abc import Callable

    from piecewright.cutting.rules import JobRules

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
