"""Wake-ups, and how they come back after everything that has been seen to end them."""

from __future__ import annotations

import errno
import threading
from typing import TYPE_CHECKING

import pytest
from watchdog.observers import Observer
from watchdog.observers.api import BaseObserver, EventEmitter

from piecewright.daemon.watcher import Watcher
from tests.daemon.waiting import until

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

PATIENCE_S = 10.0


class Watched:
    """A watched folder, and the last observer made for it."""

    def __init__(self, folder: Path) -> None:
        """Watch a folder."""
        self.folder = folder
        self.folder.mkdir()
        self.woken = threading.Event()
        self.observers: list[BaseObserver] = []
        self.watcher = Watcher(folder, self.wake, self._observer)
        self.watcher.tend()

    def wake(self) -> None:
        self.woken.set()

    def wakes(self, deed: Callable[[], object]) -> bool:
        self.woken.clear()
        deed()
        return self.woken.wait(PATIENCE_S)

    def heals(self) -> None:
        """It is built anew, and wakes again."""
        assert until(self.watcher.tend, within=PATIENCE_S)
        assert self.watcher.trouble == ""
        assert self.wakes(lambda: (self.folder / "after.dst").write_bytes(b"x"))
        assert not self.watcher.tend(), "it is well now"

    def _observer(self) -> BaseObserver:
        self.observers.append(Observer())
        return self.observers[-1]


@pytest.fixture
def watched(tmp_path: Path) -> Iterator[Watched]:
    made = Watched(tmp_path / "inbox")
    yield made
    made.watcher.stop()


def test_whatever_happens_in_the_folder_or_below_wakes(watched: Watched, tmp_path: Path) -> None:
    file = watched.folder / "a.dst"
    assert watched.wakes(lambda: file.write_bytes(b"x"))
    assert watched.wakes(lambda: file.rename(watched.folder / "b.dst"))
    assert watched.wakes((watched.folder / "b.dst").unlink)
    (tmp_path / "outside.dst").write_bytes(b"x")
    assert watched.wakes(lambda: (tmp_path / "outside.dst").rename(watched.folder / "inside.dst"))
    (watched.folder / "tray").mkdir()
    assert watched.wakes(lambda: (watched.folder / "tray" / "c.dst").write_bytes(b"x"))


def test_a_dead_emitter_is_noticed_and_built_anew(watched: Watched) -> None:
    (emitter,) = watched.observers[-1].emitters
    emitter.stop()
    emitter.join()
    watched.heals()


def test_a_dead_observer_is_noticed_and_built_anew(watched: Watched) -> None:
    watched.observers[-1].stop()
    watched.observers[-1].join()
    watched.heals()


@pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")
def test_a_handler_that_raises_ends_a_thread_and_it_is_built_anew(tmp_path: Path) -> None:
    watched = Watched(tmp_path / "inbox")
    healthy = watched.watcher

    def raising() -> None:
        message = "a slip of ours"
        raise RuntimeError(message)

    faulty = Watcher(watched.folder, raising, watched._observer)  # noqa: SLF001 - the test's own helper
    faulty.tend()
    (watched.folder / "a.dst").write_bytes(b"x")
    until(lambda: not watched.observers[-1].is_alive(), within=PATIENCE_S)
    assert faulty.tend()
    faulty.stop()
    healthy.stop()


def test_a_folder_that_was_removed_and_made_again_is_watched_again(watched: Watched) -> None:
    watched.folder.rmdir()
    watched.folder.mkdir()
    watched.heals()


def test_a_folder_that_was_renamed_and_replaced_is_watched_again(watched: Watched, tmp_path: Path) -> None:
    watched.folder.rename(tmp_path / "old inbox")
    watched.folder.mkdir()
    watched.heals()


def test_while_the_folder_is_gone_there_is_trouble_but_no_error(watched: Watched) -> None:
    watched.folder.rmdir()
    assert not watched.watcher.tend()
    assert "no wake-ups" in watched.watcher.trouble
    watched.folder.mkdir()
    watched.heals()


def test_without_watches_left_there_is_trouble_until_there_are_some(tmp_path: Path) -> None:
    class NoWatches(BaseObserver):
        def __init__(self) -> None:
            super().__init__(EventEmitter)

        def schedule(self, *_arguments: object, **_options: object) -> None:  # type: ignore[override]  # it only raises
            raise OSError(errno.ENOSPC, "inotify watch limit reached")

    left = iter([NoWatches, NoWatches])

    def new_observer() -> BaseObserver:
        return next(left, Observer)()

    watcher = Watcher(tmp_path, lambda: None, new_observer)
    assert not watcher.tend()
    assert "inotify watch limit reached" in watcher.trouble
    assert not watcher.tend()
    assert watcher.tend()
    assert watcher.trouble == ""
    watcher.stop()
