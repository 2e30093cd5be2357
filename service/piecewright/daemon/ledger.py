"""The ledger: what became of every drop, for history, duplicates and ``piecewright status``.

It is a convenience. Nothing that keeps drops safe reads it, and when it is lost or damaged it is written
anew from done/ and failed/.
"""

from __future__ import annotations

import contextlib
import sqlite3
from typing import TYPE_CHECKING, Self

import structlog

from piecewright.daemon.folders import identity
from piecewright.daemon.ledgerfile import (
    COLUMNS,
    INSERT,
    LEDGER,
    Row,
    anew,
    made_up,
    path_of,
    readable,
    row_of,
    usable,
    values_of,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from piecewright.daemon.folders import Folders
    from piecewright.daemon.jobfolder import Claim
    from piecewright.daemon.outbox import Ready
    from piecewright.daemon.outcome import Outcome

__all__ = ["LEDGER", "Ledger", "Row"]

_log = structlog.get_logger(__name__)


class Ledger:
    """The open ledger; when it fails it says so in the log and the work goes on."""

    def __init__(self, folders: Folders, connection: sqlite3.Connection) -> None:
        """Take over an open connection to a database that has the table."""
        self._folders = folders
        self._connection = connection
        self._file = identity(path_of(folders))

    @classmethod
    def open(cls, folders: Folders) -> Self:
        """Open the ledger of a root; write it anew if it is lost, damaged or of another edition."""
        return cls(folders, usable(folders))

    @classmethod
    def look(cls, folders: Folders) -> Self:
        """Open it for reading alone, beside a service that writes it; made up in memory if it is no good."""
        return cls(folders, readable(folders) or made_up(folders))

    def record(self, outcome: Outcome, claim: Claim, ready: Ready | None) -> None:
        """Write down what became of a job; again if it is known already."""
        values = values_of(row_of(outcome, claim, ready))
        with _tolerated():
            if self._file != identity(path_of(self._folders)):
                self._begin_afresh()
            try:
                self._insert(values)
            except sqlite3.OperationalError:
                raise
            except sqlite3.DatabaseError:  # damaged while it was open
                self._begin_afresh()
                self._insert(values)

    def _insert(self, values: tuple[str | int, ...]) -> None:
        with self._connection:
            self._connection.execute(INSERT, values)

    def _begin_afresh(self) -> None:
        self._connection.close()
        self._connection = anew(self._folders)
        self._file = identity(path_of(self._folders))

    def earlier(self, content: str, rules: str) -> tuple[str, ...]:
        """Jobs that cut the same content by the same rules, the oldest first."""
        with _tolerated():
            query = "SELECT job FROM jobs WHERE content = ? AND rules = ? ORDER BY job"
            return tuple(job for (job,) in self._connection.execute(query, (content, rules)))
        return ()

    def latest(self, most: int) -> tuple[Row, ...]:
        """The newest jobs, the newest first."""
        with _tolerated():
            query = f"SELECT {', '.join(COLUMNS)} FROM jobs ORDER BY job DESC LIMIT ?"  # noqa: S608 - our own names
            return tuple(
                Row(**dict(zip(COLUMNS, row, strict=True)))
                for row in self._connection.execute(query, (most,))
            )
        return ()

    def counts(self) -> dict[str, int]:
        """How many jobs ended in each status."""
        with _tolerated():
            return dict(
                self._connection.execute("SELECT status, count(*) FROM jobs GROUP BY status ORDER BY status")
            )
        return {}

    def close(self) -> None:
        """Close the file."""
        self._connection.close()


@contextlib.contextmanager
def _tolerated() -> Iterator[None]:
    """The ledger is never worth stopping the work."""
    try:
        yield
    except sqlite3.Error as error:
        _log.warning("ledger failed", message=str(error))
