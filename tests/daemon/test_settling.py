"""What is claimed, and when: slow, interrupted, stalled and odd writers, with a clock that tests turn."""

from __future__ import annotations

import datetime as dt
import os
import socket
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from piecewright.daemon.disk import RealDisk
from piecewright.daemon.jobfolder import DROP, read_claim
from tests.daemon.shop import RULES, FakeWorkshop, Shop

if TYPE_CHECKING:
    from piecewright.daemon.session import Session


def _claimed(shop: Shop) -> list[str]:
    return sorted(
        path.name for place in (shop.folders.done, shop.folders.failed) for path in place.glob(f"*/{DROP}/*")
    )


def _pass(shop: Shop, session: Session, seconds: float, step: float = 0.5) -> None:
    """Let time pass; events hint at once, as the watcher would."""
    for _ in range(round(seconds / step)):
        shop.clock.advance(step)
        session.intake.hint()
        session.tick()


def _take_letters(session: Session) -> None:
    """New rules, by which letters are drops too."""
    products = session.rulebook.products
    match = products[2].match.model_copy(update={"files": ("*.txt",)})
    letters = products[2].model_copy(update={"name": "Letters", "match": match})
    session.rulebook = session.rulebook.model_copy(update={"products": (*products, letters)})


def test_a_quiet_file_is_claimed_after_three_seconds_and_not_before(shop: Shop) -> None:
    shop.drop("runner.dst")
    with shop.session() as session:
        session.tick()
        _pass(shop, session, 2.5)
        assert _claimed(shop) == []
        _pass(shop, session, 1.0)
        assert _claimed(shop) == ["runner.dst"]


def test_a_file_written_in_chunks_of_a_tenth_of_a_second_is_claimed_whole(shop: Shop) -> None:
    with shop.session() as session:
        for number in range(60):
            with (shop.folders.inbox / "runner.dst").open("ab") as file:
                file.write(bytes([number]) * 100)
            _pass(shop, session, 0.1, 0.1)
            assert _claimed(shop) == []
        _pass(shop, session, 4.0)
    assert list(shop.originals()) == [b"".join(bytes([number]) * 100 for number in range(60))]
    assert _claimed(shop) == ["runner.dst"]


def test_a_file_closed_and_opened_again_three_times_is_claimed_once_and_whole(shop: Shop) -> None:
    with shop.session() as session:
        for part in (b"a", b"b", b"c"):
            with (shop.folders.inbox / "runner.dst").open("ab") as file:
                file.write(part)
            _pass(shop, session, 2.0)
        _pass(shop, session, 4.0)
    assert list(shop.originals()) == [b"abc"]
    assert len(shop.published()) == 1


def test_a_preallocated_copy_that_stalls_is_left_until_its_writer_closes_it(shop: Shop) -> None:
    with shop.session() as session, (shop.folders.inbox / "runner.dst").open("wb") as file:
        file.truncate(1000)
        file.flush()
        _pass(shop, session, 60.0)
        assert _claimed(shop) == []
        assert [reason for reason in session.notices() if "still open in another program" in reason]
        file.write(b"x" * 1000)
        file.close()
        _pass(shop, session, 4.0)
        assert _claimed(shop) == ["runner.dst"]
    assert list(shop.originals()) == [b"x" * 1000]


def test_a_writer_who_comes_back_after_the_claim_gets_his_whole_file_cut(shop: Shop) -> None:
    disk = RealDisk()
    workshop = FakeWorkshop(disk)
    late = iter([b" and the rest"])

    def write_late(folder: Path) -> None:
        with (folder / DROP / "runner.dst").open("ab") as file:
            file.write(next(late, b""))

    workshop.before = write_late
    shop.drop("runner.dst", b"the beginning")
    shop.run(disk, workshop)
    assert workshop.starts == ["runner.dst", "runner.dst"]
    assert list(shop.originals()) == [b"the beginning and the rest"]
    (done,) = shop.folders.done.iterdir()
    assert len(list(done.glob("attempt-*"))) == 1, "the one that was overtaken does not count"
    assert len(shop.published()) == 1


