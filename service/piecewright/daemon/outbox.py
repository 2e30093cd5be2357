"""From a worker's results to the outbox: read back, mark READY, publish, retire; or set aside.

Terms: *results* are the folder that a worker has written; to *publish* is to move it to the outbox; to
*retire* is to move what is left of the job to done/; to *set aside* is to move it to failed/.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any, Self

from piecewright.daemon.disk import Disk, move, sync_tree, write_whole
from piecewright.daemon.handover import HANDED_OVER
from piecewright.daemon.jobfolder import READY, REPORT, Claim, folder_name

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from piecewright.cutting.errors import PiecewrightError
    from piecewright.daemon.attempts import Attempt
    from piecewright.daemon.folders import Folders


class BadResults(Exception):  # noqa: N818 - caught by the bench, which counts it as a failed attempt
    """What a worker has left is not what its report says."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ready:
    """What READY says: these results are complete and checked; nothing but publishing is left.

    Attributes:
        out: Name of the results' folder inside the job folder.
        published: Name of the folder in the outbox.
        content: SHA-256 of what was dropped.
        rules: SHA-256 of the rules it was cut by.
        status, pieces, mats, findings: As in the report.
        cut_files: Names of the files for the cutter.
    """

    out: str
    published: str
    content: str
    rules: str
    status: str
    pieces: int
    mats: int
    findings: int
    cut_files: tuple[str, ...]

    @classmethod
    def read(cls, folder: Path) -> Self:
        """Read the READY of a job folder.

        Raises:
            OSError: If there is none.
            ValueError: If it is damaged.
        """
        raw = json.loads((folder / READY).read_bytes())
        try:
            return cls(**{**raw, "cut_files": tuple(raw["cut_files"])})
        except (TypeError, KeyError) as error:
            message = f"{folder / READY} is damaged."
            raise ValueError(message) from error


def check_results(out: Path) -> dict[str, Any]:
    """Read a worker's results back: every listed file is there, true to its SHA-256, and none besides.

    Returns:
        The report.

    Raises:
        BadResults: If they differ from what the report says.
    """
    try:
        report: dict[str, Any] = json.loads((out / REPORT).read_bytes())
        listed = {entry["name"]: entry["sha256"] for entry in report["files"]}
        found = {
            path.name: hashlib.sha256(path.read_bytes()).hexdigest()
            for path in out.iterdir()
            if path.name != REPORT
        }
    except (OSError, ValueError, KeyError, TypeError) as error:
        message = f"The worker left no readable results ({error})."
        raise BadResults(message) from error
    if listed != found:
        odd = sorted(dict(listed.items() ^ found.items()))
        message = f"The report is not true for {', '.join(odd)}."
        raise BadResults(message)
    return report


def make_ready(disk: Disk, folder: Path, claim: Claim, attempt: Attempt, report: Mapping[str, Any]) -> None:
    """Sync the results of an attempt, then say durably that they are complete."""
    sync_tree(disk, folder / attempt.results)
    disk.sync(folder)
    ready = Ready(
        out=attempt.results,
        published=folder_name(claim.name, claim.job),
        content=attempt.content,
        rules=attempt.rules,
        status=report["status"],
        pieces=sum(len(mat["laid"]) for mat in report["mats"]),
        mats=len(report["mats"]),
        findings=len(report["findings"]),
        cut_files=tuple(name for mat in report["mats"] for name in mat["files"]),
    )
    write_whole(disk, folder / READY, json.dumps(asdict(ready), indent=1).encode())


def publish(disk: Disk, folders: Folders, folder: Path) -> None:
    """Move the results to the outbox."""
    ready = Ready.read(folder)
    move(disk, folder / ready.out, folders.outbox / ready.published)


def retire(disk: Disk, folders: Folders, folder: Path) -> None:
    """Move what is left of a published job to done/."""
    _clear_leftovers(disk, folder)
    move(disk, folder, folders.done / folder.name)


def refuse(disk: Disk, folder: Path, product: str, error: PiecewrightError) -> None:
    """Write down durably why a job is refused."""
    from piecewright.daemon.worker import refusal  # noqa: PLC0415 - most jobs are never refused

    report = refusal(folder.name, product, error)
    write_whole(disk, folder / REPORT, report.model_dump_json(by_alias=True, indent=1).encode())


def take_refusal(disk: Disk, folder: Path, out: Path) -> None:
    """Take over the report by which a worker refuses a drop."""
    write_whole(disk, folder / REPORT, (out / REPORT).read_bytes())


def set_aside(disk: Disk, folders: Folders, folder: Path) -> None:
    """Move a refused job to failed/, with what was dropped and the report that says why."""
    _clear_leftovers(disk, folder)
    move(disk, folder, folders.failed / folder.name)


def _clear_leftovers(disk: Disk, folder: Path) -> None:
    """Results and logs of attempts that came to nothing are of no use to the operator."""
    for path in (*sorted(folder.glob("out-*")), folder / HANDED_OVER):
        disk.remove(path)
