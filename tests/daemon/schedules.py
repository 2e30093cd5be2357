"""Crash schedules, enumerated: each function runs every one of a kind and gives their number.

A dry run counts the steps of a scenario; then one run is made for each step, and in the recovery from each
one more for each of its steps. After every one the account must be the same: each drop exactly once, each
result exactly once and whole. An account that is not right is an ``AssertionError``.
"""

from __future__ import annotations

import hashlib
import json
from typing import TYPE_CHECKING, NamedTuple

from piecewright.daemon.jobfolder import REPORT
from tests.daemon.shop import FakeWorkshop, Killed, PowerCutDisk, Shop, TracedDisk

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


class Scenario(NamedTuple):
    """What is dropped, and how many folders leave for it."""

    files: dict[str, bytes]
    published: int
    refused: frozenset[str] = frozenset()
    operator: bool = False


SCENARIOS = {
    "one file": Scenario({"runner.dst": b"one"}, 1),
    "two files": Scenario({"runner.dst": b"one", "patch.pes": b"two"}, 2),
    "a folder": Scenario({"folder/runner.dst": b"one", "folder/inner/patch.pes": b"two"}, 1),
    "a file that is refused": Scenario({"bad.dst": b"bad"}, 0, frozenset({"bad.dst"})),
    "an order gathered in a tray": Scenario({"order/runner.dst": b"one", "order/patch.pes": b"two"}, 1),
    "a hand-over": Scenario({"stick.dst": b"one"}, 1),
    "an operator who takes the output at once": Scenario({"runner.dst": b"one"}, 1, operator=True),
}


def single_kills(scenario: Scenario, place: Path) -> int:
    """A kill at every step, not begun or left half done."""
    steps = _steps_of(scenario, place / "dry")
    for number, (kill, torn) in enumerate(_kills(steps)):
        shop = _shop(scenario, place / str(number))
        _run_until_killed(shop, scenario, kill, torn=torn)
        _run(shop, scenario, TracedDisk())
        _check(shop, scenario)
    return 2 * steps


def double_kills(scenario: Scenario, place: Path) -> int:
    """A kill at every step, and a second one at every step of the recovery from it."""
    count = 0
    for kill in range(1, _steps_of(scenario, place / "dry") + 1):
        second = 0
        while True:
            second += 1
            shop = _shop(scenario, place / f"{kill}-{second}")
            _run_until_killed(shop, scenario, kill, torn=False)
            disk = TracedDisk(kill_at=second)
            _run(shop, scenario, disk)
            if not disk.dead:
                break
            count += 1
            _run(shop, scenario, TracedDisk())
            _check(shop, scenario)
    return count


def power_cuts(scenario: Scenario, place: Path, *, names_too: bool) -> int:
    """A power cut at every step that takes all that was not synced, the worst that a filesystem may do."""
    steps = _steps_of(scenario, place / "dry")
    for kill in range(1, steps + 1):
        shop = _shop(scenario, place / str(kill))
        disk = PowerCutDisk(kill_at=kill)
        _run(shop, scenario, disk)
        disk.cut(names_too=names_too)
        _check_meanwhile(shop, scenario)
        _run(shop, scenario, TracedDisk())
        _check(shop, scenario)
    return steps


def _shop(scenario: Scenario, root: Path) -> Shop:
    shop = Shop(root / "root")
    for name, data in scenario.files.items():
        shop.drop(name, data)
    (shop.root / "second").mkdir()
    return shop


def _steps_of(scenario: Scenario, root: Path) -> int:
    shop, disk = _shop(scenario, root), TracedDisk()
    _run(shop, scenario, disk)
    _check(shop, scenario)
    return len(disk.steps)


def _kills(steps: int) -> Iterator[tuple[int, bool]]:
    return ((kill, torn) for kill in range(1, steps + 1) for torn in (False, True))


def _run_until_killed(shop: Shop, scenario: Scenario, kill: int, *, torn: bool) -> None:
    disk = TracedDisk(kill_at=kill, torn=torn)
    _run(shop, scenario, disk)
    _check_meanwhile(shop, scenario)


def _run(shop: Shop, scenario: Scenario, disk: TracedDisk) -> None:
    workshop = FakeWorkshop(disk, refused=set(scenario.refused))
    if scenario.operator:
        workshop.before = lambda _folder: shop.take_output()
    try:
        shop.run(disk, workshop)
    except Killed:
        assert disk.dead
    finally:
        if scenario.operator:
            shop.take_output()


def _check_meanwhile(shop: Shop, scenario: Scenario) -> None:
    """Also right after a kill no original is lost or doubled, and nothing half made has left."""
    assert sorted(shop.originals().elements()) == sorted(scenario.files.values())
    for folder in shop.published():
        _check_whole(folder)


def _check(shop: Shop, scenario: Scenario) -> None:
    _check_meanwhile(shop, scenario)
    assert not list(shop.folders.work.iterdir())
    assert not list(shop.drops())
    assert len(shop.published()) == scenario.published
    contents = [(folder / "mat-1.svg").read_bytes() for folder in shop.published()]
    assert len(set(contents)) == len(contents)
    assert len(list(shop.folders.failed.iterdir())) == len(scenario.refused)
    if "stick.dst" in scenario.files:
        (handed,) = (shop.root / "second").iterdir()
        assert (handed / "mat-1.svg").read_bytes() == contents[0]


def _check_whole(folder: Path) -> None:
    report = json.loads((folder / REPORT).read_bytes())
    for entry in report["files"]:
        assert hashlib.sha256((folder / entry["name"]).read_bytes()).hexdigest() == entry["sha256"]
