"""Sentences of the stages name pieces as the job has them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from piecewright.cutting.design import Design
from piecewright.cutting.findings import Finding
from piecewright.cutting.mats import Layout
from piecewright.cutting.outlines import Outlines
from piecewright.cutting.pieces import Understanding
from piecewright.cutting.report.build import build_report
from piecewright.cutting.rules import JobRules
from piecewright.cutting.stages import Stages

if TYPE_CHECKING:
    from piecewright.cutting.report import FindingEntry


def reported(message: str, prefix: str) -> FindingEntry:
    finding = Finding(code="x", message=message, advice="Look at piece A.", piece="A", place=(1.00004, -0.0))
    stages = Stages(
        design=Design(name="a.dst", format="DST", blocks=()),
        understanding=Understanding(passes=(), pieces=(), findings=(finding,)),
        outlines=Outlines(outlines=(), findings=()),
        prefix=prefix,
        sha256="0",
        copies=1,
    )
    rules = JobRules.model_validate(
        {"mats": {"m": {"width": "12 in", "height": "12 in"}}, "product": {"name": "p"}}
    )
    layout = Layout(mats=(), fabrics=(), findings=())
    return build_report([stages], [], layout, rules, job="j", files=()).findings[0]


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("The edge of piece A shows.", "The edge of piece 2A shows."),
        ("Pieces A, B and AC are alike.", "Pieces 2A, 2B and 2AC are alike."),
        ("A gap of 3 mm. Piece by piece, DST says no.", "A gap of 3 mm. Piece by piece, DST says no."),
    ],
)
def test_letters_get_the_number_of_their_design(said: str, told: str) -> None:
    entry = reported(said, "2")
    assert (entry.message, entry.advice, entry.piece) == (told, "Look at piece 2A.", "2A")


def test_a_single_design_keeps_its_letters_and_places_are_rounded() -> None:
    entry = reported("The edge of piece A shows.", "")
    assert (entry.message, entry.piece, entry.design) == ("The edge of piece A shows.", "A", 1)
    assert entry.place == (1.0, 0.0)
