"""The unit: every line is explained, its times fit the service's own, and the service runs as it demands."""

from __future__ import annotations

import configparser
import os
import shutil
import subprocess
import sys
from typing import TYPE_CHECKING

from piecewright.daemon import service
from tests.daemon.daemon_process import TOP

if TYPE_CHECKING:
    from pathlib import Path

UNIT = TOP / "systemd" / "piecewright.service"


def _unit() -> configparser.ConfigParser:
    parser = configparser.ConfigParser(strict=False, interpolation=None, delimiters=("=",))
    parser.optionxform = str  # type: ignore[assignment,method-assign]  # keys keep their capitals
    parser.read(UNIT)
    return parser


def test_every_line_of_the_unit_is_explained() -> None:
    text = (TOP / "systemd" / "README.md").read_text()
    plain = {"Description", "Documentation", "ExecStart", "WantedBy"}
    keys = {key for section in _unit().sections() for key in _unit()[section]} - plain
    assert {key for key in keys if f"`{key}`" not in text} == set()


def test_the_unit_waits_longer_for_the_end_than_the_service_does() -> None:
    waits = int(_unit()["Service"]["TimeoutStopSec"])
    assert waits > 2 * service.STOP_WITHIN_S


def test_the_watchdog_waits_longer_than_the_longest_pause_between_signs_of_life() -> None:
    assert int(_unit()["Service"]["WatchdogSec"]) > 4 * service.LONGEST_WAIT_S


def test_the_service_runs_where_memory_cannot_be_written_and_executed(swift_path: Path) -> None:
    """What MemoryDenyWriteExecute demands, by prctl(2); kernels before 6.3 cannot and run it freely."""
    (swift_path / "inbox").mkdir()
    shutil.copyfile(TOP / "sample_inbox" / "runner-leaves.pes", swift_path / "inbox" / "runner.pes")
    refuse = "ctypes.CDLL(None).prctl(65, 1, 0, 0, 0)"
    confined = f"import ctypes, os, sys; {refuse}; os.execv(sys.argv[1], sys.argv[1:])"
    run = subprocess.run(
        [
            *(sys.executable, "-c", confined),
            *(sys.executable, "-m", "piecewright", "once", "--config", str(TOP / "config" / "demo.yaml")),
            *("--root", str(swift_path)),
        ],
        env={**os.environ, "PYTHONPATH": str(TOP / "service")},
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 0, run.stderr
    assert "runner.pes: cut" in run.stdout
