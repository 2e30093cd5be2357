"""What the index knows of one job, read from its folder."""

from __future__ import annotations

import stat
from dataclasses import asdict, dataclass, replace
from datetime import UTC, datetime, tzinfo
from typing import TYPE_CHECKING, Any, Final, Self

from pydantic_core import from_json

from piecewright.daemon.index.thumbnail import Thumbnail, thumbnail

if TYPE_CHECKING:
    from pathlib import Path

_LARGEST_REPORT: Final = 200_000_000
"""Bytes; no report of ours comes near."""

REPORT: Final = "report.json"
CLAIM: Final = "claim.json"


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One job in the index.

    Attributes:
        folder: Name of its folder.
        name: What the operator dropped.
        status: As the report says, or ``unreadable`` if there is no report to be read.
        product: Name of its product.
        when: When its report was written, seconds since 1970 UTC.
        pieces: How many pieces were laid.
        mats: On how many mats.
        findings: How many findings the report has.
        error: Message and advice of the error, "" if there is none.
        sheet: Whether there is a job sheet.
        thumbnail: Its pieces, small; None if it has none.
        gone: Whether the folder has been taken out of the outbox.
    """

    folder: str
    name: str
    status: str
    product: str = ""
    when: float = 0.0
    pieces: int = 0
    mats: int = 0
    findings: int = 0
    error: str = ""
    sheet: bool = False
    thumbnail: Thumbnail | None = None
    gone: bool = False

    def month(self, zone: tzinfo | None) -> str:
        """The month in which it was finished, such as ``2026-11``, in the shop's time zone."""
        return datetime.fromtimestamp(self.when, UTC).astimezone(zone).strftime("%Y-%m")

    def taken_out(self, *, gone: bool) -> Entry:
        """The same job with its folder taken out of the outbox, or back in it."""
        return replace(self, gone=gone)

    def as_json(self) -> dict[str, Any]:
        """For the memory."""
        return asdict(self)

    @classmethod
    def from_json(cls, raw: dict[str, Any]) -> Self:
        """From the memory."""
        small = raw.pop("thumbnail")
        return cls(thumbnail=Thumbnail(**small) if small else None, **raw)


def read_entry(folder: Path) -> Entry | None:
    """Read what the index needs of a job folder; None if it holds no report, so is no job."""
    try:
        when, report = _read_report(folder / REPORT)
    except (FileNotFoundError, NotADirectoryError):
        return None
    except (OSError, ValueError):
        return Entry(folder=folder.name, name=folder.name, status="unreadable")
    try:
        return _entry(folder, when, report, _claimed_name(folder))
    except (TypeError, KeyError, AttributeError, ValueError, IndexError):
        return Entry(folder=folder.name, name=folder.name, status="unreadable", when=when)


def _read_report(path: Path) -> tuple[float, Any]:
    """Whoever takes the output may put anything there, such as a pipe that would be waited for for ever."""
    status = path.stat()
    if not stat.S_ISREG(status.st_mode) or status.st_size > _LARGEST_REPORT:
        raise ValueError
    return status.st_mtime, from_json(path.read_bytes())


def _entry(folder: Path, when: float, report: dict[str, Any], claimed: str) -> Entry:
    sources = [report["source"]] if report.get("source") else report.get("sources") or []
    names = [str(source["name"]) for source in sources]
    error = report.get("error")
    return Entry(
        folder=folder.name,
        name=claimed
        or str(report.get("drop") or "")
        or (f"{names[0]} and {len(names) - 1} more" if len(names) > 1 else "".join(names))
        or folder.name,
        status=str(report["status"]),
        product=str(report.get("product", "")),
        when=when,
        pieces=sum(len(mat["laid"]) for mat in report.get("mats", ())),
        mats=len(report.get("mats", ())),
        findings=len(report.get("findings", ())),
        error=f"{error['message']} {error['advice']}" if error else "",
        sheet=(folder / "sheet.html").exists(),
        thumbnail=thumbnail(report.get("pieces", ())),
    )


def _claimed_name(folder: Path) -> str:
    """What the operator dropped, if the claim lies beside the report, as it does in failed/."""
    try:
        return str(from_json((folder / CLAIM).read_bytes())["name"])
    except (OSError, ValueError, TypeError, KeyError):
        return ""
