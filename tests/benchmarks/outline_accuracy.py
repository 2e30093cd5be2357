"""The accuracy of cut outlines on analytic shapes, beside plain polygon offsetting, in one command.

    python -m tests.benchmarks.outline_accuracy [--noise MM] [--letters] [--uneven] [--quick] [--shapes]

Each shape is stitched at 1.5, 2.5 and 3.5 mm from several starts, its needle points rounded to 0.1 mm,
outlined with offsets of 0 and 1.5 mm, and compared with the analytic outline moved by the same offset.
Shapes that bend with a radius under 1.2 stitch lengths are left out: there needle points cannot tell
a bend from a corner. ``--noise 0.05`` moves every needle point evenly by up to 0.05 mm in x and y before
it is rounded. ``--letters`` measures printed letters instead, which nobody drew for this program;
``--uneven`` sews stitches of 0.35 to 1 times the length.

Terms: the *deviation* of an outline is its greatest distance from the analytic one, or that from it,
whichever is more; a *kink* is a turn of more than 3 degrees where the analytic outline has no corner.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import defaultdict
from dataclasses import dataclass, field
from functools import cache
from typing import TYPE_CHECKING, Final

import numpy as np
from scipy.spatial import cKDTree

from piecewright.cutting import geometry as geo
from piecewright.cutting.geometry import FloatArray, Region, frozen
from piecewright.cutting.outlines import cut_outlines
from piecewright.cutting.outlines.cubics import most_nodes
from piecewright.cutting.pieces import Piece, Understanding
from piecewright.cutting.rules import OutlineRules
from tests.analytic_shapes import Shape, needle_points, shapes
from tests.letter_shapes import letters

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

STITCHES_MM: Final = (1.5, 2.5, 3.5)
OFFSETS_MM: Final = (0.0, 1.5)
UNEVEN: Final = 0.35
PHASES: Final = (0.0, 0.29, 0.47, 0.63, 0.85)
LEAST_RADIUS: Final = 1.2
KINK_DEG: Final = 3.0
NEAR_CORNER_MM: Final = 0.6
LOST_DEG: Final = 40.0
TRUTH_STEP_MM: Final = 0.1
OURS_STEP_MM: Final = 0.04
FIGURES: Final = {0.0: (0.06, 0.12, 0.2), 0.05: (0.08, 0.19, 0.3)}
"""Median, nine of ten, worst deviation to reach, without and with needle noise."""


@dataclass(slots=True)
class Score:
    """What was measured of one way to outline."""

    deviation: list[float] = field(default_factory=list)
    mean: list[float] = field(default_factory=list)
    nodes: list[int] = field(default_factory=list)
    over_nodes: int = 0
    kinks: list[int] = field(default_factory=list)
    lost: int = 0
    corners: int = 0
    milliseconds: list[float] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Case:
    """One shape, stitched one way, to be outlined with one offset."""

    shape: Shape
    needles: FloatArray
    offset_mm: float


def main(arguments: list[str] | None = None) -> int:
    """Measure and print; 1 if a figure is missed."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument(
        "--noise", type=float, default=0.0, metavar="MM", help="needle noise, evenly up to this"
    )
    parser.add_argument("--letters", action="store_true", help="printed letters instead of analytic shapes")
    parser.add_argument("--uneven", action="store_true", help="stitches of uneven length")
    parser.add_argument("--quick", action="store_true", help="one start for each shape instead of five")
    parser.add_argument("--shapes", action="store_true", help="one row for each shape")
    options = parser.parse_args(arguments)
    phases = PHASES[1:2] if options.quick else PHASES
    ways = {"piecewright": ours, "polygon offset": _polygon}
    scores: dict[str, dict[str, Score]] = {name: defaultdict(Score) for name in ways}
    measured = letters() if options.letters else shapes()
    for case in _cases(measured, phases, options.noise, UNEVEN if options.uneven else 1.0):
        for name, outline in ways.items():
            measure(case, outline, scores[name][case.shape.name])
    if options.shapes:
        _print_shapes(scores)
    totals = {name: _total(rows.values()) for name, rows in scores.items()}
    print(
        f"{len(measured)} shapes, {len(totals['piecewright'].deviation)} outlines, noise {options.noise:g} mm"
    )
    _print(totals, options.noise)
    return 0 if _reached(totals["piecewright"], options.noise) else 1


def _cases(
    measured: tuple[Shape, ...], phases: tuple[float, ...], noise_mm: float, shortest: float
) -> Iterator[Case]:
    for shape in measured:
        for stitch in STITCHES_MM:
            if shape.least_radius_mm < LEAST_RADIUS * stitch:
                continue
            for phase in phases:
                needles = needle_points(shape, stitch, phase, noise_mm=noise_mm, shortest=shortest)
                for offset in OFFSETS_MM:
                    yield Case(shape, needles, offset)


def ours(needles: FloatArray, offset_mm: float) -> FloatArray:
    """The cut outline as the program makes it, (m, 4, 2)."""
    piece = Piece(
        id="A",
        kind="applique",
        line=Region(exterior=frozen(needles)),
        placement=(),
        tack_down=(),
        cover=(),
        confidence=1.0,
        evidence=(),
        cut=True,
    )
    made = cut_outlines(
        Understanding(passes=(), pieces=(piece,), findings=()), OutlineRules(offset=f"{offset_mm} mm")
    )
    return made.outlines[0].curve.exterior


def _polygon(needles: FloatArray, offset_mm: float) -> FloatArray:
    """The polygon of needle points moved out, as straight cubics."""
    return geo.curved(geo.grow(Region(exterior=frozen(needles)), offset_mm)[0]).exterior


