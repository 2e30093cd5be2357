"""The board: brings the index of the outbox up to date when something has changed."""

from __future__ import annotations

import datetime as dt
import time
from typing import TYPE_CHECKING, Final

import structlog

if TYPE_CHECKING:
    from collections.abc import Callable

    from piecewright.daemon.session import Session

_AGAIN_S: Final = 5.0
"""After a failure; a full disk is not made better by trying at every tick."""

_log = structlog.get_logger(__name__)


class Board:
    """What the index of a session is to show, and whether it does yet.

    Attributes:
        rules_fault: Why the newest edit of the rules is not in force, "" if it is.
        notices: What else the operator should see.
    """

    def __init__(
        self, rules_name: str, session: Session, clock: Callable[[], float] = time.monotonic
    ) -> None:
        """Nothing is written yet."""
        self.rules_fault = ""
        self.notices: tuple[str, ...] = ()
        self._rules_name = rules_name
        self._session = session
        self._shown: object = None
        self._clock = clock
        self._not_before = 0.0
        self._fault = ""

    def write_if_changed(self) -> None:
        """Write the index if it would say something new."""
        state = (
            self.rules_fault,
            self.notices,
            tuple(self._session.notices()),
            self._session.told,
            tuple((job.claim.job, job.worker is not None) for job in self._session.bench.jobs.values()),
            id(self._session.rulebook),
        )
        now = self._clock()
        if state != self._shown and now >= self._not_before:
            self._shown = state if self.write_now() else None
            self._not_before = now if self._shown else now + _AGAIN_S

    def write_now(self) -> bool:
        """Write the index; a failure costs nothing but the index.

        Returns:
            Whether it was written.
        """
        from piecewright.daemon.index import IndexState, rebuild  # noqa: PLC0415 - templates are slow to load

        folders = self._session.folders
        state = IndexState(
            rules_name=self._rules_name,
            rulebook=self._session.rulebook,
            rules_fault=self.rules_fault,
            notices=(*self.notices, *self._session.notices()),
        )
        try:
            now = dt.datetime.now(dt.UTC).astimezone()
            rebuild(folders.outbox, work=folders.work, failed=folders.failed, state=state, now=now)
        except OSError as error:
            if self._fault != str(error):
                self._fault = str(error)
                _log.warning("index not written", message=self._fault)
            return False
        self._fault = ""
        return True
