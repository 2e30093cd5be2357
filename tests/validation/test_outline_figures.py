"""Outlines against published formulas, analytic curves and a second geometry engine."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pyclipr
import pytest
from scipy.special import ellipe

from piecewright.cutting import geometry as geo
from piecewright.cutting.formats import stitchfile
from piecewright.cutting.geometry import FloatArray, Region, frozen
from piecewright.cutting.outlines import CutOutline, cut_outlines
from piecewright.cutting.passes import find_runs
from piecewright.cutting.pieces import find_pieces
from piecewright.cutting.rules import PassRules, ReadingRules
from tests.analytic_shapes import Shape, needle_points, shapes
from tests.cutting.outlines.pieces_by_hand import Bench, rules

SAMPLES = Path(__file__).parents[2] / "sample_inbox"
CONVEX = (
    "circle r 20",
    "ellipse 2:1",
    "egg",
    "superellipse",
    "rounded rectangle r 5",
    "stadium",
    "square",
    "hexagon",
    "leaf",
)


def outline_of(needles: FloatArray, offset: str = "1.5 mm") -> CutOutline:
    bench = Bench()
    bench.add(needles)
    return cut_outlines(bench.understanding(), rules(offset=offset)).outlines[0]


def named(name: str) -> Shape:
    return next(shape for shape in shapes() if shape.name == name)


@pytest.mark.parametrize("name", CONVEX)
@pytest.mark.parametrize("offset", [1.5, 4.0])
def test_the_cut_area_obeys_steiners_formula(name: str, offset: float) -> None:
    """Area of the parallel body of a convex region: A + P d + pi d^2.

    Source: J. Steiner, Über parallele Flächen, 1840; R. Schneider, Convex Bodies: The Brunn-Minkowski
    Theory, 2nd edition, 2014, (4.1) in the plane.
    """
    shape = named(name)
    area, perimeter = abs(geo.ring_area(shape.ring)), geo.ring_length(shape.ring)
    cut = outline_of(needle_points(shape, 2.5, 0.3), f"{offset} mm")
    expected = area + perimeter * offset + math.pi * offset**2
    assert (
        abs(cut.area_mm2 - expected) < 0.04 * perimeter
    )  # 0.04 mm all round: less than the rounding of the file


@pytest.mark.parametrize("name", CONVEX)
def test_growing_alone_obeys_steiners_formula_exactly(name: str) -> None:
    region = named(name).region
    (grown,) = geo.grow(region, 2.0)
    assert geo.area(grown) == pytest.approx(
        geo.area(region) + 2 * geo.perimeter(region) + 4 * math.pi, rel=2e-5
    )
    assert geo.perimeter(grown) == pytest.approx(geo.perimeter(region) + 4 * math.pi, rel=2e-4)


def test_an_ellipse_has_the_area_and_perimeter_of_the_handbook() -> None:
    """Area pi a b and perimeter 4 a E(1 - b^2/a^2).

    Source: NIST Digital Library of Mathematical Functions, 19.9.9 and 19.30.5.
    """
    a, b = 30.0, 15.0
    cut = outline_of(needle_points(named("ellipse 2:1"), 1.5, 0.4), "0 mm")
    assert cut.area_mm2 == pytest.approx(math.pi * a * b, rel=2e-3)
    assert geo.curve_length(cut.curve.exterior) == pytest.approx(4 * a * ellipe(1 - b**2 / a**2), rel=2e-3)


@pytest.mark.parametrize(
    ("name", "area", "perimeter"),
    [
        ("circle r 20", math.pi * 20**2, 2 * math.pi * 20),
        ("square", 1600.0, 160.0),
        ("hexagon", 1.5 * math.sqrt(3) * 26**2, 6 * 26.0),  # side = circumradius
        ("half disc", math.pi * 25**2 / 2, math.pi * 25 + 50),
        ("quarter disc", math.pi * 30**2 / 4, math.pi * 15 + 60),
        ("rounded rectangle r 5", 60 * 36 - (4 - math.pi) * 25, 2 * (60 + 36) - (8 - 2 * math.pi) * 5),
    ],
)
def test_plain_figures_have_the_areas_of_school_geometry(name: str, area: float, perimeter: float) -> None:
    """Hand arithmetic; also checks the shapes that everything else is measured on."""
    shape = named(name)
    assert abs(geo.ring_area(shape.ring)) == pytest.approx(area, rel=1e-4)
    assert geo.ring_length(shape.ring) == pytest.approx(perimeter, rel=1e-4)
    cut = outline_of(needle_points(shape, 2.5, 0.6), "0 mm")
    assert cut.area_mm2 == pytest.approx(area, abs=0.05 * perimeter)
    assert geo.curve_length(cut.curve.exterior) == pytest.approx(perimeter, rel=4e-3)


def ellipse_offset(a: float, b: float, offset: float) -> FloatArray:
    """Points of the parallel curve of an ellipse: each point moved along its unit normal.

    Source: R. C. Yates, A Handbook on Curves and Their Properties, 1947, Parallel Curves.
    """
    t = np.linspace(0, 2 * np.pi, 4001)[:-1]
    point = np.column_stack([a * np.cos(t), b * np.sin(t)])
    normal = np.column_stack([b * np.cos(t), a * np.sin(t)])
    return np.asarray(point + offset * normal / np.hypot(*normal.T)[:, None])


@pytest.mark.parametrize("offset", [1.5, 3.0, -2.0])
@pytest.mark.parametrize("stitch", [1.5, 2.5, 3.5])
def test_the_cut_follows_the_analytic_parallel_curve_of_an_ellipse(offset: float, stitch: float) -> None:
    cut = outline_of(needle_points(named("ellipse 2:1"), stitch, 0.3), f"{offset} mm")
    truth = Region(exterior=frozen(ellipse_offset(30.0, 15.0, offset)))
    off = geo.distances_to_edge(truth, geo.flatten(cut.curve.exterior, 0.001))
    assert np.abs(off).max() < 0.15
    assert np.abs(off).mean() < 0.04


@pytest.mark.parametrize("offset", [1.5, -2.0])
def test_the_cut_of_a_circle_is_the_circle_with_the_radius_changed(offset: float) -> None:
    ring = geo.flatten(
        outline_of(needle_points(named("circle r 20"), 2.5, 0.3), f"{offset} mm").curve.exterior, 0.001
    )
    assert np.abs(np.hypot(*ring.T) - (20 + offset)).max() < 0.1


def clipper_offset(ring: FloatArray, offset: float) -> list[FloatArray]:
    """The same offset by Clipper2 (A. Johnson), a library that shares no code with our engine."""
    engine = pyclipr.ClipperOffset()
    engine.scaleFactor = 100_000
    engine.arcTolerance = 20
    engine.addPath(ring, pyclipr.JoinType.Round, pyclipr.EndType.Polygon)
    return [np.asarray(path, dtype=np.float64) for path in engine.execute(offset)]


@pytest.mark.parametrize("shape", shapes(), ids=lambda shape: shape.name)
def test_a_second_geometry_engine_agrees_on_offsets(shape: Shape) -> None:
    ring = np.concatenate([section[:-1:10] for section in shape.sections])
    for offset in (1.5, -1.5, 3.0):
        ours = geo.grow(Region(exterior=frozen(ring)), offset)
        theirs = geo.regions_of(clipper_offset(ring, offset))
        assert len(ours) == len(theirs)
        for one, other in zip(ours, theirs, strict=True):
            assert geo.area(one) == pytest.approx(geo.area(other), rel=2e-4)
            assert np.abs(geo.distances_to_edge(other, one.exterior)).max() < 0.005
            assert np.abs(geo.distances_to_edge(one, other.exterior)).max() < 0.005


@pytest.mark.parametrize(
    ("design", "piece", "satin", "spare"),
    [("runner-leaves.pes", "E", 3.5, 0.25), ("patch-moon.dst", "A", 4.0, 0.5)],
)
def test_the_common_offset_leaves_a_quarter_to_half_a_millimetre_under_usual_satin(
    design: str, piece: str, satin: float, spare: float
) -> None:
    """1.5 mm with satin of 3.5 to 4 mm on the line (common practice, no source): satin / 2 - 1.5.

    Computed from two designs of our own sample.
    """
    data = (SAMPLES / design).read_bytes()
    read = stitchfile.read(data, design, ReadingRules())
    understanding = find_pieces(read, find_runs(read), PassRules())
    outline = next(each for each in cut_outlines(understanding, rules()).outlines if each.piece.id == piece)
    (cover,) = (understanding.passes[number - 1] for number in outline.piece.cover)
    assert np.median([run.width_mm for run in cover.runs]) == pytest.approx(satin, abs=0.15)
    assert outline.edge.median_cover_mm == pytest.approx(spare, abs=0.05)
    assert outline.edge.uncovered_share == 0
    assert outline.edge.least_cover_mm is not None
    assert outline.edge.least_cover_mm > 0
