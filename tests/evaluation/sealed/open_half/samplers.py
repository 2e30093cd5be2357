"""Samplers: shapes side by side, sewn in whatever order and manner comes up, with whatever mishap."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from shapely.ops import unary_union

from piecewright.cutting.passes import Role
from tests.evaluation.sealed import areas, tape, threads
from tests.evaluation.sealed.alphabet import letter
from tests.evaluation.sealed.curves import rings
from tests.evaluation.sealed.figures import at, card, disc, flower, heart, leaf, less, pebble, polygon, star

if TYPE_CHECKING:
    from shapely.geometry import Polygon

    from tests.evaluation.sealed.bench import Bench
    from tests.evaluation.sealed.edges import Cover, Tack

TACKS: tuple[Tack, ...] = ("run", "run", "twice", "back", "bean", "zigzag", "comb")
COVERS: tuple[Cover, ...] = ("satin", "satin", "run+satin", "zigzag+satin", "zigzag", "comb", "split")


def _forms(b: Bench) -> list[Polygon]:
    """Two to five shapes in a row, now and then one with a hole or a very small one."""
    out, x = [], 0.0
    for _ in range(int(b.rng.integers(2, 6))):
        size = float(b.rng.choice([9.0, b.rng.uniform(18, 35), b.rng.uniform(35, 75)], p=[0.1, 0.4, 0.5]))
        every = (
            heart(size),
            leaf(size, size * 0.45),
            flower(6, size / 2, 0.3),
            star(5, size / 2, 0.5),
            pebble(b.rng, size, 0.3),
            disc(0, 0, size / 2, 0.8),
            card(-size / 2, -size / 3, size / 2, size / 3, size / 12),
            polygon([(0, -size / 2), (size / 2, size / 3), (-size / 2, size / 3)]),
            less(disc(0, 0, size / 2), disc(0, 0, size / 4)) if size > 30 else disc(0, 0, size / 2),
            letter(str(b.rng.choice(list("BDEHLPRT8"))), max(size, 34), 3.4),
        )
        form = every[b.rng.integers(len(every))]
        x0, _, x1, _ = form.bounds
        out.append(at(form, x - x0, float(b.rng.uniform(-10, 10)), 0.0))
        x += x1 - x0 + float(b.rng.uniform(6, 15))
    return out


def sampler(b: Bench) -> None:
    """Pieces side by side."""
    keys = [b.piece(form) for form in _forms(b)]
    tack, cover = TACKS[b.rng.integers(len(TACKS))], COVERS[b.rng.integers(len(COVERS))]
    by = float(b.rng.choice([0.0, 0.5, 1.0])) if tack not in {"zigzag", "comb"} else 0.0
    way = (_in_turn, _by_kind, _finished_in_turn, _precut, _raw)[b.rng.integers(5)]
    way(b, keys, tack, cover, by)
    _extras(b, keys)
    _mishap(b, covers_may_run_on=way is _in_turn)


def _in_turn(b: Bench, keys: list[int], tack: Tack, cover: Cover, by: float) -> None:
    for key in keys:
        b.place(key)
        b.halt()
        b.tack(key, tack, by=by, width=2.0)
        b.halt()
        b.cover(key, cover)
        b.halt()


def _by_kind(b: Bench, keys: list[int], tack: Tack, cover: Cover, by: float) -> None:
    for key in keys:
        b.place(key)
    b.halt()
    for key in b.rng.permutation(keys).tolist():
        b.tack(key, tack, by=by, width=2.0)
    b.halt()
    for key in keys:
        b.cover(key, cover)
    b.halt()


def _finished_in_turn(b: Bench, keys: list[int], tack: Tack, cover: Cover, by: float) -> None:
    for key in keys:
        b.place(key)
    for key in keys:
        b.halt()
        b.tack(key, tack, by=by, width=2.0)
        b.cover(key, cover)
    b.halt()


def _precut(b: Bench, keys: list[int], tack: Tack, cover: Cover, by: float) -> None:
    for key in keys:
        b.place(key, laps=2)
        b.halt()
        b.tack(key, tack, by=by, width=2.0)
        b.cover(key, cover, on=True)
        b.halt()


def _raw(b: Bench, keys: list[int], tack: Tack, cover: Cover, by: float) -> None:
    del tack, cover
    for key in keys:
        b.place(key)
        b.halt()
        b.tack(key, "bean" if b.rng.random() < 0.5 else "twice", by=0.8 + by)
        b.halt()


def _extras(b: Bench, keys: list[int]) -> None:
    """What else stands in the design: details on a piece, lettering, echoes, a second line of the hoop."""
    regions = [b.pieces[key].region for key in keys]
    x0, _, x1, y1 = unary_union(regions).bounds
    if b.rng.random() < 0.4:
        spot = regions[0].representative_point()
        b.fill(disc(spot.x, spot.y, 1.5))
        b.halt()
    if b.rng.random() < 0.4:
        b.word(x0, y1 + 6, min(60.0, x1 - x0))
        b.halt()
    if b.rng.random() < 0.3:
        for one in areas.echoes(regions[-1], 5.0, 2):
            b.draw(b.line_open(one), role=Role.QUILTING)
    if b.rng.random() < 0.2:
        (frame,) = rings(card(x0 - 10, -60, x1 + 10, 60))
        b.draw(b.line_open(frame, 5.0))


def _mishap(b: Bench, *, covers_may_run_on: bool) -> None:
    luck = b.rng.random()
    if luck < 0.2:
        b.mishaps.append(tape.untrimmed)
    elif luck < 0.3:
        b.mishaps += [tape.untrimmed, tape.dragged]
    elif luck < 0.5:
        b.turned(
            float(b.rng.uniform(0, 360)),
            float(b.rng.choice([0.85, 1.0, 1.2])),
            mirrored=bool(b.rng.random() < 0.5),
        )
    elif luck < 0.6 and covers_may_run_on:
        b.mishaps.append(partial(tape.merged, halts=(2, 5, 8)))


def sampler_of_drawings(b: Bench) -> None:
    """Shapes that are drawn, filled, bordered, none of them cut."""
    for form in _forms(b):
        (_redwork, _bean, _sketch, _fill_then_line, _filled_between, _satin, _underlaid)[b.rng.integers(7)](
            b, form
        )
        if b.rng.random() < 0.6:
            b.halt()
    _mishap_of_drawing(b)


def _mishap_of_drawing(b: Bench) -> None:
    if b.rng.random() < 0.4:
        b.mishaps.append(tape.untrimmed)
    elif b.rng.random() < 0.5:
        b.turned(float(b.rng.uniform(0, 360)), float(b.rng.choice([0.85, 1.2])))


def _redwork(b: Bench, form: Polygon) -> None:
    for one in rings(form):
        b.draw(threads.there_and_back(b.line_open(one)))


def _bean(b: Bench, form: Polygon) -> None:
    for one in rings(form):
        b.draw(threads.bean(b.line_open(one)))


def _sketch(b: Bench, form: Polygon) -> None:
    for one in rings(form):
        for _ in range(3):
            b.draw(threads.loose(b.line_open(one), b.rng, 0.6))


def _fill_then_line(b: Bench, form: Polygon) -> None:
    b.fill(form, angle=float(b.rng.uniform(0, 180)))
    b.halt()
    _bean(b, form)


def _filled_between(b: Bench, form: Polygon) -> None:
    """Line, halt, fill, halt, satin."""
    for one in rings(form):
        b.draw(b.line_open(one), role=Role.UNDERLAY)
    b.halt()
    b.fill(form, angle=float(b.rng.uniform(0, 180)))
    b.halt()
    _satin(b, form)


def _satin(b: Bench, form: Polygon) -> None:
    for one in rings(form):
        b.ornament(threads.column(one, (0.0, one.length * 1.01), 1.8, 0.4))


def _underlaid(b: Bench, form: Polygon) -> None:
    """Run, zigzag and satin without a halt."""
    for one in rings(form):
        b.draw(b.line_open(one), role=Role.UNDERLAY)
        b.ornament(threads.column(one, (0.0, one.length), 1.4, 2.0), on=True, role=Role.UNDERLAY)
        b.ornament(threads.column(one, (0.0, one.length), 2.4, 0.4), on=True)


SAMPLERS = (sampler, sampler_of_drawings)
