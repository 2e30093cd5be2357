"""From a worker's results to the outbox: read back, mark READY, publish, retire; or set aside.

Terms: *results* are the folder that a worker has written; to *publish* is to move it to the outbox; to
*retire* is to move what is left of the job to done/ or, if it was refused, to failed/.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from piecewright.daemon.claims import READY, REPORT, Claim, safe_name
from piecewright.daemon.disk import Disk, move, sync_tree, write_whole
from piecewright.daemon.outcome import Outcome, outcome_of, printable
from piecewright.daemon.worker import refusal

if TYPE_CHECKING:
    from pathlib import Path

    from piecewright.cutting.errors import PiecewrightError
    from piecewright.daemon.folders import Folders


class BadResults(Exception):  # noqa: N818 - caught by the service, which counts it as a failed attempt
    """What a worker has left is not what its report says."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ready:
    """What READY says: these results are complete and checked; nothing but publishing is left.

    Attributes:
        out: Name of the results' folder inside the job folder.
        published: Name of the folder in the outbox.
        report: The report without its long lists, for ledger and index.
    """

    out: str
    published: str
    report: dict[str, Any]


def check_results(out: Path) -> dict[str, Any]:
    """Read a worker's results back: every listed file is there, true to its SHA-256, and none besides.

    Raises:
        BadResults: If they differ from what the report says.
    """
    try:
        report: dict[str, Any] = json.loads((out / REPORT).read_bytes())
        listed = {entry["name"]: entry["sha256"] for entry in report["files"]}
        found = {path.name: path for path in out.iterdir() if path.name != REPORT}
        if listed.keys() != found.keys():
            message = f"The report lists {sorted(listed)}, but the worker wrote {sorted(found)}."
            raise BadResults(message)
        for name, path in found.items():
            if hashlib.sha256(path.read_bytes()).hexdigest() != listed[name]:
                message = f"{name} is not what the report says."
                raise BadResults(message)
    except (OSError, ValueError, KeyError, TypeError) as error:
        message = f"The worker left no readable report ({error})."
        raise BadResults(message) from error
    return report


def make_ready(disk: Disk, folder: Path, out: Path, claim: Claim, report: dict[str, Any]) -> None:
    """Sync the results, then say durably that they are complete."""
    sync_tree(disk, out)
    disk.sync(folder)
    ready = {
        "out": out.name,
        "published": f"{safe_name(claim.name)}_{claim.job}",
        "report": _short(report),
    }
    write_whole(disk, folder / READY, json.dumps(ready, indent=1).encode())


def publish(disk: Disk, folders: Folders, folder: Path) -> None:
    """Move the results to the outbox."""
    ready = read_ready(folder)
    move(disk, folder / ready.out, folders.outbox / ready.published)


def retire(disk: Disk, folders: Folders, folder: Path) -> Outcome:
    """Move what is left of a published job to done/."""
    ready, name = read_ready(folder), _claimed_name(folder)
    _clear_leftovers(disk, folder)
    move(disk, folder, folders.done / folder.name)
    return outcome_of(ready.report, name=name, folder=folders.outbox / ready.published)


def refuse(disk: Disk, folder: Path, product: str, error: PiecewrightError) -> None:
    """Write down durably why a job is refused."""
    report = refusal(folder.name, product, error)
    write_report(disk, folder, report.model_dump_json(by_alias=True, indent=1).encode())


def write_report(disk: Disk, folder: Path, report: bytes) -> None:
    """Set down the report of a refused job."""
    write_whole(disk, folder / REPORT, report)


def set_aside(disk: Disk, folders: Folders, folder: Path) -> Outcome:
    """Move a refused job to failed/, with what was dropped and the report that says why."""
    report = json.loads((folder / REPORT).read_bytes())
    name = _claimed_name(folder)
    _clear_leftovers(disk, folder)
    move(disk, folder, folders.failed / folder.name)
    return outcome_of(report, name=name, folder=folders.failed / folder.name)


def read_ready(folder: Path) -> Ready:
    """Read READY.

    Raises:
        OSError: If there is none.
        ValueError: If it is damaged.
    """
    return Ready(**json.loads((folder / READY).read_bytes()))


def _short(report: dict[str, Any]) -> dict[str, Any]:
    mats = [{"laid": [None] * len(mat["laid"])} for mat in report["mats"]]
    findings = [{"code": finding["code"]} for finding in report["findings"]]
    kept = {key: report[key] for key in ("job", "status", "product", "error")}
    return {**kept, "mats": mats, "findings": findings}


def _claimed_name(folder: Path) -> str:
    try:
        return str(json.loads((folder / "claim.json").read_bytes())["name"])
    except (OSError, ValueError, KeyError):
        return printable(folder.name)


def _clear_leftovers(disk: Disk, folder: Path) -> None:
    """Results and logs of attempts that came to nothing are of no use to the operator."""
    for path in sorted(folder.glob("out-*")):
        disk.remove(path)
