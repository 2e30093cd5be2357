"""Cut files measured by programs and standards that know nothing of this one.

Sources:

- CSS Values and Units Module Level 3 (W3C), 6.2: 1 in = 25.4 mm = 96 px;
- HP-GL: the plotter unit is 0.025 mm, 1016 to the inch (from memory);
- ISO 32000-1 (PDF), 8.3.2.3: a unit of user space is 1/72 in;
- DXF Reference, HEADER: $INSUNITS 4 is millimetres, $MEASUREMENT 1 is metric;
- svgelements (SVG reader), resvg (SVG renderer), ezdxf (DXF reader with audit), PDFium (PDF renderer).
"""

from __future__ import annotations

import io
import math
import re
from typing import TYPE_CHECKING

import numpy as np
import pypdfium2
import pytest
import resvg_py
from ezdxf import bbox, filemanagement
from ezdxf import path as dxf_path
from ezdxf.entities.lwpolyline import LWPolyline
from PIL import Image
from svgelements import SVG
from svgelements import Path as SvgPath

from piecewright.cutting.formats import dxf, pdf, plt, svg
from tests.cutting.formats.mats_by_hand import HOSTILE, demand, laid, leaf, mat, rectangle, ring, sampler

if TYPE_CHECKING:
    from collections.abc import Iterable

    from ezdxf.document import Drawing

    from piecewright.cutting.geometry import FloatArray

PX_PER_MM = 96 / 25.4

# The shapes of the sampler, by hand:
#   A  a rectangle of 2 in by 1 in;
#   B  a disc of 30 mm less one of 10 mm; four cubics make a disc at most 2 * 0.0273 % too large;
#   C  two equal cubics over a chord of L = 60 whose control points stand h = 21 away at 0.3 L and 0.7 L:
#      x' = L (0.9 (1-t)^2 + 2.4 t (1-t) + 0.9 t^2), y = 3 h t (1-t); the integral of y x' is
#      3 h L (0.9 B(2,4) + 2.4 B(3,3) + 0.9 B(4,2)) = 3 h L (0.9/20 + 2.4/30 + 0.9/20) = 0.51 h L;
#   D  ten triangles with sides of 25 and 10 mm and 36 degrees between them.
AREAS_MM2 = {
    "A": 50.8 * 25.4,
    "B": math.pi * (30.0**2 - 10.0**2),
    "C": 2 * 0.51 * 21.0 * 60.0,
    "D": 10 * 0.5 * 25.0 * 10.0 * math.sin(math.pi / 5),
}
WITHIN = 6e-4


def area(points: FloatArray) -> float:
    x, y = points.T
    return abs(float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))) / 2


def less_the_smaller(areas: Iterable[float]) -> float:
    """Of one piece's lines: the outline less its holes."""
    *holes, outline = sorted(areas)
    return outline - sum(holes)


# --- SVG -------------------------------------------------------------------------------------------------


def subpath_points(path: SvgPath) -> list[FloatArray]:
    """Each subpath in mm as points along it, corners included, by the reader's own evaluation."""
    steps = np.linspace(0, 1, 60)
    return [
        np.array([(p.x, p.y) for segment in SvgPath(sub) for p in map(segment.point, steps)]) / PX_PER_MM
        for sub in path.as_subpaths()
    ]


def test_a_reference_svg_reader_sees_two_inches_as_192_px() -> None:
    drawing = SVG.parse(io.BytesIO(svg.write(sampler(), "x")), ppi=96)
    assert (drawing.width / PX_PER_MM, drawing.height / PX_PER_MM) == pytest.approx((305.0, 305.0))
    rectangle_a = next(element for element in drawing.elements() if isinstance(element, SvgPath))
    left, top = 20 * PX_PER_MM, 30 * PX_PER_MM
    box = rectangle_a.bbox(with_stroke=False)
    assert box == pytest.approx((left, top, left + 192, top + 96), abs=0.01)


