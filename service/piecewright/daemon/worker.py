"""The child process that works on one job: ``python -m piecewright.daemon.worker JOB_FOLDER OUT``.

It limits itself before it looks at anything that was dropped, writes into a folder of its own, and says
how it ended by its exit code. What it has written counts only when the service has read it back.
"""

from __future__ import annotations

import errno
import os
import signal
import sys
import threading
import traceback
from pathlib import Path
from typing import TYPE_CHECKING, Final

from piecewright.cutting.errors import PiecewrightError
from piecewright.daemon import attempts
from piecewright.daemon.jobfolder import DROP, REPORT, RULES, read_claim
from piecewright.daemon.printable import printable, printable_lines

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from piecewright.cutting.report import Report
    from piecewright.cutting.rules import JobRules

MEMORY_VARIABLE: Final = "PIECEWRIGHT_WORKER_MEMORY"
FINISHED: Final = 0
BROKEN: Final = 1
OUT_OF_MEMORY: Final = 66
OURS: Final = 75
"""Exit codes; 75 is EX_TEMPFAIL of sysexits.h."""

_STANDARD_INPUT: Final = 0
"""Read below Python's own buffers, whose locks would trip up the interpreter's end."""

_OUR_TROUBLES: Final = frozenset(
    getattr(errno, name)
    for name in ("ENOSPC", "EDQUOT", "EACCES", "EPERM", "EROFS", "EIO", "EMFILE", "ENFILE")
    if hasattr(errno, name)
)
"""A full, locked or failing disk says nothing against the drop."""

_LARGEST_OUTPUT: Final = 500_000_000
"""Bytes; no honest cut file comes near, and a runaway one must not fill the shop's disk."""


def main(arguments: list[str]) -> int:
    """Work on one job folder and give the exit code."""
    end_with(_STANDARD_INPUT)
    return run(Path(arguments[0]), Path(arguments[1]), int(os.environ.get(MEMORY_VARIABLE, "0")))


def warm_up() -> None:
    """Import what ``run`` will need."""
    import piecewright.cutting.job  # noqa: PLC0415 - see ``work``
    import piecewright.daemon.drops  # noqa: F401, PLC0415 - see ``work``
    from piecewright.cutting.cutfiles import load_libraries  # noqa: PLC0415 - see ``work``

    load_libraries()


def run(folder: Path, out: Path, memory: int) -> int:
    """Work on one job folder within the limits.

    Args:
        folder: The job folder.
        out: Created for the results.
        memory: Address space in bytes; 0 for no limit.

    Returns:
        The exit code.
    """
    limit(memory)
    try:
        work(folder, out)
    except MemoryError:
        return OUT_OF_MEMORY
    except PiecewrightError as error:
        sys.stderr.write(f"{error}\n")
        return OURS
    except OSError as error:
        traceback.print_exc()
        return OURS if error.errno in _OUR_TROUBLES else BROKEN
    except Exception:  # noqa: BLE001 - whatever it is, the service must learn why
        traceback.print_exc()
        return BROKEN
    return FINISHED


def end_with(lifeline: int) -> None:
    """End this process and its group as soon as nobody holds the other end of a pipe any more."""

    def wait_for_the_end() -> None:
        while os.read(lifeline, 4096):
            pass
        if sys.platform != "win32":
            os.killpg(os.getpgrp(), signal.SIGKILL)
        os._exit(BROKEN)

    threading.Thread(target=wait_for_the_end, daemon=True).start()


def work(folder: Path, out: Path) -> None:
    """Do the job and write what leaves, the report last.

    Raises:
        PiecewrightError: If the fault is not the drop's.
        OSError: If the results cannot be written.
    """
    from piecewright.cutting.rules import JobRules  # noqa: PLC0415 - limits first, then the big imports

    rules = JobRules.model_validate_json((folder / RULES).read_bytes())
    try:
        files, report = _cut(folder, rules, _earlier(folder, out))
    except PiecewrightError as error:
        if error.blame == "ours":
            raise
        files, report = {}, refusal(folder.name, rules.product.name, error)
    out.mkdir()
    for name, data in files.items():
        (out / name).write_bytes(data)
    (out / REPORT).write_bytes(report.model_dump_json(by_alias=True, indent=1).encode())


def refusal(job: str, product: str, error: PiecewrightError) -> Report:
    """The report of a drop that could not be worked on."""
    from piecewright.cutting.report import ErrorEntry, Report  # noqa: PLC0415 - see ``work``

    entry = ErrorEntry(
        code=error.code, message=printable_lines(error.message), advice=printable(error.advice)
    )
    return Report(job=job, status="refused", product=product, error=entry)


def _cut(folder: Path, rules: JobRules, earlier: Sequence[str]) -> tuple[Mapping[str, bytes], Report]:
    from piecewright.cutting.findings import Finding  # noqa: PLC0415 - see ``work``
    from piecewright.cutting.job import cut  # noqa: PLC0415 - see ``work``
    from piecewright.cutting.report import FindingEntry  # noqa: PLC0415 - see ``work``
    from piecewright.daemon.drops import open_drop  # noqa: PLC0415 - see ``work``

    drop = open_drop(folder / DROP, rules)
    delivery = cut(drop.sources, drop.rules, job=folder.name, drop=printable(_name_of_drop(folder)))
    findings = list(delivery.report.findings)
    if earlier:
        doubt = Finding(
            code="cut-before",
            says="The same files were cut before by the same rules, as job {job}.",
            values={"job": earlier[-1]},
            advice="If it was dropped twice by mistake, cut only one of the two.",
        )
        findings.append(FindingEntry.of(doubt, None))
    changes = {"findings": findings, "passed_over": [printable(name) for name in drop.passed_over]}
    return delivery.files, delivery.report.model_copy(update=changes)


def _name_of_drop(folder: Path) -> str:
    """What the operator knows the drop by; a library's jobs have no claim and one design each."""
    try:
        return read_claim(folder).name
    except FileNotFoundError:
        return min((folder / DROP).iterdir()).name


def _earlier(folder: Path, out: Path) -> tuple[str, ...]:
    """Jobs that cut the same before; a library's jobs have no ledger behind them."""
    try:
        return attempts.read(folder, int(out.name.rpartition("-")[2])).earlier
    except FileNotFoundError:
        return ()


def limit(memory: int) -> None:
    """Let the system refuse more memory than the rules allow; Windows has no such limit."""
    if sys.platform == "win32":
        return
    import resource  # noqa: PLC0415 - Windows has none

    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    resource.setrlimit(resource.RLIMIT_FSIZE, (_LARGEST_OUTPUT, _LARGEST_OUTPUT))
    if memory:
        resource.setrlimit(resource.RLIMIT_AS, (memory, memory))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
