"""Copies brought into the inbox: whole or not at all, and never over what lies there."""

from __future__ import annotations

import os
import shutil
from typing import TYPE_CHECKING

import pytest

from piecewright.daemon.bringing import bring
from piecewright.daemon.errors import SpecialFile
from piecewright.daemon.once import take_copies

if TYPE_CHECKING:
    from pathlib import Path

    from tests.daemon.shop import Shop


def _names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir() if path.name != "order")


def test_what_lies_there_under_the_same_name_is_kept(shop: Shop, tmp_path: Path) -> None:
    (tmp_path / "runner.dst").write_bytes(b"new")
    shop.drop("runner.dst", b"old")
    for _ in range(2):
        assert take_copies(tmp_path, shop.rulebook) == 1
    assert _names(shop.folders.inbox) == ["runner-2.dst", "runner-3.dst", "runner.dst"]
    assert (shop.folders.inbox / "runner.dst").read_bytes() == b"old"


def test_a_link_that_leads_nowhere_is_not_replaced_either(shop: Shop, tmp_path: Path) -> None:
    (tmp_path / "runner.dst").write_bytes(b"new")
    (shop.folders.inbox / "runner.dst").symlink_to(tmp_path / "nothing")
    take_copies(tmp_path, shop.rulebook)
    assert (shop.folders.inbox / "runner.dst").is_symlink()
    assert (shop.folders.inbox / "runner-2.dst").read_bytes() == b"new"


@pytest.mark.parametrize("name", ["a" * 251 + ".dst", "刺" * 83 + ".dst", "a." + "b" * 250])
def test_names_as_long_as_a_disk_allows_can_be_brought_twice(shop: Shop, tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_bytes(b"x")
    for _ in range(2):
        take_copies(tmp_path, shop.rulebook)
    assert len(_names(shop.folders.inbox)) == 2


def test_a_folder_comes_with_all_that_it_holds_and_its_links_as_links(shop: Shop, tmp_path: Path) -> None:
    (tmp_path / "set" / "inner" / "empty").mkdir(parents=True)
    (tmp_path / "set" / "inner" / "a.dst").write_bytes(b"a")
    (tmp_path / "set" / "link").symlink_to("/nowhere")
    copied = bring(tmp_path / "set", shop.folders.inbox, "set")
    assert (copied / "inner" / "a.dst").read_bytes() == b"a"
    assert (copied / "inner" / "empty").is_dir()
    assert (copied / "link").readlink().as_posix() == "/nowhere"


def test_what_cannot_be_copied_leaves_nothing_behind(shop: Shop, tmp_path: Path) -> None:
    (tmp_path / "set").mkdir()
    os.mkfifo(tmp_path / "set" / "pipe")
    with pytest.raises(SpecialFile, match="pipe is a link or a device"):
        bring(tmp_path / "set", shop.folders.inbox, "set")
    with pytest.raises(FileNotFoundError):
        bring(tmp_path / "nothing", shop.folders.inbox, "nothing")
    assert list(shop.folders.inbox.iterdir()) == []


def test_a_tree_of_any_depth_can_be_brought(shop: Shop, swift_path: Path) -> None:
    deepest = f"{swift_path}/set"
    for _ in range(1100):
        os.mkdir(deepest)  # noqa: PTH102 - pathlib does not reach so deep
        deepest += "/a"
    copied = bring(swift_path / "set", shop.folders.inbox, "set")
    assert copied.is_dir()
    shutil.move(copied, swift_path / "elsewhere")
