"""The unit: every line is explained, its times fit the service's own, and the service runs as it demands."""

from __future__ import annotations

import configparser
import os
import shutil
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

from piecewright.daemon import service
from tests.benchmarks import daemon_unit
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
    plain = {"Description", "Documentation", "ExecStart"}
    keys = {key for section in _unit().sections() for key in _unit()[section]} - plain
    assert {key for key in keys if f"`{key}`" not in text} == set()


def test_the_drive_without_which_the_service_stops_brings_it_back() -> None:
    drive = _unit()["Unit"]["RequiresMountsFor"]
    mount = f"{drive.strip('/').replace('/', '-')}.mount"  # systemd.unit(5), string escaping for file names
    assert mount in _unit()["Install"]["WantedBy"].split()


def test_the_unit_waits_longer_for_the_end_than_the_service_does() -> None:
    waits = int(_unit()["Service"]["TimeoutStopSec"])
    assert waits > 2 * service.STOP_WITHIN_S


def test_the_watchdog_waits_longer_than_the_longest_pause_between_signs_of_life() -> None:
    assert int(_unit()["Service"]["WatchdogSec"]) > 4 * service.LONGEST_WAIT_S


def _without_writable_code(place: Path) -> None:
    """What MemoryDenyWriteExecute demands, by prctl(2); kernels before 6.3 cannot and run it freely."""
    (place / "inbox").mkdir()
    shutil.copyfile(TOP / "sample_inbox" / "runner-leaves.pes", place / "inbox" / "runner.pes")
    refuse = "ctypes.CDLL(None).prctl(65, 1, 0, 0, 0)"
    confined = f"import ctypes, os, sys; {refuse}; os.execv(sys.argv[1], sys.argv[1:])"
    run = subprocess.run(
        [
            *(sys.executable, "-c", confined),
            *(sys.executable, "-m", "piecewright", "once", "--config", str(TOP / "config" / "demo.yaml")),
            *("--root", str(place)),
        ],
        env={**os.environ, "PYTHONPATH": str(TOP / "service")},
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 0, run.stderr
    assert "runner.pes: cut" in run.stdout


def _booted(place: Path) -> None:
    """The unit itself, by a systemd of its own, with every restriction that it names."""
    assert place.is_dir(), "it has a root of its own instead"
    found = daemon_unit.boot(brief=True)
    assert daemon_unit.LAST in found, found
    wrong = {
        what: result
        for what, result in found.items()
        if result is not True
        and what not in {"systemd", "where else it can write", "it sees into /root", "its network interfaces"}
        and result != []
    }
    assert wrong == {}
    assert found["where else it can write"] == []
    assert found["it sees into /root"] is False
    assert found["its network interfaces"] == ["lo"]


_WAYS = {"without writable code": _without_writable_code}
if daemon_unit.can_boot():
    _WAYS["booted"] = _booted


@pytest.mark.slow
@pytest.mark.timeout(400)
@pytest.mark.parametrize("way", _WAYS)
def test_a_design_goes_through_the_confined_service(way: str, swift_path: Path) -> None:
    _WAYS[way](swift_path)
