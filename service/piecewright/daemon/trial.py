"""Trying out one design by hand: what is understood of it, without a job.

The file is as little to be trusted as one that was dropped, so it is read in a process of its own, within
the limits of the rules.
"""

from __future__ import annotations

from multiprocessing import get_context
from typing import TYPE_CHECKING

from piecewright.cutting.errors import PiecewrightError
from piecewright.cutting.rules import PassRules
from piecewright.daemon.rulebook import LimitRules
from piecewright.daemon.worker import limit

if TYPE_CHECKING:
    from multiprocessing.connection import Connection
    from pathlib import Path

    from piecewright.cutting.inspection import Inspection
    from piecewright.cutting.units import Show
    from piecewright.daemon.rulebook import Rulebook


class TrialFailed(PiecewrightError):  # noqa: N818 - names the thing
    """The design cannot be shown."""

    code = "trial-failed"


def look(file: Path, rulebook: Rulebook | None) -> Inspection:
    """Read a design and say what is understood of it.

    Args:
        file: The design.
        rulebook: For limits, the unit of lengths and the rules of its product; the defaults if None.

    Raises:
        TrialFailed: If it cannot be read, or not within the limits.
        OSError: If the file cannot be opened.
    """
    data = file.read_bytes()
    product = rulebook.product_for(file.name) if rulebook is not None else None
    limits = rulebook.limits if rulebook is not None else LimitRules()
    passes = product.passes if product is not None else PassRules()
    show: Show = rulebook.show if rulebook is not None else "mm"
    context = get_context("spawn")
    here, there = context.Pipe(duplex=False)
    process = context.Process(target=_look, args=(there, data, file.name, limits, passes, show), daemon=True)
    process.start()
    there.close()
    try:
        return _answer(here, limits)
    finally:
        process.kill()
        process.join()


def _answer(here: Connection, limits: LimitRules) -> Inspection:
    if not here.poll(limits.job_time):
        message = f"It took longer than {limits.job_time:g} s (limits: job_time)."
        raise TrialFailed(message, "Save the design anew, or raise the limit in the rules.")
    try:
        answer: Inspection | tuple[str, str] = here.recv()
    except EOFError as error:
        message = "The design broke the process that read it, or needed more memory than limits: memory."
        raise TrialFailed(message, "Save the design anew, or raise the limit in the rules.") from error
    if isinstance(answer, tuple):
        raise TrialFailed(*answer)
    return answer


def _look(
    there: Connection, data: bytes, name: str, limits: LimitRules, passes: PassRules, show: Show
) -> None:
    """In the process of its own: send what is understood, or message and advice."""
    from piecewright.cutting.formats import stitchfile  # noqa: PLC0415 - the waiting side needs none of these
    from piecewright.cutting.inspection import inspect  # noqa: PLC0415 - likewise
    from piecewright.cutting.passes import find_runs  # noqa: PLC0415 - likewise
    from piecewright.cutting.pieces import find_pieces  # noqa: PLC0415 - likewise

    limit(limits.memory)
    try:
        design = stitchfile.read(data, name, limits)
        there.send(inspect(design, find_pieces(design, find_runs(design), passes), show=show))
    except PiecewrightError as error:
        there.send((error.message, error.advice))
