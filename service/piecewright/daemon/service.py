"""The service: watch an inbox until told to stop.

Everything is wired here; the parts get folders, clocks and wake-ups as arguments.
"""

from __future__ import annotations

import contextlib
import signal
import threading
from typing import TYPE_CHECKING, Final

import structlog

from piecewright.cutting.errors import RulesError
from piecewright.daemon import logs
from piecewright.daemon.board import Board
from piecewright.daemon.folders import FolderError, RootLost
from piecewright.daemon.health import Notifier
from piecewright.daemon.printable import printable
from piecewright.daemon.rulewatch import RuleWatch
from piecewright.daemon.session import Session
from piecewright.daemon.surroundings import Surroundings
from piecewright.daemon.watcher import Watcher

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from piecewright.daemon.rulebook import Rulebook

STOP_WITHIN_S: Final = 20.0
"""Jobs in work may still finish for so long when the service is told to stop; the unit allows 45 s."""
_ROOT_BACK_S: Final = 2.0
"""How often a lost root is looked for."""
LONGEST_WAIT_S: Final = 5.0
"""systemd and the rules file want attention at least this often."""
_FAULT_PAUSE_S: Final = 1.0
"""While the folders cannot be used they are tried no more often, whatever events come."""

_log = structlog.get_logger(__name__)


def watch(rulebook_path: Path, *, root: Path | None = None, around: Surroundings | None = None) -> int:
    """Watch the inbox until SIGTERM or SIGINT, and give the exit code.

    Args:
        rulebook_path: The rules; edits are taken over while the service runs.
        root: Puts the five folders there whatever the rules say.
        around: Disk, clocks and workers; those of this machine if left out.

    Raises:
        RulesError: If the rules cannot be used at the start, and no good ones were kept.
        FolderError: If the folders cannot be used, or another service uses them.
    """
    logs.set_up(beside=root or rulebook_path.parent)
    try:
        rules = RuleWatch(rulebook_path, root=root)
    except RulesError as error:
        _log.error("rules cannot be used", message=str(error))
        raise
    service = Service(rules, Notifier(), around or Surroundings())
    with _signals(service.stop):
        service.run()
    return 0


class Service:
    """Sessions, one after another, until told to stop; a new one when the rules move the folders."""

    def __init__(self, rules: RuleWatch, notifier: Notifier, around: Surroundings) -> None:
        """Take what it needs; ``run`` begins."""
        self._rules = rules
        self._notifier = notifier
        self._around = around
        self._wake = threading.Event()
        self._stop = threading.Event()
        self._ailments: tuple[str, ...] = ()

    def stop(self) -> None:
        """End soon; may be called from a signal handler or another thread."""
        self._stop.set()
        self._wake.set()

    def run(self) -> None:
        """Serve until told to stop.

        Raises:
            FolderError: If the folders cannot be used, or another service uses them.
        """
        while not self._stop.is_set():
            rulebook = self._rules.rulebook
            try:
                self._serve(rulebook)
            except RootLost:
                _log.error("root lost", root=str(rulebook.inbox.root))
                self._wait_for(rulebook.inbox.root)
            except FolderError as error:
                if not self._rules.go_back(error):
                    raise
        self._notifier.stopping()

    def _serve(self, rulebook: Rulebook) -> None:
        """One session: until told to stop, the root is lost or the rules name other folders."""
        with Session.opened(
            rulebook, tell=lambda _outcome: None, wake=self._wake.set, around=self._around
        ) as session:
            watcher = None if rulebook.inbox.share else Watcher(session.folders.inbox, self._hint(session))
            board = Board(self._rules.name, session, self._around.clock)
            self._notifier.ready(f"watching {session.folders.inbox}")
            _log.info("watching", inbox=str(session.folders.inbox))
            try:
                while not self._stop.is_set() and self._rules.rulebook.inbox == rulebook.inbox:
                    self._turn(session, watcher, board)
                self._drain(session)
                board.write_now()
            finally:
                if watcher is not None:
                    watcher.stop()

    def _turn(self, session: Session, watcher: Watcher | None, board: Board) -> None:
        self._wake.clear()
        self._rules.keep(self._around.disk)
        if self._rules.look():
            session.rulebook = self._rules.rulebook
        board.rules_fault = self._rules.fault
        if watcher is not None and watcher.tend():
            session.intake.hint()
        fault = self._tick(session)
        ailments = (*fault, *session.ailments())
        board.notices = (*ailments, *((watcher.trouble,) if watcher is not None and watcher.trouble else ()))
        board.write_if_changed()
        if ailments != self._ailments:
            self._ailments = ailments
            _log.warning("not well" if ailments else "well again", ailments=ailments)
        if not ailments:
            self._notifier.alive(
                f"{session.bench.running} in work, {session.intake.lying.entries} in the inbox"
            )
        wait = min(session.next_due() - self._around.clock(), LONGEST_WAIT_S)
        self._wake.wait(max(_FAULT_PAUSE_S if fault else 0.0, wait))

    def _tick(self, session: Session, *, claim: bool = True) -> tuple[str, ...]:
        """Do what can be done; a disk that does not let us is an ailment, and may be mended meanwhile."""
        try:
            session.tick(claim=claim)
        except OSError as error:
            why = printable(": ".join(filter(None, (error.strerror or str(error), error.filename))))
            return (f"The folders cannot be used ({why}). It goes on once that is mended.",)
        return ()

    def _hint(self, session: Session) -> Callable[[], None]:
        def hint() -> None:
            session.intake.hint()
            self._wake.set()

        return hint

    def _drain(self, session: Session) -> None:
        """Let jobs in work finish for a while; what does not is taken up by the next service."""
        self._notifier.stopping()
        end = self._around.clock() + STOP_WITHIN_S
        while session.bench.running and self._around.clock() < end:
            self._wake.clear()
            self._tick(session, claim=False)
            self._wake.wait(min(1.0, max(0.0, end - self._around.clock())))

    def _wait_for(self, root: Path) -> None:
        """Wait without a sign of life, so that systemd restarts us if it takes long."""
        while not root.is_dir() and not self._stop.is_set():
            self._stop.wait(_ROOT_BACK_S)


@contextlib.contextmanager
def _signals(stop: Callable[[], None]) -> Iterator[None]:
    """Call ``stop`` on SIGTERM and SIGINT meanwhile."""

    def handle(_number: int, _frame: object) -> None:
        stop()

    numbers = (signal.SIGTERM, signal.SIGINT)
    before = [signal.signal(number, handle) for number in numbers]
    try:
        yield
    finally:
        for number, handler in zip(numbers, before, strict=True):
            signal.signal(number, handler)
