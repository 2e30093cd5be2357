"""Cut files compared with kept ones; ``--update-golden`` writes those anew.

Where a library writes more than the shapes (a DXF header, the objects of a PDF), only the shapes are kept.
"""

from __future__ import annotations

import re

import pytest

from piecewright.cutting.formats import dxf, pdf, plt, svg
from tests.cutting.formats.mats_by_hand import demand, laid, leaf, mat, rectangle, ring, sampler
from tests.golden.kept import compare_with_kept

PATCHES = mat(
    laid(rectangle(20, 20, 5, 5), "A", fabric="moss"),
    laid(rectangle(20, 20, 5, 5), "A", copy=2, fabric="<Moss> & co"),
    size=(101.6, 76.2),
    fabric="",
    number=2,
)
TEMPLATES = pdf.templates_of(
    [
        demand(ring(30.0, 10.0), "A", copies=4),
        demand(ring(30.0, 10.0), "A", fabric="rust", copies=2),
        demand(leaf(230.0), "B", face_down=True),
        demand(rectangle(250, 300), "C"),
    ],
    {"A": ring(28.5, 11.5), "B": leaf(226.0, 2.0)},
    {"moss": "Moss linen"},
)


def drawn_in_dxf(data: bytes) -> str:
    text = data.decode()
    return text[text.index("\nENTITIES\n") : text.index("\nOBJECTS\n")]


def drawn_in_pdf(data: bytes) -> str:
    return "\n".join(re.findall(r"stream\r?\n(.*?)endstream", data.decode("latin-1"), re.DOTALL))


WRITTEN = {
    "sampler.svg": lambda: svg.write(sampler(), "Sampler").decode(),
    "sampler-pen.svg": lambda: svg.write_pen(sampler(), "Sampler").decode(),
    "sampler.dxf.txt": lambda: drawn_in_dxf(dxf.write(sampler(), "Sampler")),
    "sampler.plt": lambda: plt.write(sampler()).decode(),
    "patches.svg": lambda: svg.write(PATCHES, "Patches · mat 2").decode(),
    "patches.plt": lambda: plt.write(PATCHES).decode(),
    "templates-a4.pdf.txt": lambda: drawn_in_pdf(pdf.write(TEMPLATES, "Templates", "a4", "mm")),
    "templates-letter.pdf.txt": lambda: drawn_in_pdf(pdf.write(TEMPLATES, "Templates", "letter", "in")),
}
WITHIN = {"svg": 0.0015, "plt": 1.0, "txt": 0.0015}
"""One step of the last digit of each format."""


@pytest.mark.parametrize("name", WRITTEN)
def test_a_cut_file_is_as_it_was_kept(name: str, request: pytest.FixtureRequest) -> None:
    update = bool(request.config.getoption("--update-golden"))
    compare_with_kept(f"cutfiles/{name}", WRITTEN[name](), WITHIN[name.rpartition(".")[2]], update=update)
