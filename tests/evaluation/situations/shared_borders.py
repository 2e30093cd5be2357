"""Pieces that abut, whose common border is drawn once; and lines on a piece or in a drawing that look so."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely.geometry import LinearRing, LineString, Polygon

from piecewright.cutting.passes import Role
from tests.evaluation import stitching
from tests.evaluation.lines import Line, dense
from tests.evaluation.pen import Meaning
from tests.evaluation.shapes import circle, ellipse, heart, leaf, rectangle, rounded_rectangle
from tests.evaluation.situations.negatives import DETAIL

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from tests.evaluation.studio import Studio
    from tests.evaluation.ways import Tack

PLACES = Meaning(Role.PLACEMENT)


def _across(line: Line, first: float, last: float, bow: float = 0.0) -> Line:
    """A line from one place of a closed line to another, in shares of its length, and how far it bows."""
    a, b = line.at(np.array([first, last]) * line.length)
    t = np.linspace(0, 1, 200)[:, None]
    side = np.array([-(b - a)[1], (b - a)[0]])
    return dense(a * (1 - t) + b * t + 4 * bow * t * (1 - t) * side)


def _cells(studio: Studio, rims: Sequence[Line], dividers: Sequence[Line]) -> list[int]:
    """A piece for each face of what the lines draw."""
    drawn = shapely.union_all(
        [LinearRing(line.points) for line in rims] + [_longer(line) for line in dividers]
    )
    faces = [face for face in shapely.get_parts(shapely.polygonize([drawn])) if face.area > 20]
    pieces = [studio.piece(dense(np.array(face.exterior.coords))) for face in faces]
    for k in pieces:
        studio.pieces[k].sewn = Polygon(studio.pieces[k].line.points)
    return pieces


def _longer(line: Line) -> LineString:
    """A little longer at both ends, so that it crosses what it ends on."""
    ends = [line.points[i] + 0.4 * (line.points[i] - line.points[j]) for i, j in ((0, 5), (-1, -6))]
    return LineString(np.vstack([ends[0], line.points, ends[1]]))


def _draw(studio: Studio, rims: Sequence[Line], dividers: Sequence[Line], meaning: Meaning = PLACES) -> None:
    for line in rims:
        studio.sew(studio.running(studio.round(line), studio.stitch_for(line)), meaning)
    for line in dividers:
        studio.sew(studio.running(line, studio.stitch_for(rims[0])), meaning)


def _held(studio: Studio, pieces: Sequence[int], *, apart: bool) -> None:
    """Each piece by itself, after a halt of its own or all in one block."""
    inset = float(studio.rng.uniform(0.6, 1.6))
    kinds: tuple[Tack, ...] = ("run", "double", "zigzag", "bean")
    kind = kinds[int(studio.rng.integers(4))]
    for a in pieces:
        studio.tack(a, kind, inset=inset)
        if apart:
            studio.halt()
    if not apart:
        studio.halt()


def _covered(studio: Studio, rims: Sequence[Line], dividers: Sequence[Line]) -> None:
    width = studio.author.satin_width
    meaning = Meaning(Role.COVER)
    for line in (*dividers, *(studio.round(rim) for rim in rims)):
        studio.sew(stitching.zigzag(line, width, 0.4), meaning)


def two_colours_in_one_outline(studio: Studio) -> None:
    """A whole outline and one line across it; each half laid and held by itself."""
    rng = studio.rng
    rim = studio.shape(float(rng.uniform(45, 80)), circle, ellipse, rounded_rectangle, heart)
    first = float(rng.uniform(0, 0.5))
    line = _across(rim, first, first + float(rng.uniform(0.4, 0.55)), float(rng.uniform(-0.12, 0.12)))
    pieces = _cells(studio, [rim], [line])
    _draw(studio, [rim], [line])
    studio.halt()
    _held(studio, pieces, apart=True)
    _covered(studio, [rim], [line])


def window_with_panes(studio: Studio) -> None:
    """A frame line and the bars across it, each bar drawn once from side to side."""
    rng = studio.rng
    rim = rectangle(rng, float(rng.uniform(60, 90)))
    low, high = rim.points.min(axis=0), rim.points.max(axis=0)
    bars = []
    for axis in (0, 1):
        count = int(rng.integers(1, 3))
        for k in range(count):
            at = low[axis] + (high[axis] - low[axis]) * (k + 1) / (count + 1)
            ends = np.array([low, high])
            ends[:, axis] = at
            bars.append(dense(ends))
    pieces = _cells(studio, [rim], bars)
    _draw(studio, [rim], bars)
    studio.halt()
    _held(studio, pieces, apart=rng.random() < 0.5)
    _covered(studio, [rim], bars)


def hexagon_in_its_ring(studio: Studio) -> None:
    """A middle, a ring round it, and spokes from one to the other."""
    rng = studio.rng
    outer = circle(rng, float(rng.uniform(70, 95)))
    corners, turn = int(rng.integers(5, 8)), float(rng.uniform(0, 1))
    around = (np.arange(corners + 1) / corners + turn) * 2 * np.pi
    way = np.column_stack([np.cos(around), np.sin(around)])
    radius = float(outer.size[0]) / 2
    inner = dense(way * radius * float(rng.uniform(0.4, 0.5)))
    spokes = [
        dense(np.array([inner.points[0] * 0 + way[k] * np.hypot(*inner.points[0]), way[k] * radius]))
        for k in range(corners)
    ]
    pieces = _cells(studio, [outer, inner], spokes)
    _draw(studio, [outer, inner], spokes)
    studio.halt()
    _held(studio, pieces, apart=rng.random() < 0.3)
    _covered(studio, [outer, inner], spokes)


def pieced_leaf(studio: Studio) -> None:
    """A leaf of two fabrics that meet along its midrib, from tip to tip."""
    rng = studio.rng
    rim = leaf(rng, float(rng.uniform(60, 90)))
    tips = rim.corners[:2] / rim.length if len(rim.corners) > 1 else np.array([0.0, 0.5])
    rib = _across(rim, float(tips[0]), float(tips[1]) if len(rim.corners) > 1 else 0.5, 0.03)
    pieces = _cells(studio, [rim], [rib])
    _draw(studio, [rim], [rib])
    studio.halt()
    _held(studio, pieces, apart=True)
    _covered(studio, [rim], [rib])


def half_drawn_whole_and_the_rest_open(studio: Studio) -> None:
    """The first piece is drawn whole, its neighbour only as far as the first does not draw it."""
    rng = studio.rng
    rim = studio.shape(float(rng.uniform(45, 75)), circle, ellipse, rounded_rectangle)
    first, share = float(rng.uniform(0, 1)), float(rng.uniform(0.42, 0.58))
    whole = rim.length
    arc = rim.part(first * whole, (first + share) * whole)
    back = dense(np.array([arc.points[-1], arc.points[0]]))
    half = Line(np.vstack([arc.points, back.points[1:]]))
    onward = rim.part((first + share) * whole, (first + 1.0) * whole)
    rest = Line(np.vstack([arc.points[-1:], onward.points[1:-1], arc.points[:1]]))
    pieces = _cells(studio, [half], [rest])
    _draw(studio, [half], [rest])
    studio.halt()
    _held(studio, pieces, apart=True)
    _covered(studio, [half], [rest])


def leaf_with_its_vein_drawn(studio: Studio) -> None:
    """One piece, on whose placement line the vein is marked too; satin goes along both later."""
    rng = studio.rng
    a = studio.piece(leaf(rng, float(rng.uniform(50, 80))))
    rim = studio.pieces[a].line
    tips = rim.corners[:2] / rim.length if len(rim.corners) > 1 else np.array([0.0, 0.5])
    vein = _across(rim, float(tips[0]), float(tips[-1]))
    studio.place(a)
    studio.sew(studio.running(vein, studio.stitch_for(rim)), DETAIL)
    studio.halt()
    studio.tack(a, inset=float(rng.uniform(0.0, 1.2)))
    studio.halt()
    studio.sew(stitching.zigzag(vein, 2.0, 0.4), DETAIL)
    studio.cover(a)


def stained_glass_drawing(studio: Studio) -> None:
    """A drawing of panes, and each pane's outline again in another thread: nothing to cut."""
    rng = studio.rng
    rim = studio.shape(float(rng.uniform(50, 80)), circle, rectangle, ellipse)
    lines = [_across(rim, 0.0, 0.5), _across(rim, 0.25, 0.75)]
    _draw(studio, [rim], lines, DETAIL)
    studio.halt()
    drawn = shapely.union_all([LinearRing(rim.points), *map(_longer, lines)])
    for face in shapely.get_parts(shapely.polygonize([drawn])):
        pane = dense(np.array(face.exterior.coords))
        path, length = studio.round(pane), studio.stitch_for(pane)
        points = stitching.bean(path, length, "even") if rng.random() < 0.5 else studio.running(path, length)
        studio.sew(points, DETAIL)


SHARED_BORDERS: tuple[Callable[[Studio], None], ...] = (
    two_colours_in_one_outline,
    window_with_panes,
    hexagon_in_its_ring,
    pieced_leaf,
    half_drawn_whole_and_the_rest_open,
    leaf_with_its_vein_drawn,
    stained_glass_drawing,
)