def test_a_reference_svg_reader_measures_the_areas_computed_by_hand() -> None:
    drawing = SVG.parse(io.BytesIO(svg.write(sampler(), "x")), ppi=96)
    paths = [element for element in drawing.elements() if isinstance(element, SvgPath)]
    found = {path.id[6]: less_the_smaller(map(area, subpath_points(path))) for path in paths}
    assert found == pytest.approx(AREAS_MM2, rel=WITHIN)


def pixels(document: str, px_per_mm: float) -> FloatArray:
    """A rendered SVG in grey, 0 for black, 1 for white."""
    picture = resvg_py.svg_to_bytes(
        svg_string=document, dpi=96, zoom=px_per_mm / PX_PER_MM, background="#ffffff", skip_system_fonts=True
    )
    return np.asarray(Image.open(io.BytesIO(bytes(picture))).convert("L"), dtype=np.float64) / 255


@pytest.mark.parametrize("px_per_mm", [PX_PER_MM, 8.0])
def test_a_rendered_svg_covers_as_many_pixels_as_the_pieces_are_large(px_per_mm: float) -> None:
    """Filled black by even and odd, each pixel's darkness is the share of it that lies inside."""
    data = svg.write(sampler(), "x").decode()
    filled = data.replace('fill="none"', 'fill="#000000"').replace('stroke="#000000"', 'stroke="none"')
    grey = pixels(filled, px_per_mm)
    assert grey.shape == pytest.approx((305 * px_per_mm, 305 * px_per_mm), abs=1)
    covered_mm2 = float((1 - grey).sum()) / px_per_mm**2
    assert covered_mm2 == pytest.approx(sum(AREAS_MM2.values()), rel=2e-3)


def test_a_rendered_svg_has_its_lines_where_the_layout_has_them() -> None:
    data = svg.write(mat(laid(rectangle(50.8, 25.4, 20, 30))), "x").decode()
    dark = pixels(data.replace('stroke-width="0.1"', 'stroke-width="0.5"'), 10.0) < 0.5
    rows, columns = np.flatnonzero(dark.any(axis=1)), np.flatnonzero(dark.any(axis=0))
    # half the stroke, 2.5 px, lies outside on every side
    assert (columns[0], columns[-1] + 1) == pytest.approx((200 - 2.5, 708 + 2.5), abs=1)
    assert (rows[0], rows[-1] + 1) == pytest.approx((300 - 2.5, 554 + 2.5), abs=1)


# --- DXF -------------------------------------------------------------------------------------------------


def read_dxf(data: bytes) -> Drawing:
    return filemanagement.read(io.StringIO(data.decode()))


def test_the_dxf_reader_finds_nothing_to_mend_and_reads_millimetres() -> None:
    drawing = read_dxf(dxf.write(sampler(), "x"))
    audit = drawing.audit()
    assert not audit.errors
    assert not audit.fixes
    assert (drawing.header["$INSUNITS"], drawing.header["$MEASUREMENT"]) == (4, 1)
    assert {entity.dxf.layer for entity in drawing.modelspace()} == {"cut moss", "cut rust"}
    entities = list(drawing.modelspace())
    assert entities
    assert all(isinstance(entity, LWPolyline) and entity.closed for entity in entities)


def test_the_dxf_reader_measures_the_areas_and_the_place_computed_by_hand() -> None:
    entities = list(read_dxf(dxf.write(sampler(), "x")).modelspace())
    rings = [
        area(np.array([(p.x, p.y) for p in dxf_path.make_path(entity).flattening(0.001)]))
        for entity in entities
    ]
    found = dict(zip("ABCD", (rings[0], rings[2] - rings[1], rings[3], rings[4]), strict=True))
    assert found == pytest.approx(AREAS_MM2, rel=WITHIN)
    box = bbox.extents(entities[:1])
    assert (*box.extmin, *box.extmax) == pytest.approx((20, 305 - 55.4, 0, 70.8, 305 - 30, 0), abs=1e-6)


@pytest.mark.parametrize("name", HOSTILE)
def test_the_dxf_reader_finds_nothing_to_mend_in_hostile_names(name: str) -> None:
    drawing = read_dxf(dxf.write(mat(laid(leaf(60, 50, 50), fabric=name)), name))
    audit = drawing.audit()
    assert not audit.errors
    assert not audit.fixes
    assert len(drawing.modelspace()) == 1


