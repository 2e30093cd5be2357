"""Edits of the rules while the service runs, and the last good ones over a restart and a crash."""

from __future__ import annotations

import io
import os
from typing import TYPE_CHECKING

import pytest

from piecewright.cutting.errors import RulesError
from piecewright.daemon import logs
from piecewright.daemon.disk import RealDisk
from piecewright.daemon.folders import FolderError
from piecewright.daemon.lastgood import KEPT, keep, recall
from piecewright.daemon.rulewatch import RuleWatch
from tests.daemon.shop import Killed, PowerCutDisk, TracedDisk

if TYPE_CHECKING:
    from pathlib import Path

GOOD = """
mats: {standard: {width: 305 mm, height: 305 mm}}
products:
  - {name: Runner}
"""
BETTER = GOOD.replace("Runner", "Placemat")
BROKEN = GOOD.replace("mats:", "matz:")


@pytest.fixture
def rules(tmp_path: Path) -> Path:
    path = tmp_path / "shop.yaml"
    path.write_text(GOOD)
    return path


def started(rules: Path) -> RuleWatch:
    return RuleWatch(rules, root=rules.parent)


def kept(rules: Path) -> None:
    """A service has run by the rules as they are."""
    started(rules).keep(RealDisk())


def edit(rules: Path, text: str, watch: RuleWatch) -> None:
    """Save an edit and let it come to rest."""
    known = rules.stat().st_mtime_ns
    rules.write_text(text)
    os.utime(rules, ns=(known + 10**9, known + 10**9))
    watch.look()
    assert watch.look()


def products(watch: RuleWatch) -> list[str]:
    return [product.name for product in watch.rulebook.products]


def test_a_start_with_broken_rules_goes_on_by_the_last_good_ones_and_says_so(rules: Path) -> None:
    kept(rules)
    rules.write_text(BROKEN)
    watch = started(rules)
    assert products(watch) == ["Runner"]
    assert "matz" in watch.fault


def test_rules_that_are_gone_at_the_start_are_no_reason_to_stand_still(rules: Path) -> None:
    kept(rules)
    rules.unlink()
    watch = started(rules)
    assert products(watch) == ["Runner"]
    assert "no such file" in watch.fault


def test_the_mended_file_is_taken_over(rules: Path) -> None:
    kept(rules)
    rules.write_text(BROKEN)
    watch = started(rules)
    edit(rules, BETTER, watch)
    assert (products(watch), watch.fault) == (["Placemat"], "")


def test_without_good_ones_broken_rules_are_refused(rules: Path) -> None:
    rules.write_text(BROKEN)
    with pytest.raises(RulesError, match="matz"):
        started(rules)


def test_broken_rules_are_never_kept(rules: Path) -> None:
    watch = started(rules)
    watch.keep(RealDisk())
    edit(rules, BROKEN, watch)
    watch.keep(RealDisk())
    assert recall(rules.parent, rules) == GOOD


def test_an_edit_that_was_taken_over_is_kept(rules: Path) -> None:
    watch = started(rules)
    edit(rules, BETTER, watch)
    watch.keep(RealDisk())
    assert recall(rules.parent, rules) == BETTER


def test_rules_kept_of_another_file_are_not_taken_for_these(rules: Path) -> None:
    kept(rules)
    other = rules.with_name("other.yaml")
    other.write_text(BROKEN)
    with pytest.raises(RulesError, match="matz"):
        started(other)


@pytest.mark.parametrize("damage", [b"", b"\xff\xfe", b"products: []\n"])
def test_damaged_kept_rules_count_for_nothing(rules: Path, damage: bytes) -> None:
    (rules.parent / KEPT).write_bytes(damage)
    rules.write_text(BROKEN)
    with pytest.raises(RulesError, match="matz"):
        started(rules)


def test_kept_rules_that_this_edition_cannot_use_count_for_nothing(rules: Path) -> None:
    keep(RealDisk(), rules.parent, rules, GOOD.replace("name:", "title:"))
    rules.write_text(BROKEN)
    with pytest.raises(RulesError, match="matz"):
        started(rules)


def test_rules_whose_folders_cannot_be_used_give_way_to_the_last_good_ones(rules: Path) -> None:
    watch = started(rules)
    watch.keep(RealDisk())
    edit(rules, GOOD + "inbox: {inbox: elsewhere}\n", watch)
    assert watch.go_back(FolderError("The folder elsewhere cannot be made.", "Check the path."))
    assert watch.rulebook.inbox.inbox == "inbox"
    assert watch.fault == "The folder elsewhere cannot be made. Check the path."
    watch.keep(RealDisk())
    assert recall(rules.parent, rules) == GOOD


def test_folders_that_the_last_good_rules_name_too_are_not_the_fault_of_an_edit(rules: Path) -> None:
    watch = started(rules)
    watch.keep(RealDisk())
    assert not watch.go_back(FolderError("The folder inbox cannot be made.", "Check the path."))


def test_what_cannot_be_kept_now_is_told_once_and_kept_later(rules: Path) -> None:
    watch = started(rules)
    in_the_way = rules.parent / f"{KEPT}.new"
    in_the_way.mkdir()
    told = io.StringIO()
    logs.set_up(told)
    watch.keep(RealDisk())
    watch.keep(RealDisk())
    assert told.getvalue().count("rules not kept") == 1
    in_the_way.rmdir()
    watch.keep(RealDisk())
    assert recall(rules.parent, rules) == GOOD


def test_what_is_kept_already_is_not_written_again(rules: Path) -> None:
    kept(rules)
    disk = TracedDisk()
    started(rules).keep(disk)
    assert disk.steps == []


@pytest.mark.parametrize(("step", "torn"), [(1, False), (1, True), (2, False), (3, False), (4, False)])
def test_a_crash_leaves_the_old_or_the_new_ones_whole(rules: Path, step: int, torn: bool) -> None:
    keep(RealDisk(), rules.parent, rules, GOOD)
    with pytest.raises(Killed):
        keep(TracedDisk(kill_at=step, torn=torn), rules.parent, rules, BETTER)
    assert recall(rules.parent, rules) in (GOOD, BETTER)
    keep(RealDisk(), rules.parent, rules, BETTER)
    assert recall(rules.parent, rules) == BETTER


@pytest.mark.parametrize("step", range(1, 5))
def test_a_power_cut_takes_no_bytes_of_what_is_kept(rules: Path, step: int) -> None:
    keep(RealDisk(), rules.parent, rules, GOOD)
    disk = PowerCutDisk(kill_at=step)
    with pytest.raises(Killed):
        keep(disk, rules.parent, rules, BETTER)
    disk.cut(names_too=False)
    assert recall(rules.parent, rules) in (GOOD, BETTER)
