"""The ledger: what became of every drop, for history, duplicates and ``piecewright status``.

It is a convenience. Nothing that keeps drops safe reads it, and when it is lost or damaged it is written
anew from done/ and failed/.
"""

from __future__ import annotations

import contextlib
import sqlite3
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Self

import structlog

from piecewright.daemon import claims
from piecewright.daemon.outbox import Ready
from piecewright.daemon.outcome import Outcome, of_ready, of_refusal, printable

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from piecewright.daemon.claims import Claim
    from piecewright.daemon.folders import Folders

LEDGER: Final = ".piecewright-ledger.sqlite3"
_EDITION: Final = 1
"""Changes when the table does; a ledger of another edition is written anew."""

_TABLE: Final = """
CREATE TABLE IF NOT EXISTS jobs (
    job TEXT PRIMARY KEY, name TEXT NOT NULL, tray TEXT NOT NULL, product TEXT NOT NULL,
    status TEXT NOT NULL, claimed TEXT NOT NULL, folder TEXT NOT NULL, message TEXT NOT NULL,
    pieces INTEGER NOT NULL, mats INTEGER NOT NULL, findings INTEGER NOT NULL,
    content TEXT NOT NULL, rules TEXT NOT NULL
);
CREATE INDEX IF NOT EXISTS jobs_by_content ON jobs (content, rules);
"""

_log = structlog.get_logger(__name__)


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One job as the ledger keeps it; the columns of its table."""

    job: str
    name: str
    tray: str
    product: str
    status: str
    claimed: str
    folder: str
    message: str
    pieces: int
    mats: int
    findings: int
    content: str
    rules: str


class Ledger:
    """The open ledger; when it fails it says so in the log and the work goes on."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        """Take over an open connection to a database that has the table."""
        self._connection = connection

    @classmethod
    def open(cls, folders: Folders) -> Self:
        """Open the ledger of a root; write it anew if it is lost, damaged or of another edition."""
        path = folders.root / LEDGER
        known = path.exists()
        try:
            ledger = cls(_connect(path))
            if known and ledger.edition() == _EDITION:
                return ledger
            ledger.close()
        except sqlite3.DatabaseError:
            _log.warning("ledger damaged", path=str(path))
        return cls._anew(path, folders)

    @classmethod
    def _anew(cls, path: Path, folders: Folders) -> Self:
        for ending in ("", "-wal", "-shm"):
            path.with_name(path.name + ending).unlink(missing_ok=True)
        ledger = cls(_connect(path))
        rows = list(_rows(folders))
        with ledger._connection:
            ledger._connection.executemany(_INSERT, [_values(row) for row in rows])
            ledger._connection.execute(f"PRAGMA user_version = {_EDITION}")
        if rows:
            _log.info("ledger written anew", jobs=len(rows))
        return ledger

    def edition(self) -> int:
        """The edition of the table in the file."""
        (edition,) = self._connection.execute("PRAGMA user_version").fetchone()
        return int(edition)

    def record(self, outcome: Outcome, claim: Claim, ready: Ready | None) -> None:
        """Write down what became of a job; again if it is known already."""
        with _tolerated(), self._connection:
            self._connection.execute(_INSERT, _values(_row(outcome, claim, ready)))

    def earlier(self, content: str, rules: str) -> tuple[str, ...]:
        """Jobs that cut the same content by the same rules, the oldest first."""
        with _tolerated():
            query = "SELECT job FROM jobs WHERE content = ? AND rules = ? ORDER BY job"
            return tuple(job for (job,) in self._connection.execute(query, (content, rules)))
        return ()

    def latest(self, most: int) -> tuple[Row, ...]:
        """The newest jobs, the newest first."""
        with _tolerated():
            query = f"SELECT {', '.join(_COLUMNS)} FROM jobs ORDER BY job DESC LIMIT ?"  # noqa: S608 - our own names
            return tuple(
                Row(**dict(zip(_COLUMNS, row, strict=True)))
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


_COLUMNS: Final = tuple(Row.__dataclass_fields__)
_MARKS: Final = ", ".join("?" * len(_COLUMNS))
_NAMES: Final = ", ".join(_COLUMNS)
_INSERT: Final = f"INSERT OR REPLACE INTO jobs ({_NAMES}) VALUES ({_MARKS})"  # noqa: S608 - our own names


def _connect(path: Path) -> sqlite3.Connection:
    connection = sqlite3.connect(path, timeout=5.0)
    try:
        connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("PRAGMA synchronous = NORMAL")
        connection.executescript(_TABLE)
    except sqlite3.Error:
        connection.close()
        raise
    return connection


@contextlib.contextmanager
def _tolerated() -> Iterator[None]:
    """The ledger is never worth stopping the work."""
    try:
        yield
    except sqlite3.Error as error:
        _log.warning("ledger failed", message=str(error))


def _row(outcome: Outcome, claim: Claim, ready: Ready | None) -> Row:
    return Row(
        job=claim.job,
        name=printable(claim.name),
        tray=printable(claim.tray),
        product=claim.product,
        status=outcome.status,
        claimed=claim.claimed,
        folder=printable(str(outcome.folder)),
        message=printable(outcome.message),
        pieces=outcome.pieces,
        mats=outcome.mats,
        findings=outcome.findings,
        content=ready.content if ready is not None else "",
        rules=ready.rules if ready is not None else "",
    )


def _values(row: Row) -> tuple[str | int, ...]:
    return tuple(getattr(row, column) for column in _COLUMNS)


def _rows(folders: Folders) -> Iterator[Row]:
    """Every job that done/ and failed/ still know of."""
    for home in (folders.done, folders.failed):
        for folder in sorted(home.iterdir()):
            try:
                yield _read_row(folder, folders)
            except (OSError, ValueError):  # something that an operator has put there
                continue


def _read_row(folder: Path, folders: Folders) -> Row:
    claim = claims.read_claim(folder)
    if folder.parent == folders.failed:
        return _row(of_refusal(claims.read_report(folder), claim, folders.failed), claim, None)
    ready = Ready.read(folder)
    return _row(of_ready(ready, claim, folders.outbox), claim, ready)
