"""Wake-ups from the file system; never the truth about what lies there.

Terms: an *observer* is watchdog's thread that hands events on, an *emitter* one that reads them from the
system. Either can die without a word, so that both are looked after here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from watchdog.events import FileSystemEvent, FileSystemEventHandler
from watchdog.observers import Observer

from piecewright.daemon.folders import identity

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from watchdog.observers.api import BaseObserver

_READING = frozenset({"opened", "closed_no_write"})
"""Events of somebody who only reads, such as ourselves."""


class Watcher:
    """Calls ``wake`` when something happens in a folder, and heals itself.

    Attributes:
        built: How often its threads have been made.
    """

    def __init__(
        self, folder: Path, wake: Callable[[], None], observer: Callable[[], BaseObserver] = Observer
    ) -> None:
        """Watch nothing yet; ``tend`` begins. ``observer`` makes a new one."""
        self._new_observer = observer
        self._folder = folder
        self._handler = _Handler(wake)
        self._observer: BaseObserver | None = None
        self._watched: tuple[int, int] | None = None
        self._trouble = "not started"
        self.built = 0

    @property
    def trouble(self) -> str:
        """Why there are no wake-ups now; "" if there are."""
        return self._trouble

    def tend(self) -> bool:
        """Make sure that both threads live and watch the folder that is there now.

        Returns:
            Whether the watcher had to be built anew, so that events may have been missed.
        """
        if self._is_well():
            return False
        self.stop()
        self._watched = identity(self._folder)
        observer = self._new_observer()
        try:
            observer.schedule(self._handler, str(self._folder), recursive=True)
            observer.start()
        except (OSError, RuntimeError) as error:  # gone, or no watches left; sweeps go on without
            self._trouble = f"no wake-ups from {self._folder}: {error}"
            return False
        self._observer = observer
        self.built += 1
        self._trouble = ""
        return True

    def stop(self) -> None:
        """End both threads."""
        observer, self._observer = self._observer, None
        if observer is not None and observer.is_alive():
            observer.stop()
            observer.join(timeout=5)

    def _is_well(self) -> bool:
        observer = self._observer
        if observer is None or not observer.is_alive() or not observer.emitters:
            return False
        alive = all(emitter.is_alive() for emitter in observer.emitters)
        return alive and identity(self._folder) == self._watched


class _Handler(FileSystemEventHandler):
    def __init__(self, wake: Callable[[], None]) -> None:
        self._wake = wake

    def dispatch(self, event: FileSystemEvent) -> None:
        """Any change wakes; which one does not matter."""
        if event.event_type not in _READING:
            self._wake()
