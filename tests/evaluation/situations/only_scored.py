"""Situations that only the scored part has, so that nothing is made to fit them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from shapely.geometry import LineString, Polygon

from piecewright.cutting.passes import Role
from tests.evaluation import stitching
from tests.evaluation.lines import Line, dense, largest
from tests.evaluation.pen import Meaning
from tests.evaluation.shapes import bird, blob, circle, ellipse, heart, leaf, rectangle, star, teardrop
from tests.evaluation.situations.negatives import DECORATIVE, DETAIL, FILL, QUILTING, UNDERLAY, scattered
from tests.evaluation.ways import Cover

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.evaluation.studio import Studio


def letters_with_counters(studio: Studio) -> None:
    """A word in fat letters: the round ones have holes."""
    forms = {
        "O": [[(0.5, 0.0), (0.0, 0.5), (0.5, 1.0), (1.0, 0.5), (0.5, 0.0)]],
        "A": [[(0.0, 1.0), (0.45, 0.0), (0.9, 1.0)], [(0.2, 0.62), (0.7, 0.62)]],
        "D": [[(0.0, 0.0), (0.0, 1.0), (0.45, 0.95), (0.7, 0.5), (0.45, 0.05), (0.0, 0.0)]],
        "P": [[(0.0, 1.0), (0.0, 0.0), (0.45, 0.03), (0.62, 0.28), (0.45, 0.53), (0.0, 0.55)]],
        "N": [[(0.0, 1.0), (0.0, 0.0), (0.7, 1.0), (0.7, 0.0)]],
    }
    height = float(studio.rng.uniform(55, 80))
    pieces = []
    for k, name in enumerate(studio.rng.choice(sorted(forms), 3, replace=False).tolist()):
        strokes = [
            LineString(np.array(s) * height).buffer(height * 0.11, join_style="mitre") for s in forms[name]
        ]
        whole = strokes[0] if len(strokes) == 1 else strokes[0].union(strokes[1])
        letter = largest(whole)
        holes = [dense(np.array(ring.coords)) for ring in letter.interiors if Polygon(ring).area > 40]
        shift = k * height * 1.5
        pieces.append(
            studio.piece(
                dense(np.array(letter.exterior.coords)).moved(shift, 0), [h.moved(shift, 0) for h in holes]
            )
        )
    for a in pieces:
        studio.place(a)
    studio.halt()
    for a in pieces:
        studio.tack(a)
    studio.halt()
    for a in pieces:
        studio.cover(a, Cover(width=2.8))


def long_stitch_placement(studio: Studio) -> None:
    """Dashes of 4 to 5 mm are easily unpicked; tack-down and satin are fine."""
    a = studio.piece(studio.shape(float(studio.rng.uniform(60, 95)), circle, ellipse, heart, blob, leaf))
    line = studio.pieces[a].line
    studio.place(a, [studio.round(line)], stitch=float(studio.rng.uniform(4.0, 5.0)))
    studio.halt()
    studio.tack(a)
    studio.halt()
    studio.cover(a)


def placement_in_many_runs(studio: Studio) -> None:
    """An automatic digitiser's line: five runs in no order, each in its own direction."""
    a = studio.piece(studio.shape(float(studio.rng.uniform(55, 95))))
    line = studio.pieces[a].line
    cuts = np.sort(studio.rng.uniform(0, 1, 5)) * line.length
    cuts = np.linspace(0, line.length, 6)[:-1] * 0.7 + cuts * 0.3
    runs = [
        line.part(float(p), float(q)) for p, q in zip(cuts, [*cuts[1:], cuts[0] + line.length], strict=True)
    ]
    order = studio.rng.permutation(5)
    studio.place(a, [runs[k] if studio.rng.random() < 0.5 else runs[k].reversed() for k in order])
    studio.halt()
    studio.tack(a)
    studio.halt()
    studio.cover(a)


def covers_last_in_reverse(studio: Studio) -> None:
    """Six pieces, each placed and tacked in its turn; all covers at the end, last piece first."""
    pieces = studio.row(6, float(studio.rng.uniform(28, 45)))
    for a in pieces:
        studio.place(a)
        studio.halt()
        studio.tack(a, "zigzag" if studio.rng.random() < 0.5 else "run")
        studio.halt()
    for a in pieces[::-1]:
        studio.cover(a)


def bird_with_wing(studio: Studio) -> None:
    """A wing lies on the body: placed when the body is held, partly beyond its edge."""
    body = studio.piece(studio.shape(95.0, bird))
    wing = studio.piece(studio.shape(38.0, teardrop, leaf).moved(4, -12))
    studio.place(body)
    studio.halt()
    studio.tack(body)
    studio.halt()
    studio.place(wing)
    studio.halt()
    studio.tack(wing)
    studio.halt()
    eye = circle(studio.rng, 5.0).moved(-32, -4)
    studio.cover(body)
    studio.sew(stitching.fill(eye.region, 0.4, 2.5), Meaning(Role.FILL, DECORATIVE))
    studio.halt()
    studio.cover(wing)


def coaster(studio: Studio) -> None:
    """Made in the hoop: batting and cloth on one line, a piece on top, the edge closed with satin."""
    frame = studio.shape(float(studio.rng.uniform(95, 110)), circle, rectangle)
    ground = studio.piece(frame, kind="either")
    studio.place(ground)
    studio.halt()
    studio.tack(ground)
    studio.halt()
    studio.tack(ground, "zigzag")
    studio.halt()
    a = studio.piece(studio.shape(float(studio.rng.uniform(38, 50))))
    studio.place(a)
    studio.halt()
    studio.tack(a)
    studio.halt()
    studio.cover(a)
    studio.halt()
    studio.tack(ground)
    studio.halt()
    studio.cover(ground)


