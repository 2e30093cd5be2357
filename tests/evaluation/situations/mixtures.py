"""Whole designs put together by chance from everything that the other situations have one at a time."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from tests.evaluation import stitching
from tests.evaluation.lines import Line, dense
from tests.evaluation.shapes import circle, ellipse, heart, rectangle, rounded_rectangle
from tests.evaluation.situations.negatives import DETAIL, FILL, QUILTING, UNDERLAY
from tests.evaluation.ways import Cover

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.evaluation.studio import Studio
    from tests.evaluation.ways import Tack

Step = Literal["place", "tack", "cover"]


@dataclass
class Plan:
    """What is still to be done for one piece.

    Attributes:
        piece: Its index.
        tack: How it is tacked; None if its cover holds it.
        cover: How it is covered; None for a raw edge.
        steps: What is left, first first.
        placed_in: Block of its placement line.
    """

    piece: int
    tack: Tack | None
    cover: Cover | None
    steps: list[Step]
    placed_in: int = 0


def mixed_applique(studio: Studio) -> None:
    """One to six pieces, each made in its own way, in an order drawn by lot, among other stitching."""
    rng = studio.rng
    plans = [_plan(studio, k) for k in range(int(rng.integers(1, 7)))]
    if rng.random() < 0.2:
        _batting(studio)
    grouped = rng.random() < 0.5
    while any(plan.steps for plan in plans):
        ready = [plan for plan in plans if plan.steps]
        earliest = min(_rank(plan) for plan in ready)
        choices = [plan for plan in ready if _rank(plan) == earliest] if grouped else ready[:2]
        _do(studio, choices[int(rng.integers(len(choices)))])
        if rng.random() < 0.15:
            _decoration(studio)
        if rng.random() < 0.4:
            studio.halt()


def _rank(plan: Plan) -> int:
    return ("place", "tack", "cover").index(plan.steps[0])


def _plan(studio: Studio, cell: int) -> Plan:
    rng = studio.rng
    size = float(rng.uniform(20, 58))
    line = studio.shape(size).moved(cell % 3 * 72.0, cell // 3 * 72.0)
    holes: list[Line] = []
    middle = line.region.representative_point()
    room = middle.distance(line.region.exterior)
    if rng.random() < 0.15 and room > 11:
        x, y = middle.coords[0]
        holes = [circle(rng, float(rng.uniform(9, min(room, 24)))).moved(x, y)]
    piece = studio.piece(line, holes)
    cover = _cover(studio)
    tack = None if cover is not None and rng.random() < 0.15 else _tack(studio, big=size > 35 and not holes)
    if tack is None and cover is not None:
        cover = Cover(kind="satin", underlay="zigzag" if rng.random() < 0.5 else "centre", holds=True)
    steps: list[Step] = ["place"]
    steps += ["tack"] if tack is not None else []
    steps += ["cover"] if cover is not None else []
    return Plan(piece=piece, tack=tack, cover=cover, steps=steps)


def _tack(studio: Studio, *, big: bool) -> Tack:
    kinds: tuple[Tack, ...] = ("run", "run", "run", "double", "bean", "zigzag", "zigzag", "blanket")
    kinds += ("meander",) if big else ()
    return kinds[int(studio.rng.integers(len(kinds)))]


def _cover(studio: Studio) -> Cover | None:
    rng = studio.rng
    kind = rng.random()
    if kind < 0.12:
        return None
    if kind < 0.3:
        return Cover("zigzag") if kind < 0.2 else Cover("blanket")
    underlay = ("none", "none", "centre", "edge", "zigzag")[int(rng.integers(5))]
    return Cover(
        underlay=underlay,  # type: ignore[arg-type]  # chosen from its own values
        bias=float(rng.uniform(-0.3, 0.6)),
        columns=int(rng.integers(1, 5)) if rng.random() < 0.3 else 1,
        tails=float(rng.uniform(2, 5)) if rng.random() < 0.1 else 0.0,
    )


def _do(studio: Studio, plan: Plan) -> None:
    """The next step of a piece, after a halt if the sewer has to lay it first."""
    step = plan.steps.pop(0)
    if step == "place":
        _place(studio, plan.piece)
        plan.placed_in = studio.pen.block
        return
    if studio.pen.block == plan.placed_in:
        studio.halt()
    if step == "tack" and plan.tack is not None:
        studio.tack(plan.piece, plan.tack)
    elif plan.cover is not None:
        studio.cover(plan.piece, plan.cover)


def _place(studio: Studio, piece: int) -> None:
    """A placement line in one of the ways that are met."""
    rng = studio.rng
    line = studio.pieces[piece].line
    start = studio.begin(line)
    way = rng.random()
    if way < 0.5:
        studio.place(piece)
    elif way < 0.62:
        studio.place(piece, laps=2)
    elif way < 0.75:
        gap = min(float(rng.uniform(2, 9)), line.length / 14)
        studio.place(piece, [line.part(start, start + line.length - gap)])
    elif way < 0.87:
        cut = start + line.length * float(rng.uniform(0.3, 0.7))
        studio.place(piece, [line.part(start, cut), line.part(cut, start + line.length).reversed()])
    else:
        studio.place(piece, [line.part(start, start + line.length * 1.15)])


def _batting(studio: Studio) -> None:
    """A frame round everything, placed and tacked before the rest."""
    frame = rectangle(studio.rng, 240.0).moved(72.0, 36.0)
    x0, y0, x1, y1 = (-45.0, -45.0, 190.0, 120.0)
    frame = dense(np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)]))
    base = studio.piece(frame, kind="base")
    studio.place(base)
    studio.halt()
    studio.tack(base, "zigzag" if studio.rng.random() < 0.5 else "run")
    studio.halt()


def _decoration(studio: Studio) -> None:
    """Something of the rest of the picture, beside the pieces."""
    rng = studio.rng
    line = studio.shape(float(rng.uniform(10, 24))).moved(float(rng.uniform(0, 140)), -55.0)
    what = rng.random()
    if what < 0.4:
        studio.sew(stitching.fill(line.region.buffer(0), 0.45, 3.2, float(rng.uniform(0, 3))), FILL)
    elif what < 0.7:
        studio.sew(studio.running(studio.round(line), studio.stitch_for(line)), DETAIL)
    else:
        studio.sew(studio.running(studio.round(line), studio.stitch_for(line)), UNDERLAY)
        studio.sew(stitching.zigzag(studio.round(line), 1.8, 0.4), DETAIL)


def mixed_picture(studio: Studio) -> None:
    """A picture without any appliqué: each part filled, outlined or ringed in the ways that are met."""
    rng = studio.rng
    for cell in range(int(rng.integers(3, 8))):
        line = studio.shape(float(rng.uniform(18, 52))).moved(cell % 3 * 62.0, cell // 3 * 62.0)
        for part in _PARTS[int(rng.integers(len(_PARTS)))]:
            part(studio, line)
        if rng.random() < 0.5:
            studio.halt()


def _filled(studio: Studio, line: Line) -> None:
    region = line.region.buffer(0)
    studio.sew(stitching.fill(region, 0.45, 3.5, float(studio.rng.uniform(0, 3))), FILL)


def _edge_run(studio: Studio, line: Line) -> None:
    studio.sew(studio.running(studio.round(line.grown(-0.5)), studio.stitch_for(line)), UNDERLAY)


def _halt(studio: Studio, line: Line) -> None:
    del line
    studio.halt()


def _run(studio: Studio, line: Line) -> None:
    studio.sew(studio.running(studio.round(line), studio.stitch_for(line)), DETAIL)


def _bean(studio: Studio, line: Line) -> None:
    studio.sew(stitching.bean(studio.round(line), studio.stitch_for(line), studio.author.division), DETAIL)


def _satin(studio: Studio, line: Line) -> None:
    studio.sew(stitching.zigzag(studio.round(line), 2.2, 0.4), DETAIL)


def _motif(studio: Studio, line: Line) -> None:
    studio.sew(stitching.motif(studio.round(line), 3.0, 4.5), DETAIL)


def _twice(studio: Studio, line: Line) -> None:
    path = studio.round(line, lap=0.0)
    studio.sew(stitching.there_and_back(path, studio.stitch_for(line), "even", 0.3), DETAIL)


def _wander(studio: Studio, line: Line) -> None:
    studio.wander(line.region.buffer(-1.0), 4.0, QUILTING)


_PARTS: tuple[tuple[Callable[[Studio, Line], None], ...], ...] = (
    (_filled, _halt, _run),
    (_filled, _halt, _satin),
    (_edge_run, _filled, _halt, _satin),
    (_edge_run, _filled, _halt, _bean),
    (_run, _satin),
    (_satin, _halt, _run),
    (_twice,),
    (_bean,),
    (_run, _run, _satin),
    (_motif,),
    (_wander, _halt, _run),
    (_filled, _halt, _filled, _halt, _bean),
    (_run,),
)
"""How a part of a picture is sewn; nowhere does a lone line, a halt and the same line follow each other."""


def scene_with_frame(studio: Studio) -> None:
    """An oval frame of fabric, cut out in the middle, over a filled picture: the hole is as big as can be."""
    outer = studio.shape(float(studio.rng.uniform(90, 120)), circle, ellipse, rounded_rectangle)
    inner = outer.grown(-float(studio.rng.uniform(12, 16)))
    a = studio.piece(outer, [inner])
    motif = studio.shape(30.0, heart, circle)
    studio.sew(stitching.fill(motif.region.buffer(0), 0.45, 3.2, 0.4), FILL)
    studio.halt()
    studio.place(a)
    studio.halt()
    studio.tack(a)
    studio.halt()
    studio.cover(a)


MIXTURES: tuple[Callable[[Studio], None], ...] = (mixed_applique, mixed_picture, scene_with_frame)