@pytest.mark.parametrize(
    "name", [".runner.dst.Xk3b9Q", "runner.dst.part", "runner.dst.crdownload", "~$runner.dst", "Thumbs.db"]
)
def test_a_temporary_name_is_never_claimed_until_it_is_renamed(shop: Shop, name: str) -> None:
    under_way = shop.drop(name)
    os.utime(under_way, (1e9, 1e9))
    with shop.session() as session:
        _pass(shop, session, 60.0)
        assert _claimed(shop) == []
        under_way.rename(shop.folders.inbox / "runner.dst")
        _pass(shop, session, 2.5)
        assert _claimed(shop) == [], "an old modification time does not make it older here"
        _pass(shop, session, 1.5)
        assert _claimed(shop) == ["runner.dst"]


def test_a_folder_made_first_and_filled_later_is_claimed_whole(shop: Shop) -> None:
    with shop.session() as session:
        folder = shop.folders.inbox / "folder"
        folder.mkdir()
        _pass(shop, session, 30.0)
        assert _claimed(shop) == []
        for name in ("a.dst", "b.dst", "inner/c.dst"):
            shop.drop(f"folder/{name}")
            _pass(shop, session, 8.0)
            assert _claimed(shop) == [], "each file begins the quiet time anew"
        _pass(shop, session, 3.0)
        assert _claimed(shop) == ["folder"]
    (done,) = shop.folders.done.iterdir()
    assert sum(path.is_file() for path in (done / DROP).rglob("*")) == 3


def test_a_folder_with_a_file_still_being_copied_waits_and_says_for_which(shop: Shop) -> None:
    shop.drop("folder/a.dst")
    part = shop.drop("folder/.b.dst.Xk3b9Q")
    with shop.session() as session:
        _pass(shop, session, 60.0)
        assert _claimed(shop) == []
        assert [notice for notice in session.notices() if ".b.dst.Xk3b9Q" in notice]
        part.rename(part.with_name("b.dst"))
        _pass(shop, session, 11.0)
        assert _claimed(shop) == ["folder"]


def test_a_tree_moved_in_at_once_is_claimed_after_ten_quiet_seconds(shop: Shop) -> None:
    tree = shop.folders.root.parent / "folder of old things"
    (tree / "inner").mkdir(parents=True)
    (tree / "inner" / "a.dst").write_bytes(b"a")
    with shop.session() as session:
        tree.rename(shop.folders.inbox / tree.name)
        _pass(shop, session, 9.5)
        assert _claimed(shop) == []
        _pass(shop, session, 1.5)
        assert _claimed(shop) == [tree.name]


def test_on_a_share_files_too_must_be_quiet_for_ten_seconds(tmp_path: Path) -> None:
    shop = Shop(tmp_path / "root", RULES.replace("settle_slow: 10 s", "settle_slow: 10 s, share: true"))
    shop.drop("runner.dst")
    with shop.session() as session:
        _pass(shop, session, 9.0)
        assert _claimed(shop) == []
        _pass(shop, session, 2.0)
        assert _claimed(shop) == ["runner.dst"]


@pytest.mark.parametrize("days", [-3650, 3650])
def test_a_calendar_that_jumps_changes_nothing(shop: Shop, days: int) -> None:
    shop.drop("runner.dst")
    with shop.session() as session:
        _pass(shop, session, 1.0)
        shop.clock.calendar += dt.timedelta(days=days)
        _pass(shop, session, 1.0)
        assert _claimed(shop) == []
        _pass(shop, session, 2.0)
        assert _claimed(shop) == ["runner.dst"]


def test_a_calendar_set_back_to_a_time_already_used_gives_new_job_ids(shop: Shop) -> None:
    start = shop.clock.calendar
    for _ in range(3):
        shop.clock.calendar = start
        shop.drop("runner.dst")
        shop.run()
    assert len(list(shop.folders.done.iterdir())) == 3
    assert len(shop.published()) == 3


def test_five_thousand_files_at_once_are_all_found_by_the_next_sweep(shop: Shop) -> None:
    for number in range(2500):
        shop.drop(f"copied-{number}.txt")
    moved = shop.folders.root.parent / "moved"
    moved.mkdir()
    for number in range(2500):
        (moved / f"moved-{number}.txt").write_bytes(b"x")
    with shop.session() as session:
        session.tick()
        assert session.intake.lying.entries == 2500
        for path in list(moved.iterdir()):
            path.rename(shop.folders.inbox / path.name)
        shop.clock.advance(5.0)
        session.tick()
        assert session.intake.lying.entries == 5000


