"""The file of the ledger: its table, and how it is opened, or made again from done/ and failed/."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import structlog

from piecewright.daemon import jobfolder
from piecewright.daemon.outbox import Ready
from piecewright.daemon.outcome import Outcome, of_ready, of_refusal
from piecewright.daemon.printable import printable, printable_lines

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from piecewright.daemon.folders import Folders
    from piecewright.daemon.jobfolder import Claim

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


COLUMNS: Final = tuple(Row.__dataclass_fields__)
_MARKS: Final = ", ".join("?" * len(COLUMNS))
_NAMES: Final = ", ".join(COLUMNS)
INSERT: Final = f"INSERT OR REPLACE INTO jobs ({_NAMES}) VALUES ({_MARKS})"  # noqa: S608 - our own names


def path_of(folders: Folders) -> Path:
    """Where the ledger of a root lies."""
    return folders.root / LEDGER


def usable(folders: Folders) -> sqlite3.Connection:
    """The ledger as it is, or written anew; in memory if the disk takes none."""
    path = path_of(folders)
    known = path.exists()
    try:
        connection = _connect(str(path))
        if known and _edition(connection) == _EDITION:
            return connection
        connection.close()
    except sqlite3.OperationalError as error:  # locked or not to be written: that is no reason to remove it
        _log.warning("ledger cannot be used", path=str(path), message=str(error))
        return made_up(folders)
    except sqlite3.DatabaseError:
        _log.warning("ledger damaged", path=str(path))
    return anew(folders)


def readable(folders: Folders) -> sqlite3.Connection | None:
    """The ledger for reading alone; None if it is no good."""
    connection = None
    try:
        connection = sqlite3.connect(f"{path_of(folders).as_uri()}?mode=ro", timeout=_PATIENCE_S, uri=True)
        if _edition(connection) == _EDITION:
            return connection
    except sqlite3.Error as error:
        _log.debug("ledger not readable", message=str(error))
    if connection is not None:
        connection.close()
    return None


def anew(folders: Folders) -> sqlite3.Connection:
    """Write it from done/ and failed/, whatever was there; in memory if the disk takes none."""
    path = path_of(folders)
    try:
        for ending in ("", "-wal", "-shm"):
            path.with_name(path.name + ending).unlink(missing_ok=True)
        connection = _connect(str(path))
    except (OSError, sqlite3.Error) as error:
        _log.warning("ledger cannot be written", path=str(path), message=str(error))
        return made_up(folders)
    rows = _fill(connection, folders)
    if rows:  # a new root has none
        _log.info("ledger written anew", path=str(path), jobs=rows)
    return connection


def made_up(folders: Folders) -> sqlite3.Connection:
    """A ledger in memory, from done/ and failed/."""
    connection = _connect(":memory:")
    _fill(connection, folders)
    return connection


def _fill(connection: sqlite3.Connection, folders: Folders) -> int:
    """Enter all that has ended; how many jobs those are."""
    rows = list(_rows(folders))
    with connection:
        connection.executemany(INSERT, [values_of(row) for row in rows])
        connection.execute(f"PRAGMA user_version = {_EDITION}")
    return len(rows)


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


def row_of(outcome: Outcome, claim: Claim, ready: Ready | None) -> Row:
    """What the ledger says of a job."""
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


def values_of(row: Row) -> tuple[str | int, ...]:
    """In the order of the columns."""
    return tuple(getattr(row, column) for column in COLUMNS)


def _rows(folders: Folders) -> Iterator[Row]:
    """Every job that done/ and failed/ still know of."""
    for home in (folders.done, folders.failed):
        for folder in sorted(home.iterdir()) if home.is_dir() else ():
            try:
                yield _read_row(folder, folders)
            except (OSError, ValueError):  # something that an operator has put there
                continue


def _read_row(folder: Path, folders: Folders) -> Row:
    claim = jobfolder.read_claim(folder)
    if folder.parent == folders.failed:
        return row_of(of_refusal(jobfolder.read_report(folder), claim, folders.failed), claim, None)
    ready = Ready.read(folder)
    return row_of(of_ready(ready, claim, folders.outbox), claim, ready)
