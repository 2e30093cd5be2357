"""The order of all steps that change the disk: sync, rename, sync."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.daemon.shop import FakeWorkshop, Shop, TracedDisk

if TYPE_CHECKING:
    from collections.abc import Iterable

A_DROP_S_WAY = """
make_folder work/JOB
make_folder work/JOB/in
write       work/JOB/rules.json.new
sync        work/JOB/rules.json.new
replace     work/JOB/rules.json.new work/JOB/rules.json
sync        work/JOB
write       work/JOB/claim.json.new
sync        work/JOB/claim.json.new
replace     work/JOB/claim.json.new work/JOB/claim.json
sync        work/JOB
sync        work
rename      inbox/runner.dst work/JOB/in/runner.dst
sync        work/JOB/in
sync        inbox
write       work/JOB/attempt-1.json.new
sync        work/JOB/attempt-1.json.new
replace     work/JOB/attempt-1.json.new work/JOB/attempt-1.json
sync        work/JOB
make_folder work/JOB/out-1
write       work/JOB/out-1/mat-1.svg
write       work/JOB/out-1/report.json
sync        work/JOB/out-1/mat-1.svg
sync        work/JOB/out-1/report.json
sync        work/JOB/out-1
sync        work/JOB
write       work/JOB/READY.new
sync        work/JOB/READY.new
replace     work/JOB/READY.new work/JOB/READY
sync        work/JOB
rename      work/JOB/out-1 outbox/runner_JOB
sync        outbox
sync        work/JOB
remove      work/JOB/handed-over
rename      work/JOB done/JOB
sync        done
sync        work
"""


def test_a_drop_goes_its_way_in_exactly_these_steps(shop: Shop) -> None:
    shop.drop("runner.dst")
    disk = TracedDisk()
    shop.run(disk)
    assert _readable(disk.steps, shop) == A_DROP_S_WAY.strip().splitlines()


@pytest.mark.parametrize("name", ["runner.dst", "stick.dst", "bad.dst"])
def test_whatever_is_renamed_was_synced_before_and_both_folders_are_synced_after(
    shop: Shop, name: str
) -> None:
    shop.drop(name)
    (shop.root / "second").mkdir()
    disk = TracedDisk()
    shop.run(disk, FakeWorkshop(disk, refused={"bad.dst"}))
    unsynced: set[str] = set()
    owed: set[str] = set()
    for verb, *paths in disk.steps:
        if verb == "sync":
            unsynced.discard(paths[0])
            owed.discard(paths[0])
        elif verb in ("write", "copy"):
            unsynced.add(paths[-1])
        elif verb == "remove":
            unsynced = {path for path in unsynced if not path.startswith(paths[0])}
        elif verb in ("rename", "replace"):
            assert not {path for path in unsynced if path.startswith(paths[0])}
            assert not owed, "a rename must not build on one that a power cut may undo"
            owed = {str(Path(path).parent) for path in paths}
    assert not owed


def _readable(steps: Iterable[tuple[str, ...]], shop: Shop) -> list[str]:
    """Relative to the root, with JOB for the job's id."""
    lines = [
        f"{verb:11} {' '.join(str(Path(path).relative_to(shop.root)) for path in paths)}"
        for verb, *paths in steps
    ]
    return [re.sub(r"\d{6}-\d{6}-[0-9a-f]{4}", "JOB", line) for line in lines]
