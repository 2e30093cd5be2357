"""The inspection of samples and of a bed made by hand, compared with kept ones."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from piecewright.cutting.formats import stitchfile
from piecewright.cutting.inspection import inspect
from piecewright.cutting.passes import find_runs
from piecewright.cutting.pieces import find_pieces
from piecewright.cutting.rules import PassRules, ReadingRules
from tests.cutting.sheet.case import herb_bed
from tests.golden.kept import compare_with_kept

if TYPE_CHECKING:
    from piecewright.cutting.inspection import Inspection

SAMPLES = Path(__file__).parents[2] / "sample_inbox"


def inspected(sample: str) -> Inspection:
    design = stitchfile.read((SAMPLES / sample).read_bytes(), sample, ReadingRules())
    return inspect(design, find_pieces(design, find_runs(design), PassRules()))


@pytest.mark.parametrize("sample", ["quilt-tulip.vp3", "wren.xxx", "patch-moon.dst", "sprig.dst"])
def test_a_sample_is_understood_as_it_was_kept(sample: str, request: pytest.FixtureRequest) -> None:
    update = bool(request.config.getoption("--update-golden"))
    compare_with_kept(f"inspection/{sample}.txt", inspected(sample).text, within=2.0, update=update)


def test_the_picture_of_the_herb_bed_is_as_it_was_kept(request: pytest.FixtureRequest) -> None:
    bed = herb_bed().stages[0]
    picture = inspect(bed.design, bed.understanding).picture.decode()
    update = bool(request.config.getoption("--update-golden"))
    compare_with_kept("inspection/herb-bed.svg", picture, within=0.011, update=update)