def ring_of_overlapping_pieces(studio: Studio) -> None:
    """Each piece laps over the one before; the hidden part of each line is sewn all the same."""
    size = float(studio.rng.uniform(38, 50))
    pieces = []
    for k in range(5):
        angle = 2 * np.pi * k / 5
        line = studio.shape(size, circle, ellipse, heart, leaf)
        pieces.append(studio.piece(line.moved(24 * np.cos(angle), 24 * np.sin(angle))))
    for a in pieces:
        studio.place(a)
        studio.halt()
        studio.tack(a)
        studio.halt()
    for a in pieces:
        studio.cover(a)


def placement_named_in_the_thread_list(studio: Studio) -> None:
    """Raw edge in one go: placement, then a single tack-down that is all there is."""
    a = studio.piece(studio.shape(float(studio.rng.uniform(45, 90))))
    studio.pen.halt(0x3F6F8F, "placement line")
    studio.place(a)
    studio.pen.halt(0xA4552F, "tack down")
    studio.tack(a)


def dots_of_6_mm(studio: Studio) -> None:
    pieces = studio.row(9, 6.5, circle)
    for a in pieces:
        studio.place(a)
    studio.halt()
    for a in pieces:
        studio.tack(a)
        studio.cover(a, Cover(width=1.4))


def echo_round_an_applique(studio: Studio) -> None:
    """Quilting lines go round the covered piece at growing distance."""
    a = studio.piece(studio.shape(float(studio.rng.uniform(40, 60))))
    studio.place(a)
    studio.halt()
    studio.tack(a)
    studio.halt()
    studio.cover(a)
    studio.halt()
    for k in (1, 2, 3):
        studio.sew(studio.running(studio.round(studio.pieces[a].line.grown(5.0 * k)), 2.6), QUILTING)


def two_designs_in_one_file(studio: Studio) -> None:
    """A filled motif in its own colours beside an appliqué."""
    other = studio.shape(45.0, star, heart).moved(-85, 0)
    studio.sew(stitching.fill(other.region.buffer(0), 0.45, 3.2, 0.8), FILL)
    studio.halt()
    studio.sew(stitching.zigzag(studio.round(other), 2.4, 0.4), DETAIL)
    studio.halt()
    a = studio.piece(studio.shape(float(studio.rng.uniform(45, 70))))
    studio.place(a)
    studio.halt()
    studio.tack(a, "zigzag")
    studio.halt()
    studio.cover(a)


def drawing_in_two_shades(studio: Studio) -> None:
    """The second colour draws beside the first, never on it."""
    lines = scattered(studio, 4, 35, 60)
    for inset in (0.0, 3.0):
        for line in lines:
            studio.sew(studio.running(studio.round(line.grown(-inset)), 2.2), DETAIL)
        studio.halt()


def monogram_in_a_frame(studio: Studio) -> None:
    """Satin letters, a satin frame over its own runs, a motif ring round it."""
    frame = studio.shape(90.0, circle, ellipse)
    studio.sew(stitching.run(dense(np.array([(-12.0, 18.0), (-12.0, -18.0)])), 2.0, "even"), UNDERLAY)
    studio.sew(stitching.zigzag(dense(np.array([(-12.0, -18.0), (-12.0, 18.0)])), 4.0, 0.4), DETAIL)
    studio.sew(stitching.zigzag(dense(np.array([(10.0, -18.0), (10.0, 18.0)])), 4.0, 0.4), DETAIL)
    studio.halt()
    studio.sew(studio.running(studio.round(frame), 2.2), UNDERLAY)
    studio.sew(stitching.zigzag(studio.round(frame), 3.0, 0.4), DETAIL)
    studio.halt()
    studio.sew(stitching.motif(studio.round(frame.grown(5.0)), 3.5, 4.5), DETAIL)


def feather_quilting(studio: Studio) -> None:
    """Lobes along a spine, each closing on the spine, sewn twice where they meet."""
    for side in (1.0, -1.0):
        points = []
        for k in range(9):
            t = np.linspace(0, np.pi, 40)
            lobe = np.column_stack([k * 10.0 + 5 - 5 * np.cos(t), side * 14 * np.sin(t)])
            points.append(np.vstack([lobe, lobe[::-1][:12]]))
        studio.sew(stitching.run(Line(np.vstack(points)), 2.2, "even"), QUILTING)
        if side > 0:
            studio.halt()


def fringe_and_fill(studio: Studio) -> None:
    """Two shades of fill with ragged common edges, and a bean outline over all."""
    line = studio.shape(70.0, circle, ellipse, blob)
    x0, y0, x1, y1 = line.region.bounds
    upper = studio.cut_out(line, (x0, y0, x1, (y0 + y1) / 2 + 1))
    lower = studio.cut_out(line, (x0, (y0 + y1) / 2 - 1, x1, y1))
    for half in (upper, lower):
        studio.sew(stitching.fill(half.region, 0.45, 3.4, 1.3), FILL)
        studio.halt()
    studio.sew(stitching.bean(studio.round(line), 2.4, "even"), DETAIL)
    studio.halt()
    studio.sew(stitching.bean(studio.round(line.grown(-line.size.min() / 3)), 2.4, "even"), DETAIL)


ONLY_SCORED: tuple[Callable[[Studio], None], ...] = (
    letters_with_counters,
    long_stitch_placement,
    placement_in_many_runs,
    covers_last_in_reverse,
    bird_with_wing,
    coaster,
    ring_of_overlapping_pieces,
    placement_named_in_the_thread_list,
    dots_of_6_mm,
    echo_round_an_applique,
    two_designs_in_one_file,
    drawing_in_two_shades,
    monogram_in_a_frame,
    feather_quilting,
    fringe_and_fill,
)
