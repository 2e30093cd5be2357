"""Cut files copied to a second folder: whole or not at all, once, and never over anything else."""

from __future__ import annotations

import errno
import os
from typing import TYPE_CHECKING

import pytest

from piecewright.daemon.disk import RealDisk

if TYPE_CHECKING:
    from pathlib import Path

    from piecewright.daemon.session import Session
    from tests.daemon.shop import Shop


def _serve(shop: Shop, session: Session, seconds: int) -> None:
    for _ in range(seconds):
        session.tick()
        shop.clock.advance(1.0)


def test_the_cut_files_alone_are_copied_and_the_outbox_keeps_its_own(shop: Shop) -> None:
    second = shop.root / "second"
    second.mkdir()
    shop.drop("stick.dst")
    shop.run()
    (published,) = shop.published()
    (handed,) = second.iterdir()
    assert handed.name == published.name
    assert [path.name for path in handed.iterdir()] == ["mat-1.svg"]
    assert (handed / "mat-1.svg").read_bytes() == (published / "mat-1.svg").read_bytes()


def test_an_absent_stick_is_shown_and_waited_for_while_other_jobs_go_on(shop: Shop) -> None:
    shop.drop("stick-a.dst", b"a")
    shop.drop("stick-b.dst", b"b")
    shop.drop("other.dst", b"c")
    with shop.session() as session:
        _serve(shop, session, 60)
        assert [outcome.status for outcome in shop.outcomes] == ["cut"] * 3
        assert [notice for notice in session.notices() if "Plug it in" in notice]
        shop.take_output()
        (shop.root / "second").mkdir()
        _serve(shop, session, 100)
    assert len(list((shop.root / "second").iterdir())) == 2
    assert len(shop.outcomes) == 3, "each is told once"
    assert len(list(shop.folders.done.iterdir())) == 3


def test_a_stick_that_is_missing_at_the_end_is_served_by_the_next_session(shop: Shop) -> None:
    shop.drop("stick.dst")
    with shop.session() as session:
        _serve(shop, session, 10)
    (shop.root / "second").mkdir()
    shop.run()
    assert len(list((shop.root / "second").iterdir())) == 1
    assert len(shop.published()) == 1


def test_other_files_under_the_same_name_are_never_overwritten(shop: Shop) -> None:
    second = shop.root / "second"
    shop.drop("stick.dst")
    with shop.session() as session:
        _serve(shop, session, 10)
        (published,) = shop.published()
        theirs = second / published.name / "mat-1.svg"
        theirs.parent.mkdir(parents=True)
        theirs.write_bytes(b"theirs")
        _serve(shop, session, 60)
        assert theirs.read_bytes() == b"theirs"
        assert [notice for notice in session.notices() if "holds other files" in notice]
        theirs.write_bytes((published / "mat-1.svg").read_bytes())
        _serve(shop, session, 400)
        assert not session.bench.jobs, "the same files are what was wanted"


def test_a_full_stick_holds_no_half_copy_and_is_tried_again(shop: Shop) -> None:
    second = shop.root / "second"
    second.mkdir()

    class FullStick(RealDisk):
        full = True

        def copy(self, source: Path, target: Path) -> None:
            if self.full and target.is_relative_to(second):
                target.write_bytes(source.read_bytes()[:3])
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(target))
            super().copy(source, target)

    disk = FullStick()
    shop.drop("stick.dst")
    with shop.session(disk) as session:
        _serve(shop, session, 30)
        assert list(second.iterdir()) == []
        assert [notice for notice in session.notices() if "No space left" in notice]
        disk.full = False
        _serve(shop, session, 100)
    (handed,) = second.iterdir()
    assert len((handed / "mat-1.svg").read_bytes()) == 64


@pytest.mark.parametrize("count", [1, 3])
def test_jobs_that_only_wait_for_their_hand_over_leave_room_for_others(shop: Shop, count: int) -> None:
    for number in range(count):
        shop.drop(f"stick-{number}.dst", bytes([number]))
    with shop.session() as session:
        _serve(shop, session, 30)
        assert session.bench.has_room
