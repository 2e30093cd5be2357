"""The second evaluation holds what it promises: truth that fits the file, two halves, one of them sealed."""

from __future__ import annotations

import sys
from dataclasses import replace

import numpy as np
import pytest

from tests.evaluation.__main__ import main
from tests.evaluation.scoring import score
from tests.evaluation.sealed import tape
from tests.evaluation.sealed.cases import HALVES, case, cases
from tests.evaluation.sealed.truth import NotAsSewnError, stretches
from tests.evaluation.tables import summary, sums_alone


def _tape(*lines: list[tuple[float, float]]) -> tape.Tape:
    """Each line in a block of its own."""
    sewn = tape.Tape()
    for line in lines:
        sewn.halt()
        sewn.sew(np.array(line), None, "trim")
    return sewn


LINES = ([(0.0, 0.0), (3.0, 0.0), (6.0, 0.0)], [(40.0, 0.0), (43.0, 0.0), (46.0, 0.0)])


def test_the_halves_share_no_situation() -> None:
    assert not set(HALVES["open"]) & set(HALVES["sealed"])
    assert min(len(half) for half in HALVES.values()) >= 50


def test_a_design_is_the_same_every_time() -> None:
    first, again = next(cases("open")), next(cases("open"))
    assert first.data == again.data
    assert first.pieces == again.pieces


def test_a_resized_design_has_pieces_of_its_own_size() -> None:
    """Drawn as a disc of 12 mm radius, made 85 % or 120 % of that by the shop."""
    number = list(HALVES["open"]).index("turned-and-resized")
    shop = case("open", "turned-and-resized", 0, number).pieces[1]
    scale = np.sqrt(shop.drawn.area / (np.pi * 12**2))
    assert scale == pytest.approx(0.85, abs=0.002) or scale == pytest.approx(1.2, abs=0.002)


def test_a_lost_halt_makes_one_block_of_two() -> None:
    sewn = tape.merged(_tape(*LINES), halts=(0,))
    assert len(sewn.blocks) == 1
    design, _ = tape.read_back(sewn, "merged", "DST")
    assert [len(block.points) for block in design.blocks] == [6]


def test_sewn_travels_have_needle_points_on_the_way() -> None:
    (block,) = tape.dragged(tape.merged(_tape(*LINES), halts=(0,))).blocks
    assert all(mark.move == "stitch" for mark in block[1:])
    steps = np.diff([(mark.x, mark.y) for mark in block], axis=0)
    assert np.hypot(*steps.T).max() <= tape.WALK_MM


def test_a_file_with_other_stitches_is_not_scored() -> None:
    design, _ = tape.read_back(_tape(*LINES), "sewn", "PES")
    with pytest.raises(NotAsSewnError, match="1 blocks sewn, 2 read"):
        stretches(tape.merged(_tape(*LINES), halts=(0,)), design, "sewn")


def test_of_the_sealed_half_no_design_is_named(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    wrong = replace(score(next(cases("sealed"))), cut=9)
    assert wrong.case in summary([wrong])
    assert wrong.case not in sums_alone([wrong])
    assert wrong.situation not in sums_alone([wrong])
    monkeypatch.setattr(sys, "argv", ["evaluation", "--part", "sealed", "--only", "x"])
    with pytest.raises(SystemExit):
        main()
    assert "scored as a whole" in capsys.readouterr().err