def measure(case: Case, outline: Callable[[FloatArray, float], FloatArray], score: Score) -> None:
    """Add what one outline is like to a score."""
    started = time.process_time()
    curve = outline(case.needles, case.offset_mm)
    score.milliseconds.append(1000 * (time.process_time() - started))
    truth, truth_points, truth_corners = _truth(case.shape, case.offset_mm)
    ring = geo.flatten(curve, 0.001)
    points = geo.spaced(ring, OURS_STEP_MM)
    there = np.asarray(truth.query(points)[0])
    back = np.asarray(cKDTree(points).query(truth_points)[0])
    score.deviation.append(float(max(there.max(), back.max())))
    score.mean.append(float(there.mean()))
    score.nodes.append(len(curve))
    score.over_nodes += len(curve) > most_nodes(len(case.shape.corners), geo.ring_length(ring))
    joints, turns = _joints(curve)
    turning = joints[turns > KINK_DEG]
    score.kinks.append(int((_far(turning, truth_corners) > NEAR_CORNER_MM).sum()))
    if case.offset_mm == 0:
        sharp = case.shape.corners[case.shape.corner_turns_deg >= LOST_DEG - 0.05]
        score.corners += len(sharp)
        score.lost += int((_far(sharp, joints[turns > LOST_DEG / 2]) > NEAR_CORNER_MM).sum())


@cache
def _truth(shape: Shape, offset_mm: float) -> tuple[cKDTree, FloatArray, FloatArray]:
    """The analytic outline moved by an offset: a tree of dense points, some of them, and its corners."""
    ring = geo.grow(shape.region, offset_mm)[0].exterior if offset_mm else shape.ring
    _, turns = _joints(geo.curved(Region(exterior=frozen(ring))).exterior)
    corners = np.roll(ring, -1, axis=0)[turns > 10]
    return cKDTree(geo.spaced(ring, 0.02)), geo.spaced(ring, TRUTH_STEP_MM), corners


def _joints(curve: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Where cubics meet and by how much they turn there, degrees."""
    arrive, leave = curve[:, 3] - curve[:, 2], np.roll(curve[:, 1] - curve[:, 0], -1, axis=0)
    cross = arrive[:, 0] * leave[:, 1] - arrive[:, 1] * leave[:, 0]
    return curve[:, 3], np.abs(np.degrees(np.arctan2(cross, (arrive * leave).sum(axis=1))))


def _far(points: FloatArray, others: FloatArray) -> FloatArray:
    """Distance of each point from the nearest of the others."""
    if len(points) == 0 or len(others) == 0:
        return np.full(len(points), np.inf)
    return np.asarray(cKDTree(others).query(points)[0])


def _total(rows: Iterable[Score]) -> Score:
    total = Score()
    for row in rows:
        total.deviation += row.deviation
        total.mean += row.mean
        total.nodes += row.nodes
        total.kinks += row.kinks
        total.milliseconds += row.milliseconds
        total.over_nodes += row.over_nodes
        total.lost += row.lost
        total.corners += row.corners
    return total


def _reached(score: Score, noise_mm: float) -> bool:
    median, most, worst = FIGURES[0.0 if noise_mm == 0 else 0.05]
    return (
        float(np.median(score.deviation)) <= median
        and float(np.quantile(score.deviation, 0.9)) <= most
        and max(score.deviation) <= worst
        and score.over_nodes == 0
        and sum(score.kinks) == 0
        and score.lost == 0
    )


def _print(totals: dict[str, Score], noise_mm: float) -> None:
    median, most, worst = FIGURES[0.0 if noise_mm == 0 else 0.05]
    print(f"{'':34}{''.join(f'{name:>16}' for name in totals)}{'to reach':>12}")
    rows: tuple[tuple[str, Callable[[Score], str], str], ...] = (
        ("worst deviation, median, mm", lambda s: f"{np.median(s.deviation):.3f}", f"{median:.2f}"),
        ("  nine of ten", lambda s: f"{np.quantile(s.deviation, 0.9):.3f}", f"{most:.2f}"),
        ("  worst of all", lambda s: f"{max(s.deviation):.3f}", f"{worst:.2f}"),
        ("mean deviation, mm", lambda s: f"{np.mean(s.mean):.4f}", "0.02" if noise_mm == 0 else ""),
        ("nodes, median", lambda s: f"{np.median(s.nodes):.0f}", "15"),
        ("outlines with too many nodes", lambda s: str(s.over_nodes), "0"),
        ("kinks, median", lambda s: f"{np.median(s.kinks):.0f}", "0"),
        ("kinks, all", lambda s: str(sum(s.kinks)), "0"),
        ("corners of 40 degrees lost", lambda s: f"{s.lost} of {s.corners}", "0"),
        ("time, median, ms", lambda s: f"{np.median(s.milliseconds):.1f}", "50"),
    )
    for label, value, goal in rows:
        print(f"{label:34}{''.join(f'{value(score):>16}' for score in totals.values())}{goal:>12}")


def _print_shapes(scores: dict[str, dict[str, Score]]) -> None:
    print(f"{'shape':26}{'median':>8}{'worst':>8}{'nodes':>7}{'polygon':>9}{'worst':>8}{'nodes':>7}")
    for name, ours in scores["piecewright"].items():
        plain = scores["polygon offset"][name]
        print(
            f"{name:26}{np.median(ours.deviation):8.3f}{max(ours.deviation):8.3f}{np.median(ours.nodes):7.0f}"
            f"{np.median(plain.deviation):9.3f}{max(plain.deviation):8.3f}{np.median(plain.nodes):7.0f}"
        )
    print()


if __name__ == "__main__":
    sys.exit(main())
