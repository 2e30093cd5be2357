"""sample_inbox is what the script makes, and holds what a newcomer should see."""

from __future__ import annotations

import pytest

from piecewright.cutting.formats.stitchfile import READABLE, read
from piecewright.cutting.rules import ReadingRules
from tests.samples.make_samples import FOLDER, samples

FILES = samples()
DESIGNS = {path: data for path, data in FILES.items() if path.rpartition(".")[2] in READABLE}


def test_the_folder_holds_exactly_what_the_script_makes() -> None:
    found = {p.relative_to(FOLDER).as_posix(): p.read_bytes() for p in FOLDER.rglob("*") if p.is_file()}
    assert found.keys() == FILES.keys()
    assert [path for path in FILES if found[path] != FILES[path]] == []


def test_at_least_eight_designs_in_at_least_five_formats() -> None:
    assert len(DESIGNS) >= 8
    assert len({path.rpartition(".")[2] for path in DESIGNS}) >= 5


@pytest.mark.parametrize("path", DESIGNS)
def test_every_design_is_read_whole_and_is_sewn_as_fabric_is(path: str) -> None:
    design = read(DESIGNS[path], path.rpartition("/")[2], ReadingRules())
    x0, y0, x1, y1 = design.bounds_mm
    assert design.stitches > 400
    assert all(len(block.points) for block in design.blocks)
    assert 40 < x1 - x0 < 200
    assert 30 < y1 - y0 < 200
