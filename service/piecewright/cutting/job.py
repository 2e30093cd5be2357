"""The whole job as one function: the stages in order, ended by a self-check.

Terms: a *job* is what becomes of one drop; a *delivery* is the files that leave, and the report.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from piecewright.cutting.report import Report
    from piecewright.cutting.rules import JobRules


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """One design of the drop.

    Attributes:
        name: Its file name.
        data: Its bytes.
        copies: How often the order says it is made.
    """

    name: str
    data: bytes
    copies: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivery:
    """What leaves: files by name, and the report that lists them."""

    files: Mapping[str, bytes]
    report: Report


def cut(sources: Sequence[Source], rules: JobRules, *, job: str) -> Delivery:
    """Turn the designs of one drop into cut files.

    Args:
        sources: The designs, at least one.
        rules: The rules of the product that the drop belongs to.
        job: Id of the job, for the report.

    Raises:
        PiecewrightError: If a design cannot be read, or the self-check fails.
    """
    raise NotImplementedError
