"""One service's time on one root: everything that has to be done now, done by one ``tick``."""

from __future__ import annotations

import contextlib
from typing import TYPE_CHECKING

import structlog

from piecewright.daemon import housekeeping, recovery, telling
from piecewright.daemon.bench import Bench
from piecewright.daemon.claiming import Claiming
from piecewright.daemon.folders import LOCK, Folders, RootLost, identity, locked, prepare
from piecewright.daemon.foreman import Foreman
from piecewright.daemon.intake import Intake, make_trays, trays_of
from piecewright.daemon.ledger import Ledger
from piecewright.daemon.surroundings import Surroundings

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from piecewright.daemon.jobfolder import Claim
    from piecewright.daemon.outbox import Ready
    from piecewright.daemon.outcome import Outcome
    from piecewright.daemon.rulebook import Rulebook

_log = structlog.get_logger(__name__)


class Session:
    """A root that is held, with what is known of it."""

    def __init__(
        self,
        rulebook: Rulebook,
        *,
        tell: Callable[[Outcome], None],
        wake: Callable[[], None],
        around: Surroundings,
    ) -> None:
        """Take up what an earlier session has left; see ``opened``."""
        self.folders = Folders.of(rulebook.inbox)
        self.intake = Intake(inbox=self.folders.inbox, clock=around.clock)
        self._around = around
        self._tell = tell
        self.told = 0
        self._rulebook = rulebook
        self._ledger = Ledger.open(self.folders)
        self._held = self._what_is_held()
        self._left_alone: dict[str, str] = {}
        self._tidied = around.clock() - housekeeping.EVERY_S
        foreman = Foreman(
            disk=around.disk,
            clock=around.clock,
            today=around.today,
            workshop=around.workshop(wake),
            earlier=self._ledger.earlier,
        )
        self.bench = Bench(
            folders=self.folders,
            rulebook=rulebook,
            disk=around.disk,
            clock=around.clock,
            foreman=foreman,
            tell=self._record,
        )
        self._claiming = Claiming(
            folders=self.folders, intake=self.intake, bench=self.bench, around=around, take_up=self._take_up
        )

    @classmethod
    @contextlib.contextmanager
    def opened(
        cls,
        rulebook: Rulebook,
        *,
        tell: Callable[[Outcome], None],
        wake: Callable[[], None],
        around: Surroundings | None = None,
    ) -> Iterator[Session]:
        """Hold the root of the rules, recover, and let go in the end.

        Raises:
            FolderError: If the folders cannot be used, or another service uses them.
        """
        prepare(Folders.of(rulebook.inbox))
        with locked(Folders.of(rulebook.inbox)):
            session = cls(rulebook, tell=tell, wake=wake, around=around or Surroundings())
            try:
                session.recover()
                yield session
            finally:
                session.close()

    @property
    def is_through(self) -> bool:
        """Whether nothing can be done before somebody mends something or drops something."""
        if any(path not in self.intake.waiting for path in self.intake.lying.settling):
            return False
        return all(job.put_off for job in self.bench.jobs.values())

    @property
    def rulebook(self) -> Rulebook:
        """The rules for what is claimed from now on; what is claimed keeps the rules it was claimed by."""
        return self._rulebook

    @rulebook.setter
    def rulebook(self, rulebook: Rulebook) -> None:
        self._rulebook = self.bench.rulebook = rulebook
        self.intake.hint()

    def recover(self) -> None:
        """Take up the jobs that lie in work/."""
        make_trays(self.folders.inbox, trays_of(self._rulebook))
        housekeeping.sweep_out(self._around.disk, self.folders)
        self._take_up()

    def close(self) -> None:
        """End what runs."""
        try:
            self.bench.stop()
        finally:
            self._ledger.close()

    def tick(self, *, claim: bool = True) -> None:
        """Do all that can be done now.

        Args:
            claim: Whether drops may be claimed; not while the service is about to stop.

        Raises:
            RootLost: If the root is gone or replaced.
            OSError: If the inbox cannot be looked through, or a folder cannot be made again.
        """
        self._look_after_folders()
        self.bench.tend()
        if claim:
            self.intake.sweep_if_due(self._rulebook)
            self._claiming.while_there_is_room(self._rulebook)
        self._tidy()

    def next_due(self) -> float:
        """Monotonic time of the next tick, if nothing wakes the loop before."""
        dues = (
            self.intake.next_sweep(self._rulebook),
            self.intake.next_ripe(self._rulebook),
            self.bench.next_due(),
        )
        return min(due for due in dues if due is not None)

    def ailments(self) -> tuple[str, ...]:
        """Why the service is not well; systemd is told that it is alive only while there are none."""
        found = []
        swept = self.intake.last_sweep
        if swept is None or self._around.clock() - swept > 3 * self._rulebook.inbox.sweep + 10:
            found.append("the inbox was not looked through for too long")
        if identity(self.folders.inbox) is None:
            found.append("the inbox is gone")
        if self.bench.is_stuck:
            found.append("a worker could not be ended")
        return tuple(found)

    def notices(self) -> Iterator[str]:
        """What the operator should see, one sentence each."""
        left = {name: why for name, why in self._left_alone.items() if (self.folders.work / name).exists()}
        return telling.notices(self.intake, left, self.bench.jobs.values())

    def left_waiting(self) -> Iterator[Outcome]:
        """What would be left behind if the session ended now."""
        return telling.left_waiting(self.intake, self.bench.jobs.values())

    def _take_up(self) -> None:
        self._left_alone.clear()
        for claim in recovery.take_up(
            self._around.disk, self.folders, known=self.bench.jobs, left=self._left_alone
        ):
            self.bench.add(claim)

    def _look_after_folders(self) -> None:
        """Make again what was deleted under the root; a lost root may be a drive that comes back."""
        if self._held != self._what_is_held():
            raise RootLost(self.folders.root)
        for folder in self.folders.all():
            if not folder.is_dir():
                _log.warning("folder made again", folder=str(folder))
                folder.mkdir()

    def _what_is_held(self) -> tuple[object, object]:
        """Without its lock another service could take the root."""
        return identity(self.folders.root), identity(self.folders.root / LOCK)

    def _tidy(self) -> None:
        now = self._around.clock()
        if now - self._tidied < housekeeping.EVERY_S:
            return
        self._tidied = now
        try:
            housekeeping.tidy(
                self._around.disk, self.folders, self._rulebook.keep, self._around.today().timestamp()
            )
        except OSError as error:
            _log.warning("housekeeping failed", message=str(error))

    def _record(self, outcome: Outcome, claim: Claim, ready: Ready | None) -> None:
        self._ledger.record(outcome, claim, ready)
        self.told += 1
        self._tell(outcome)
