"""The job sheet as a whole: whole, safe and the same each time."""

from __future__ import annotations

import html5lib

from piecewright.cutting import sheet
from tests.cutting.sheet.case import Case, herb_bed


def written(case: Case) -> str:
    """The sheet as text."""
    return sheet.write(
        case.report, case.designs, case.understandings, case.outlines, case.layout, case.rules
    ).decode()


def test_the_sheet_is_valid_html5_as_a_strict_parser_reads_it() -> None:
    html5lib.HTMLParser(strict=True).parse(written(herb_bed()))


def test_the_same_job_gives_the_same_bytes() -> None:
    assert written(herb_bed()) == written(herb_bed())
