"""The pictures of a job sheet, standing alone, as they were kept; the README shows them."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from piecewright.cutting.job import Source, cut
from piecewright.daemon.rulebook import load
from tests.golden.kept import compare_with_kept

TOP = Path(__file__).parents[2]
SVG = 'xmlns="http://www.w3.org/2000/svg" font-family="sans-serif"'


@pytest.fixture(scope="module")
def page() -> str:
    """The sheet of the moon patch."""
    rulebook = load(TOP / "config" / "demo.yaml")
    (product,) = [product for product in rulebook.products if product.name == "Moon patch"]
    moon = Source(name="patch-moon.dst", data=(TOP / "sample_inbox" / "patch-moon.dst").read_bytes())
    return cut([moon], rulebook.job_rules(product), job="j").files["sheet.html"].decode()


def drawn(page: str, kind: str) -> str:
    """The first picture of a kind."""
    found = re.search(rf'<svg class="{kind}".*?</svg>', page, re.DOTALL)
    assert found is not None
    return found[0]


def test_the_picture_of_a_design_is_as_it_was_kept(page: str, request: pytest.FixtureRequest) -> None:
    update = bool(request.config.getoption("--update-golden"))
    picture = drawn(page, "design-picture").replace("<svg ", f"<svg {SVG} ", 1)
    compare_with_kept("sheet/design.svg", picture, within=0.11, update=update)


def test_the_picture_of_a_mat_is_as_it_was_kept(page: str, request: pytest.FixtureRequest) -> None:
    """With the looks of its fabrics, which stand apart on the sheet."""
    update = bool(request.config.getoption("--update-golden"))
    fabrics = drawn(page, "looks").partition(">")[2].removesuffix("</svg>")
    opening, _, rest = drawn(page, "mat-picture").partition(">")
    picture = f"{opening.replace('<svg ', f'<svg {SVG} ', 1)}>{fabrics}{rest}"
    compare_with_kept("sheet/mat.svg", picture, within=0.11, update=update)
