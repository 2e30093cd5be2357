"""What is said, in logs and on terminals: no name can do harm there, no broken pipe stops the work."""

from __future__ import annotations

import io
import json
import os
import sys
from pathlib import Path

import pytest
import structlog

from piecewright.daemon import logs
from piecewright.daemon.outcome import Outcome
from piecewright.daemon.printable import printable, printable_lines

HOSTILE = "\x1b[2Jrun\ner\u202etsd.\u2028\udcff.dst"


def test_a_name_cannot_move_the_cursor_fake_a_line_or_turn_the_direction() -> None:
    assert printable(HOSTILE) == "�[2Jrun�er�tsd.��.dst"
    assert printable("Häkeldeckchen ☂ 刺繍 وردة.dst") == "Häkeldeckchen ☂ 刺繍 وردة.dst"
    assert printable_lines("one\ntwo\x07") == "one\ntwo�"


def test_an_outcome_is_one_line_whatever_its_message() -> None:
    outcome = Outcome(job="", name=HOSTILE, status="refused", folder=Path("/x"), message="a\nb\x1b")
    assert outcome.line() == "�[2Jrun�er�tsd.��.dst: refused: a b�"
    json.dumps(outcome.as_json(), ensure_ascii=False).encode()


class _Full(io.StringIO):
    def write(self, _text: str) -> int:
        raise OSError(28, "No space left on device")


@pytest.mark.parametrize("stream", [_Full(), open(os.devnull, "w", encoding="ascii")])  # noqa: PTH123, SIM115 - closed below
def test_a_log_that_takes_nothing_stops_nothing(stream: io.TextIOBase) -> None:
    logs.set_up(stream)  # type: ignore[arg-type]  # any text stream will do
    structlog.get_logger().warning("full")
    stream.close()
    structlog.get_logger().warning("closed", name=HOSTILE)


def test_without_a_standard_error_lines_go_to_a_file_of_limited_size(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "stderr", None)
    monkeypatch.setattr(logs, "_LARGEST", 200)
    logs.set_up(beside=tmp_path)
    for number in range(20):
        structlog.get_logger().info("line", number=number, name=HOSTILE)
    newest = (tmp_path / logs.LOG).read_text(encoding="utf-8").splitlines()
    assert json.loads(newest[-1])["number"] == 19
    assert sorted(path.name for path in tmp_path.iterdir()) == [logs.LOG, f"{logs.LOG}.older"]
    assert sum(path.stat().st_size for path in tmp_path.iterdir()) < 1000
