"""The nesting engine behind its wall: bounded by steps, ended when it hangs, done without when missing."""

from __future__ import annotations

import io
import json
import signal
import subprocess
import sys
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import numpy as np
import pytest

from piecewright.cutting.geometry import transformed_points
from piecewright.cutting.mats import engine as engine_module
from piecewright.cutting.mats import lay
from piecewright.cutting.mats.engine import Effort, Engine, StripItem, engine_for
from piecewright.cutting.mats.enginefaults import EngineOutOfTime
from piecewright.cutting.mats.nester import Progress
from tests.cutting.mats.support import codes, laid_ids, mixed, poses, rules

if TYPE_CHECKING:
    from collections.abc import Callable

SQUARE = np.array([(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)])
LIGHT = Effort(steps=60, patience=4, after=4)


@dataclass
class Solution:
    """A strip of some length, as the engine reports it."""

    width: float


def seen(progress: Progress, *reports: tuple[Literal["fits", "not"], float]) -> list[bool]:
    return [progress.see(kind == "fits", Solution(width)) for kind, width in reports]


def test_a_strip_is_packed_as_short_as_squares_go() -> None:
    strip = Engine().pack([StripItem(ring=SQUARE, copies=6, turns=(0.0,))], 20.1, 1.0, LIGHT, enough=False)
    assert strip.length == pytest.approx(30.0, rel=0.01)
    rings = [transformed_points(SQUARE, p.turned_deg, False, p.x, p.y) for p in strip.placed]
    assert len(rings) == 6
    assert min(ring.min() for ring in rings) >= -1e-3
    assert max(float(ring[:, 1].max()) for ring in rings) <= 20.1 + 1e-3


def test_the_work_ends_after_so_many_reports_whatever_they_say() -> None:
    progress = Progress(limit=1.0, enough=False, steps=3, patience=99, after=99)
    assert seen(progress, ("fits", 9.0), ("fits", 8.0), ("fits", 7.0)) == [False, False, True]
    assert progress.best.width == 7.0


def test_the_work_ends_when_the_strip_is_short_enough_if_that_is_enough() -> None:
    assert seen(Progress(8.0, True, 99, 99, 99), ("fits", 9.0), ("fits", 8.0)) == [False, True]
    assert seen(Progress(8.0, False, 99, 99, 99), ("fits", 9.0), ("fits", 8.0)) == [False, False]


def test_patience_is_counted_from_the_last_new_layout() -> None:
    progress = Progress(limit=1.0, enough=False, steps=99, patience=2, after=9)
    reports = [("not", 8.0), ("fits", 8.0), ("not", 7.0), ("not", 7.0)]
    assert [progress.see(kind == "fits", Solution(w)) for kind, w in reports] == [False, False, False, True]


def test_once_the_strip_is_short_enough_patience_is_another() -> None:
    progress = Progress(limit=9.0, enough=False, steps=99, patience=4, after=2)
    assert seen(progress, ("fits", 9.0), ("not", 8.0), ("not", 8.0)) == [False, False, True]


def test_a_longer_layout_never_replaces_a_shorter_one() -> None:
    progress = Progress(limit=1.0, enough=False, steps=99, patience=99, after=99)
    seen(progress, ("fits", 7.0), ("fits", 9.0))
    assert progress.best.width == 7.0


def test_the_program_ends_when_whoever_asked_has_gone() -> None:
    spec = find_spec("piecewright.cutting.mats.nester")
    assert spec is not None
    assert spec.origin is not None
    endless = {"shape": SQUARE.tolist(), "copies": 40, "turns": None}
    request = {"items": [endless], "height": 65.0, "limit": 1.0, "enough": False, "seed": 1}
    process = subprocess.Popen(
        [sys.executable, "-I", spec.origin], stdin=subprocess.PIPE, stdout=subprocess.DEVNULL, text=True
    )
    assert process.stdin is not None
    process.stdin.write(json.dumps({**request, "steps": 10**9, "patience": 10**9, "after": 10**9}) + "\n")
    process.stdin.close()
    assert process.wait(timeout=60) != 0