def test_an_entry_taken_back_while_it_settles_is_forgotten(shop: Shop) -> None:
    path = shop.drop("runner.dst")
    with shop.session() as session:
        _pass(shop, session, 2.0)
        path.unlink()
        _pass(shop, session, 5.0)
        assert not session.intake.lying.entries
    assert not list(shop.folders.work.iterdir())


@pytest.mark.parametrize(
    "name",
    [
        b"na\xefve\xff.dst",
        "Häkeldeckchen ☂ 刺繍.dst".encode(),
        b"a" * 251 + b".dst",
        b"con.dst",
        b"-rf.dst",
        b"a\nb.dst",
        b"$(reboot).dst",
    ],
    ids=[
        "not UTF-8",
        "many scripts",
        "255 bytes",
        "reserved on Windows",
        "like an option",
        "a line break",
        "like a command",
    ],
)
def test_a_file_of_any_name_is_cut_and_its_folder_has_a_harmless_name(shop: Shop, name: bytes) -> None:
    path = shop.folders.inbox / os.fsdecode(name)
    path.write_bytes(b"x")
    shop.run()
    (folder,) = shop.published()
    folder.name.encode("utf-8")
    assert len(folder.name.encode()) <= 120
    assert not set(folder.name) & set('<>:"/\\|?*\n$()')
    (done,) = shop.folders.done.iterdir()
    assert [os.fsencode(path.name) for path in (done / DROP).iterdir()] == [name]
    assert os.fsencode(read_claim(done).name) == name


@pytest.mark.parametrize("kind", ["link", "dangling link", "pipe", "socket"])
def test_a_link_or_device_is_set_aside_unopened(shop: Shop, kind: str, tmp_path: Path) -> None:
    path = shop.folders.inbox / "odd.dst"
    secret = tmp_path / "secret"
    secret.write_bytes(b"secret")
    listener = socket.socket(socket.AF_UNIX)
    if kind == "pipe":
        os.mkfifo(path)
    elif kind == "socket":
        here = Path.cwd()
        os.chdir(shop.folders.inbox)  # socket paths are short
        listener.bind("odd.dst")
        os.chdir(here)
    else:
        path.symlink_to(secret if kind == "link" else tmp_path / "nothing")
    workshop = FakeWorkshop(RealDisk())
    shop.run(workshop=workshop)
    listener.close()
    assert workshop.starts == []
    (outcome,) = shop.outcomes
    assert outcome.status == "refused"
    assert os.path.lexists(outcome.folder / DROP / "odd.dst")
    assert secret.read_bytes() == b"secret"


def test_an_entry_that_no_product_takes_waits_and_says_so_until_the_rules_do(shop: Shop) -> None:
    shop.drop("letter.txt")
    with shop.session() as session:
        _pass(shop, session, 10.0)
        assert [notice for notice in session.notices() if "No product of the rules takes it" in notice]
        _take_letters(session)
        _pass(shop, session, 2.5)
        assert _claimed(shop) == [], "it was not looked at for a while, so that it settles first"
        _pass(shop, session, 1.5)
        assert _claimed(shop) == ["letter.txt"]


@pytest.mark.parametrize("becomes", ["folder", "link", "other file"])
def test_an_unwanted_name_stays_unwanted_whatever_takes_its_place(shop: Shop, becomes: str) -> None:
    path = shop.drop("letter.txt")
    with shop.session() as session:
        _pass(shop, session, 10.0)
        path.unlink()
        if becomes == "folder":
            shop.drop("letter.txt/runner.dst")
        elif becomes == "link":
            path.symlink_to(shop.folders.root)
        else:
            shop.drop("letter.txt", b"something else")
        _pass(shop, session, 20.0)
        assert _claimed(shop) == []
        assert session.intake.lying.entries == 1
        assert len(list(session.notices())) == 1


def test_an_unwanted_entry_renamed_to_a_wanted_name_settles_and_is_claimed(shop: Shop) -> None:
    path = shop.drop("letter.txt")
    with shop.session() as session:
        _pass(shop, session, 10.0)
        path.rename(path.with_suffix(".dst"))
        _pass(shop, session, 2.5)
        assert _claimed(shop) == []
        _pass(shop, session, 1.5)
        assert _claimed(shop) == ["letter.dst"]
        assert not list(session.notices())


def test_an_unwanted_entry_given_a_temporary_name_or_taken_away_is_forgotten(shop: Shop) -> None:
    paths = [shop.drop(name) for name in ("letter.txt", "list.txt")]
    with shop.session() as session:
        _pass(shop, session, 10.0)
        paths[0].rename(paths[0].with_name(".letter.txt"))
        paths[1].unlink()
        _pass(shop, session, 1.0)
        assert session.intake.lying.entries == 0
        assert not list(session.notices())