# --- HP-GL -----------------------------------------------------------------------------------------------


def test_hpgl_says_two_inches_as_2032_units_from_the_lower_left() -> None:
    numbers = re.findall(r"-?\d+", plt.write(mat(laid(rectangle(50.8, 25.4, 20, 30)))).decode())
    xs, ys = np.array(numbers[1:11], dtype=int).reshape(-1, 2).T  # after the 1 of SP1
    assert (xs.min(), np.ptp(xs)) == (800, 2032)
    assert (ys.max(), np.ptp(ys)) == (11000, 1016)


def test_hpgl_encloses_the_areas_computed_by_hand() -> None:
    rings = [area(line) for line in plt.read_back(plt.write(sampler()), 305.0)]
    found = dict(zip("ABCD", (rings[0], rings[2] - rings[1], rings[3], rings[4]), strict=True))
    assert found == pytest.approx(AREAS_MM2, rel=1e-3)


# --- PDF -------------------------------------------------------------------------------------------------

PIXELS_PER_MM = 12.0


def rendered(data: bytes, page: int) -> FloatArray:
    """A sheet in grey, 0 for black, 1 for white, 12 pixels to the millimetre."""
    scale = PIXELS_PER_MM * 25.4 / 72  # PDFium counts pixels to the unit of user space
    bitmap = pypdfium2.PdfDocument(data)[page].render(scale=scale, grayscale=True)
    return np.asarray(bitmap.to_pil(), dtype=np.float64) / 255


@pytest.mark.parametrize(("paper", "size"), [("a4", (210.0, 297.0)), ("letter", (215.9, 279.4))])
def test_sheets_have_the_size_of_the_paper(paper: pdf.Paper, size: tuple[float, float]) -> None:
    data = pdf.write(pdf.templates_of([demand(leaf(60))], {}, {}), "x", paper, "mm")
    for page in pypdfium2.PdfDocument(data):
        assert np.array(page.get_size()) * 25.4 / 72 == pytest.approx(size, abs=0.01)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_check_bars_measure_50_mm_and_2_in_in_pixels(paper: pdf.Paper) -> None:
    data = pdf.write(pdf.templates_of([demand(leaf(60))], {}, {}), "x", paper, "mm")
    for page in (0, 1):
        dark = rendered(data, page) < 0.5
        foot = dark[-round(14 * PIXELS_PER_MM) :]
        columns = np.flatnonzero(foot[foot.sum(axis=1).argmax()])
        (gap,) = np.flatnonzero(np.diff(columns) > 1)
        metric, inches = columns[gap] - columns[0], columns[-1] - columns[gap + 1]
        # a line's round ends reach half its width, 0.09 mm or a pixel, over both ends
        assert metric == pytest.approx(50 * PIXELS_PER_MM, abs=3)
        assert inches == pytest.approx(50.8 * PIXELS_PER_MM, abs=3)


def test_a_printed_ring_is_as_wide_as_its_piece_in_pixels() -> None:
    data = pdf.write(pdf.templates_of([demand(ring(30.0, 10.0))], {}, {}), "x", "a4", "mm")
    dark = rendered(data, 1) < 0.5
    top, height = round(21 * PIXELS_PER_MM), round(58 * PIXELS_PER_MM)
    across = dark[top : top + height]
    columns = np.flatnonzero(across.any(axis=0))
    assert np.ptp(columns) + 1 == pytest.approx((60 + 0.35) * PIXELS_PER_MM, abs=2)
    # on the row through the middle: outline, hole, hole, outline, and in the band the letter and the arrow
    middle = dark[round((20 + 30) * PIXELS_PER_MM)]
    edges = np.flatnonzero(middle)
    assert edges[0] == pytest.approx((10 - 0.175) * PIXELS_PER_MM, abs=2)
    assert middle[round((10 + 20) * PIXELS_PER_MM)]
    assert middle[round((10 + 40) * PIXELS_PER_MM)]