def stand_in(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, body: str) -> None:
    """Put another program in the engine's place."""
    script = tmp_path / "nester.py"
    script.write_text(body)

    class Spec:
        origin = str(script)

    monkeypatch.setattr(engine_module, "find_spec", lambda _: Spec())


CASES = [
    ("import sys; sys.stdin.readline(); print('{\"missing\": true}', flush=True)", "nesting-missing"),
    ("raise SystemExit(3)", "nesting-failed"),
    ("import sys; sys.stdin.readline(); print('no json', flush=True)", "nesting-failed"),
]


@pytest.mark.parametrize(("body", "code"), CASES)
def test_without_an_answer_the_pieces_are_laid_by_boxes_and_a_finding_says_so(
    body: str, code: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    stand_in(tmp_path, monkeypatch, body)
    layout = lay(mixed(12, seed=1), rules(effort=2))
    assert codes(layout) == [code]
    assert laid_ids(layout) == laid_ids(lay(mixed(12, seed=1), rules(effort=0)))


def test_an_engine_that_hangs_is_ended_and_the_layout_called_not_repeatable(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    stand_in(tmp_path, monkeypatch, "import sys\nfor line in iter(sys.stdin.readline, None): pass")
    layout = lay(mixed(12, seed=1), rules(effort=2, time_limit_s=0.5))
    assert codes(layout) == ["layout-not-repeatable"]
    assert len(laid_ids(layout)) == 12


def test_a_slow_machine_lays_what_a_fast_one_lays(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # The engine's reports are fetched a hundred times later than usual, when it has long gone on.
    pieces = mixed(10, seed=1)
    fast = lay(pieces, rules(effort=1))
    assert poses(fast) != poses(lay(pieces, rules(effort=0)))
    spec = find_spec("piecewright.cutting.mats.nester")
    assert spec is not None
    assert spec.origin is not None
    program = Path(spec.origin).read_text()
    assert "POLL_S = 0.002" in program
    stand_in(tmp_path, monkeypatch, program.replace("POLL_S = 0.002", "POLL_S = 0.2"))
    slow = lay(pieces, rules(effort=1))
    assert not codes(slow)
    assert poses(slow) == poses(fast)


def test_a_job_that_has_had_all_its_tries_goes_on_by_boxes_and_a_finding_says_so(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(engine_module, "MOST_STRIPS", 1)
    layout = lay(mixed(30, seed=1), rules(effort=1))
    assert codes(layout) == ["nesting-cut-short"]
    assert laid_ids(layout) == laid_ids(lay(mixed(30, seed=1), rules(effort=0)))


def test_where_no_process_can_be_started_the_pieces_are_laid_all_the_same(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def refuse(*_: Any, **__: Any) -> None:  # noqa: ANN401 - any call
        raise BlockingIOError

    monkeypatch.setattr(subprocess, "Popen", refuse)
    assert codes(lay(mixed(12, seed=1), rules(effort=2))) == ["nesting-failed"]


def test_after_the_limit_nothing_more_is_asked() -> None:
    with engine_for(60.0) as engine:
        engine.stop()
        with pytest.raises(EngineOutOfTime):
            engine.pack([StripItem(ring=SQUARE, copies=1, turns=None)], 20.0, 20.0, LIGHT, enough=True)


def test_a_missing_engine_is_an_answer(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from piecewright.cutting.mats import nester  # noqa: PLC0415 - the program, run here

    endings: list[Callable[..., object]] = []
    monkeypatch.setitem(sys.modules, "spyrrow", None)
    monkeypatch.setattr(sys, "stdin", io.StringIO('{"items": []}\n'))
    monkeypatch.setattr(signal, "raise_signal", endings.append)
    nester.main()
    assert json.loads(capsys.readouterr().out) == {"missing": True}
