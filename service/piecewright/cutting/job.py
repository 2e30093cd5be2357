"""The whole job as one function: the stages in order, ended by a self-check.

Terms: a *job* is what becomes of one drop; a *delivery* is the files that leave, and the report.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import TYPE_CHECKING

from piecewright.cutting.errors import PiecewrightError
from piecewright.cutting.findings import Finding
from piecewright.cutting.formats import stitchfile
from piecewright.cutting.mats import Order, deal, lay
from piecewright.cutting.outlines import cut_outlines
from piecewright.cutting.passes import find_runs
from piecewright.cutting.pieces import find_pieces
from piecewright.cutting.report import FileEntry, FindingEntry, Stages, build_report

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from piecewright.cutting.design import Design
    from piecewright.cutting.pieces import Piece
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
        PiecewrightError: If no design of the drop can be read, or the self-check fails.
    """
    understood, unread = _understand_all(sources, rules)
    orders = [_order(one) for one in understood]
    demands = deal(orders, rules.product.dealing)
    layout = lay(demands, rules)
    files = write_files(understood, demands, layout, rules)
    check_files(files, layout)
    report = build_report(understood, demands, layout, rules, job=job, mat_files=files.by_mat)
    return _deliver(files, report, unread)
