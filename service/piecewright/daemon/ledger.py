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
from piecewright.daemon.folders import identity
from piecewright.daemon.outbox import Ready
from piecewright.daemon.outcome import Outcome, of_ready, of_refusal, printable, printable_lines

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from piecewright.daemon.claims import Claim
    from piecewright.daemon.folders import Folders

LEDGER: Final = ".piecewright-ledger.sqlite3"
_PATIENCE_S: Final = 5.0
"""Another process may be writing; it never takes so long."""
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

    def __init__(self, folders: Folders, connection: sqlite3.Connection) -> None:
        """Take over an open connection to a database that has the table."""
        self._folders = folders
        self._connection = connection
        self._file = identity(_path(folders))

    @classmethod
    def open(cls, folders: Folders) -> Self:
        """Open the ledger of a root; write it anew if it is lost, damaged or of another edition."""
        return cls(folders, _usable(folders))

    @classmethod
    def look(cls, folders: Folders) -> Self:
        """Open it for reading alone, beside a service that writes it; made up in memory if it is no good."""
        return cls(folders, _readable(folders) or _made_up(folders))

    def record(self, outcome: Outcome, claim: Claim, ready: Ready | None) -> None:
        """Write down what became of a job; again if it is known already."""
        values = _values(_row(outcome, claim, ready))
        with _tolerated():
            if self._file != identity(_path(self._folders)):
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
            self._connection.execute(_INSERT, values)

    def _begin_afresh(self) -> None:
        self._connection.close()
        self._connection = _anew(self._folders)
        self._file = identity(_path(self._folders))

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


def _path(folders: Folders) -> Path:
    return folders.root / LEDGER


def _usable(folders: Folders) -> sqlite3.Connection:
    """The ledger as it is, or written anew; in memory if the disk takes none."""
    path = _path(folders)
    known = path.exists()
    try:
        connection = _connect(str(path))
        if known and _edition(connection) == _EDITION:
            return connection
        connection.close()
    except sqlite3.OperationalError as error:  # locked or not to be written: that is no reason to remove it
        _log.warning("ledger cannot be used", path=str(path), message=str(error))
        return _made_up(folders)
    except sqlite3.DatabaseError:
        _log.warning("ledger damaged", path=str(path))
    return _anew(folders)


def _readable(folders: Folders) -> sqlite3.Connection | None:
    connection = None
    try:
        connection = sqlite3.connect(f"{_path(folders).as_uri()}?mode=ro", timeout=_PATIENCE_S, uri=True)
        if _edition(connection) == _EDITION:
            return connection
    except sqlite3.Error as error:
        _log.debug("ledger not readable", message=str(error))
    if connection is not None:
        connection.close()
    return None


def _anew(folders: Folders) -> sqlite3.Connection:
    path = _path(folders)
    try:
        for ending in ("", "-wal", "-shm"):
            path.with_name(path.name + ending).unlink(missing_ok=True)
        connection = _connect(str(path))
    except (OSError, sqlite3.Error) as error:
        _log.warning("ledger cannot be written", path=str(path), message=str(error))
        return _made_up(folders)
    return _filled(connection, folders)


def _made_up(folders: Folders) -> sqlite3.Connection:
    return _filled(_connect(":memory:"), folders)


def _filled(connection: sqlite3.Connection, folders: Folders) -> sqlite3.Connection:
    rows = list(_rows(folders))
    with connection:
        connection.executemany(_INSERT, [_values(row) for row in rows])
        connection.execute(f"PRAGMA user_version = {_EDITION}")
    if rows:
        _log.info("ledger written anew", jobs=len(rows))
    return connection


def _edition(connection: sqlite3.Connection) -> int:
    """The edition of the table in the file."""
    (edition,) = connection.execute("PRAGMA user_version").fetchone()
    return int(edition)


def _connect(where: str) -> sqlite3.Connection:
    connection = sqlite3.connect(where, timeout=_PATIENCE_S)
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
        message=printable_lines(outcome.message),
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
        for folder in sorted(home.iterdir()) if home.is_dir() else ():
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
