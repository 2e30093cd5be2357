"""Housekeeping removes what the rules say and nothing else."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from piecewright.daemon.disk import RealDisk
from piecewright.daemon.housekeeping import sweep_out, tidy
from piecewright.daemon.rulebook import KeepRules
from tests.daemon.shop import FakeWorkshop

if TYPE_CHECKING:
    from pathlib import Path

    from tests.daemon.shop import Shop

DAY_S = 86400.0
NOW = 1_800_000_000.0


def _worked(shop: Shop) -> None:
    for name in ("a.dst", "b.dst", "bad.dst"):
        shop.drop(name, name.encode())
    shop.run(workshop=FakeWorkshop(RealDisk(), refused={"bad.dst"}))
    for place in (shop.folders.done, shop.folders.failed, shop.folders.outbox):
        for number, folder in enumerate(sorted(place.iterdir())):
            for path in folder.rglob("*"):
                os.utime(path, (NOW - (number + 1) * DAY_S,) * 2)


def _names(place: Path) -> list[str]:
    return sorted(path.name for path in place.iterdir())


def test_it_is_off_by_default(shop: Shop) -> None:
    _worked(shop)
    assert tidy(RealDisk(), shop.folders, KeepRules(), NOW + 1000 * DAY_S) == ()


def test_what_is_too_old_goes_from_each_place_by_its_own_age(shop: Shop) -> None:
    _worked(shop)
    keep = KeepRules.model_validate({"done_for": "36 h", "outbox_for": "60 h"})
    removed = tidy(RealDisk(), shop.folders, keep, NOW)
    assert [folder.parent for folder in removed] == [shop.folders.done]
    assert len(_names(shop.folders.done)) == 1
    assert len(_names(shop.folders.outbox)) == 2
    assert len(_names(shop.folders.failed)) == 1


def test_the_oldest_goes_first_when_there_is_too_much(shop: Shop) -> None:
    _worked(shop)
    newest = min(shop.folders.done.iterdir())
    size = sum(path.stat().st_size for path in newest.rglob("*") if path.is_file())
    tidy(RealDisk(), shop.folders, KeepRules.model_validate({"done_bytes": f"{size + 10} B"}), NOW)
    assert _names(shop.folders.done) == [newest.name]


def test_what_it_does_not_know_and_what_is_in_work_is_never_touched(shop: Shop) -> None:
    _worked(shop)
    kept = [
        shop.folders.outbox / "my own",
        shop.folders.done / "notes",
        shop.folders.work / "260101-000000-0000",
    ]
    for folder in kept:
        folder.mkdir()
        (folder / "READY").write_text("{}")
        (folder / "report.json").write_text("{}")
    linked = shop.folders.done / "260101-000000-0001"
    linked.symlink_to(shop.folders.outbox / "my own")
    keep = KeepRules.model_validate({"done_for": "1 s", "failed_for": "1 s", "outbox_for": "1 s"})
    tidy(RealDisk(), shop.folders, keep, NOW + 1000 * DAY_S)
    assert all((folder / "READY").exists() for folder in kept)
    assert linked.is_symlink()
    assert _names(shop.folders.outbox) == ["my own"]


def test_a_removal_that_was_cut_off_is_finished_at_the_next_start(shop: Shop) -> None:
    doomed = shop.root / ".removing-260101-000000-0000"
    (doomed / "in").mkdir(parents=True)
    sweep_out(RealDisk(), shop.folders)
    assert not doomed.exists()


def test_the_session_tidies_by_the_rules_in_force(shop: Shop) -> None:
    _worked(shop)
    shop.rulebook = shop.rulebook.model_copy(update={"keep": KeepRules.model_validate({"failed_for": "1 s"})})
    shop.clock.calendar = shop.clock.calendar.fromtimestamp(NOW + DAY_S, tz=shop.clock.calendar.tzinfo)
    with shop.session() as session:
        session.tick()
    assert _names(shop.folders.failed) == []
    assert len(_names(shop.folders.done)) == 2
