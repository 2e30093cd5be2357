"""Folders that are missing, closed to the service or something else: it says so, and goes on once it can."""

from __future__ import annotations

import errno
import os
from typing import TYPE_CHECKING

import pytest

from piecewright.cutting.report import Report
from piecewright.daemon.disk import RealDisk
from tests.daemon.shop import Shop

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from piecewright.daemon.session import Session

NOBODY = 65534


@pytest.fixture
def nobody(swift_path: Path) -> Iterator[Path]:
    """An account without rights and a folder of its own; whoever has none anyway stays who he is."""
    assert Report.__name__, "imported before the rights are gone"
    if os.geteuid() != 0:
        yield swift_path
        return
    os.chown(swift_path, NOBODY, NOBODY)
    os.setresgid(NOBODY, NOBODY, 0)
    os.setresuid(NOBODY, NOBODY, 0)
    try:
        yield swift_path
    finally:
        os.setresuid(0, 0, 0)
        os.setresgid(0, 0, 0)


def _pass(shop: Shop, session: Session, seconds: int) -> None:
    for _ in range(seconds):
        session.tick()
        shop.clock.advance(1.0)


def test_a_file_where_a_tray_should_be_is_told_and_holds_up_nothing_else(shop: Shop) -> None:
    in_the_way = shop.folders.inbox / "order"
    in_the_way.write_bytes(b"no folder")
    shop.drop("runner.dst")
    with shop.session() as session:
        _pass(shop, session, 8)
        assert len(shop.published()) == 1
        (notice,) = session.notices()
        assert "tray order cannot be used" in notice
        in_the_way.unlink()
        _pass(shop, session, 8)
        assert list(session.notices()) == []
    assert (shop.folders.inbox / "order").is_dir()


def test_a_tray_that_cannot_be_looked_into_is_told_and_holds_up_nothing_else(nobody: Path) -> None:
    shop = Shop(nobody / "root")
    shop.drop("order/runner.dst")
    shop.drop("runner.dst", b"other")
    (shop.folders.inbox / "order").chmod(0)
    with shop.session() as session:
        _pass(shop, session, 8)
        assert len(shop.published()) == 1
        assert any("Permission denied" in notice for notice in session.notices())
        (shop.folders.inbox / "order").chmod(0o700)
        _pass(shop, session, 30)
    assert len(shop.published()) == 2


def test_a_folder_with_a_closed_folder_inside_waits_and_says_so(nobody: Path) -> None:
    shop = Shop(nobody / "root")
    shop.drop("folder/inner/runner.dst")
    (shop.folders.inbox / "folder" / "inner").chmod(0)
    with shop.session() as session:
        _pass(shop, session, 15)
        (notice,) = session.notices()
        assert "inner in it cannot be looked into (Permission denied)" in notice
        (shop.folders.inbox / "folder" / "inner").chmod(0o700)
        _pass(shop, session, 15)
    assert len(shop.published()) == 1


def test_a_folder_that_the_service_may_not_move_waits_and_says_so(nobody: Path) -> None:
    """Moving a folder to another one changes its "..": without the right to write in it that is refused."""
    shop = Shop(nobody / "root")
    shop.drop("folder/runner.dst")
    shop.drop("runner.dst", b"other")
    (shop.folders.inbox / "folder").chmod(0o500)
    with shop.session() as session:
        _pass(shop, session, 30)
        assert len(shop.published()) == 1, "the other one"
        (notice,) = session.notices()
        assert "folder waits in the inbox. It may not be moved; give the service" in notice
        (shop.folders.inbox / "folder").chmod(0o700)
        _pass(shop, session, 15)
    assert len(shop.published()) == 2


class Refusing(RealDisk):
    """A disk that refuses to move one name, as a sticky inbox or a mounted drive does."""

    def __init__(self, name: str, code: int) -> None:
        """Refuse with this error number."""
        self.name, self.code = name, code

    def rename(self, source: Path, target: Path) -> None:
        if source.name == self.name:
            raise OSError(self.code, os.strerror(self.code), str(source))
        super().rename(source, target)


@pytest.mark.parametrize("code", [errno.EPERM, errno.EACCES, errno.EBUSY, errno.EXDEV])
def test_an_entry_that_cannot_be_moved_is_told_and_never_blocks_another(shop: Shop, code: int) -> None:
    disk = Refusing("a stuck.dst", code)
    for name in ("a stuck.dst", "b.dst", "c.dst"):
        shop.drop(name, name.encode())
    with shop.session(disk) as session:
        _pass(shop, session, 20)
        assert len(shop.published()) == 2
        (notice,) = session.notices()
        assert "a stuck.dst waits in the inbox. It may not be moved: " + os.strerror(code) in notice
        assert list(shop.folders.work.iterdir()) == []
        disk.name = ""
        _pass(shop, session, 70)
    assert len(shop.published()) == 3


def test_many_entries_that_cannot_be_moved_do_not_keep_the_service_busy(shop: Shop) -> None:
    tried: list[Path] = []

    class Sticky(RealDisk):
        def rename(self, source: Path, target: Path) -> None:
            tried.append(source)
            raise PermissionError(errno.EPERM, "Operation not permitted", str(target))

    for number in range(50):
        shop.drop(f"{number}.dst", str(number).encode())
    with shop.session(Sticky()) as session:
        _pass(shop, session, 10)
    assert 1 <= len(tried) <= 10, "one for each tick at the most"
