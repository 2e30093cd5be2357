"""Folders that would not be safe are refused before anything is moved."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

import pytest

from piecewright.daemon.folders import FolderError, Folders, RootInUse, identity, locked, prepare
from piecewright.daemon.rulebook import FolderRules


def _rules(root: Path, **names: str) -> FolderRules:
    return FolderRules.model_validate({"root": root, **names})


def test_missing_folders_are_made(tmp_path: Path) -> None:
    folders = Folders.of(_rules(tmp_path / "new" / "root"))
    prepare(folders)
    assert all(folder.is_dir() for folder in folders.all())


@pytest.mark.parametrize("name", ["", "../elsewhere", "/tmp", "a/b", ".hidden", "C:\\x", "OUTBOX"])  # noqa: S108 - refused
def test_a_folder_outside_the_root_or_named_twice_is_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(FolderError):
        Folders.of(_rules(tmp_path, inbox=name))


def test_a_file_where_a_folder_should_be_is_refused(tmp_path: Path) -> None:
    (tmp_path / "outbox").write_text("in the way")
    with pytest.raises(FolderError, match="cannot be made"):
        prepare(Folders.of(_rules(tmp_path)))


def test_a_folder_on_another_filesystem_is_refused(tmp_path: Path) -> None:
    other = Path(tempfile.mkdtemp(dir=_other_filesystem(tmp_path)))
    try:
        (tmp_path / "outbox").symlink_to(other)
        with pytest.raises(FolderError, match="another filesystem"):
            prepare(Folders.of(_rules(tmp_path)))
    finally:
        shutil.rmtree(other)


def test_a_root_is_held_by_one_at_a_time(tmp_path: Path) -> None:
    folders = Folders.of(_rules(tmp_path))
    prepare(folders)
    with locked(folders), pytest.raises(RootInUse), locked(folders):
        pass
    with locked(folders):
        pass


def test_a_folder_keeps_its_identity_when_it_is_renamed_and_loses_it_when_it_is_replaced(
    tmp_path: Path,
) -> None:
    folder = tmp_path / "a"
    folder.mkdir()
    first = identity(folder)
    folder.rename(tmp_path / "b")
    assert identity(folder) is None
    assert identity(tmp_path / "b") == first
    folder.mkdir()
    assert identity(folder) != first


def _other_filesystem(path: Path) -> Path:
    """Any place to write that is on another device than a path."""
    places = (Path("/dev/shm"), Path("/tmp"), Path.home(), Path("/run"), Path("/var/tmp"))  # noqa: S108 - asked for
    return next(place for place in places if place.is_dir() and place.stat().st_dev != path.stat().st_dev)