def test_an_unwanted_entry_written_to_while_new_rules_take_it_is_claimed_whole(shop: Shop) -> None:
    path = shop.drop("letter.txt", b"a")
    with shop.session() as session:
        _pass(shop, session, 10.0)
        _take_letters(session)
        for part in (b"b", b"c"):
            _pass(shop, session, 2.0)
            with path.open("ab") as file:
                file.write(part)
        _pass(shop, session, 2.5)
        assert _claimed(shop) == []
        _pass(shop, session, 1.5)
    assert list(shop.originals()) == [b"abc"]


def test_a_name_dropped_anew_after_its_claim_is_claimed_again(shop: Shop) -> None:
    with shop.session() as session:
        for data in (b"first", b"other", b"third"):
            shop.drop("runner.dst", data)
            _pass(shop, session, 4.0)
    assert sorted(shop.originals()) == [b"first", b"other", b"third"]
    assert len(shop.published()) == 3


@pytest.mark.parametrize("name", ["runner.dst", "folder/runner.dst"])
def test_a_writer_who_puts_the_time_back_after_each_write_is_noticed(shop: Shop, name: str) -> None:
    """File servers do so for a client that has set the time before it was through."""
    path = shop.drop(name, b"....")
    os.utime(path, (1e9, 1e9))
    with shop.session() as session:
        for place in range(4):
            _pass(shop, session, 2.5 if "/" not in name else 8.0)
            with path.open("r+b") as file:
                file.seek(place)
                file.write(b"x")
            os.utime(path, (1e9, 1e9))
        _pass(shop, session, 2.5)
        assert _claimed(shop) == []
        _pass(shop, session, 10.0)
        assert len(_claimed(shop)) == 1
    assert list(shop.originals()) == [b"xxxx"]


def test_a_tray_takes_every_name(shop: Shop) -> None:
    shop.drop("order/letter.txt")
    shop.drop("order/runner.dst")
    with shop.session() as session:
        _pass(shop, session, 25.0)
        assert _claimed(shop) == ["letter.txt", "runner.dst"]


def test_a_tree_deeper_than_anybody_sorts_designs_is_claimed_and_set_down_whole(shop: Shop) -> None:
    """Deeper than Python's own recursion reaches, and short enough for a path."""
    deepest = os.path.join(shop.folders.inbox, "folder")  # noqa: PTH118 - pathlib does not reach so deep
    for _ in range(1200):
        os.mkdir(deepest)  # noqa: PTH102 - likewise
        deepest += "/a"
    Path(deepest[:-2], "runner.dst").write_bytes(b"x")
    with shop.session() as session:
        _pass(shop, session, 24.0, 4.0)
        assert _claimed(shop) == ["folder"]
    assert len(shop.published()) == 1


def test_a_tree_whose_paths_are_too_long_waits_and_says_so(shop: Shop) -> None:
    inner = shop.folders.root.parent / "inner"
    inner.joinpath(*(["a" * 100] * 30)).mkdir(parents=True)
    middle = shop.folders.inbox.joinpath("folder", *(["b" * 200] * 6))
    middle.mkdir(parents=True)
    inner.rename(middle / "inner")
    with shop.session() as session:
        _pass(shop, session, 12.0)
        (notice,) = session.notices()
    assert "cannot be looked into (File name too long)" in notice
    (middle / "inner").rename(inner)


def test_a_tray_gathers_its_order_for_as_long_as_its_product_says(shop: Shop) -> None:
    shop.drop("order/a.dst")
    with shop.session() as session:
        _pass(shop, session, 10.0)
        shop.drop("order/b.dst")
        _pass(shop, session, 9.0)
        assert _claimed(shop) == []
        _pass(shop, session, 3.0)
        assert _claimed(shop) == ["a.dst", "b.dst"]
        shop.drop("order/c.dst")
        _pass(shop, session, 25.0)
    assert len(shop.published()) == 2


def test_trays_are_made_and_made_again(shop: Shop) -> None:
    with shop.session() as session:
        session.tick()
        (shop.folders.inbox / "order").rmdir()
        _pass(shop, session, 6.0)
        assert (shop.folders.inbox / "order").is_dir()
