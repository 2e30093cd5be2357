"""No kill, no second kill in the recovery and no power cut, at whatever step, loses or doubles a drop."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.daemon.schedules import SCENARIOS, double_kills, power_cuts, single_kills

if TYPE_CHECKING:
    from pathlib import Path


@pytest.mark.parametrize("name", SCENARIOS)
def test_a_single_kill_at_any_step_loses_and_doubles_nothing(name: str, swift_path: Path) -> None:
    assert single_kills(SCENARIOS[name], swift_path) > 40


@pytest.mark.slow
@pytest.mark.timeout(300)
@pytest.mark.parametrize("name", SCENARIOS)
def test_a_second_kill_in_any_recovery_loses_and_doubles_nothing(name: str, swift_path: Path) -> None:
    assert double_kills(SCENARIOS[name], swift_path) > 200


@pytest.mark.parametrize("names_too", [False, True], ids=["data lost", "data and names lost"])
@pytest.mark.parametrize("name", [name for name in SCENARIOS if "operator" not in name])
def test_a_power_cut_at_any_step_loses_and_doubles_nothing(
    name: str, names_too: bool, swift_path: Path
) -> None:
    assert power_cuts(SCENARIOS[name], swift_path, names_too=names_too) > 20
