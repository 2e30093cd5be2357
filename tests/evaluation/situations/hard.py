"""Appliqué that is easily misread: blocks that do two jobs, petals, sketchy edges, busy surroundings."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from piecewright.cutting.passes import Role
from tests.evaluation import stitching
from tests.evaluation.lines import Line, dense
from tests.evaluation.pen import Meaning
from tests.evaluation.shapes import blob, circle, ellipse, heart, rectangle, rounded_rectangle
from tests.evaluation.situations.negatives import DECORATIVE, DETAIL, FILL
from tests.evaluation.ways import Cover

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.evaluation.studio import Studio

    Step = Callable[[int], None]


def tack_shares_its_block_with_the_next_placement(studio: Studio) -> None:
    """To save halts the tack-down of one piece and the placement of the next are sewn in one go."""
    pieces = studio.row(3, float(studio.rng.uniform(35, 70)))
    studio.place(pieces[0])
    for done, following in zip(pieces, [*pieces[1:], None], strict=True):
        studio.halt()
        studio.tack(done)
        if following is not None:
            studio.place(following)
    studio.halt()
    for a in pieces:
        studio.cover(a)


def cover_shares_its_block_with_the_next_placement(studio: Studio) -> None:
    pieces = studio.row(3, float(studio.rng.uniform(35, 70)))
    studio.place(pieces[0])
    for done, following in zip(pieces, [*pieces[1:], None], strict=True):
        studio.halt()
        studio.tack(done)
        studio.halt()
        studio.cover(done)
        if following is not None:
            studio.place(following)


def double_placement(studio: Studio) -> None:
    """The placement line is sewn there and back, so that it is seen well."""
    a = studio.piece(studio.shape(float(studio.rng.uniform(40, 80))))
    path = studio.round(studio.pieces[a].line, lap=0.0)
    studio.place(a, [path, path.reversed()], joined=True)
    studio.halt()
    studio.tack(a)
    studio.halt()
    studio.cover(a)


def petals_open_at_the_base(studio: Studio) -> None:
    """Petals whose lines, tack-downs and covers stop where the flower's middle will lie over them."""
    count, inner, outer = int(studio.rng.integers(4, 7)), 13.0, float(studio.rng.uniform(34, 46))
    spread = np.pi / count * 0.92
    t = np.linspace(0, np.pi, 160)
    across = np.sin(t) ** 0.8 * np.tan(spread) * (inner + 14)
    across[[0, -1]] = 0
    half = float(studio.rng.uniform(3.0, 5.5))
    edge = np.column_stack(
        [inner + (outer - inner) * np.sin(t), -half * np.cos(t) - across * np.cos(t) * 0.55]
    )
    pieces = []
    for k in range(count):
        c, s = np.cos(2 * np.pi * k / count), np.sin(2 * np.pi * k / count)
        petal = edge @ np.array([[c, s], [-s, c]])
        pieces.append((studio.piece(dense(np.vstack([petal, petal[:1]]))), dense(petal)))
    for a, path in pieces:
        studio.place(a, [path if studio.rng.random() < 0.5 else path.reversed()])
    studio.halt()
    spans = {a: [(0.0, path.length / studio.pieces[a].line.length)] for a, path in pieces}
    for a, _ in pieces:
        studio.tack(a, spans=spans[a])
    studio.halt()
    for a, _ in pieces:
        studio.cover(a, Cover(width=3.0), spans=spans[a])
    middle = studio.piece(circle(studio.rng, 2 * inner + 8))
    studio.halt()
    studio.place(middle)
    studio.halt()
    studio.tack(middle)
    studio.halt()
    studio.cover(middle, Cover(width=3.0))


def sketched_raw_edge(studio: Studio) -> None:
    """The tack-down is three wobbling laps, as if drawn by hand; nothing else holds the piece."""
    a = studio.piece(studio.shape(float(studio.rng.uniform(45, 80)), circle, ellipse, heart, blob))
    studio.place(a)
    studio.halt()
    line = studio.pieces[a].line
    path = line.part(5.0, 5.0 + 3 * line.length)
    where = stitching.divided(path, 2.4, "even")
    wobble = sum(
        studio.rng.uniform(0.2, 0.5) * np.sin(where / studio.rng.uniform(4, 14) + studio.rng.uniform(0, 6))
        for _ in range(3)
    )
    points = path.at(where % line.length) + path.normals(where % line.length) * np.asarray(wobble)[:, None]
    studio.sew(points, Meaning(Role.TACK_DOWN, frozenset({Role.COVER}), a))


def tack_of_two_lines(studio: Studio) -> None:
    """A run on the line and a second 1.5 mm inside it."""
    a = studio.piece(studio.shape(float(studio.rng.uniform(45, 80))))
    studio.place(a)
    studio.halt()
    studio.tack(a)
    studio.tack(a, inset=1.5)
    studio.halt()
    studio.cover(a)


def columns_joined_by_runs(studio: Studio) -> None:
    """The satin is sewn in columns; between them the needle walks along the edge to where the next begins."""
    a = studio.piece(studio.shape(float(studio.rng.uniform(45, 80))))
    studio.place(a)
    studio.halt()
    studio.tack(a)
    studio.halt()
    line = studio.pieces[a].line
    start = studio.begin(line)
    quarter = line.length / 4
    walk = Meaning(Role.UNDERLAY, frozenset({Role.COVER, Role.DETAIL, Role.TACK_DOWN}), a)
    for k in range(4):
        first = start + k * quarter
        studio.sew(stitching.run(line.part(first, first + quarter), 2.5, "even"), walk, ties=False)
        studio.cover(a, spans=[((first + quarter) / line.length, first / line.length)])


def shading_on_top(studio: Studio) -> None:
    """An open fill over the piece gives it texture before the satin closes its edge."""
    a = studio.piece(studio.shape(float(studio.rng.uniform(50, 80)), circle, ellipse, heart, blob))
    studio.place(a)
    studio.halt()
    studio.tack(a)
    studio.halt()
    inner = studio.pieces[a].line.region.buffer(-1.0)
    also = DECORATIVE | {Role.TACK_DOWN}
    studio.sew(stitching.fill(inner, 3.0, 3.0, 0.5), Meaning(Role.FILL, also, a))
    studio.halt()
    studio.cover(a)


def one_satin_for_two_edges(studio: Studio) -> None:
    """Two pieces meet; the seam between them is covered once, for both."""
    line = studio.shape(float(studio.rng.uniform(65, 90)), circle, ellipse, rounded_rectangle, blob)
    x0, y0, x1, y1 = line.region.bounds
    middle = (x0 + x1) / 2
    left = studio.cut_out(line, (x0 - 1, y0 - 1, middle, y1 + 1))
    right = studio.cut_out(line, (middle, y0 - 1, x1 + 1, y1 + 1))
    a, b = studio.piece(left), studio.piece(right)
    for k in (a, b):
        studio.place(k)
        studio.halt()
        studio.tack(k)
        studio.halt()
    where = np.linspace(0, right.length, 1441)
    on_seam = np.abs(right.at(where)[:, 0] - middle) < 0.01
    clear = np.roll(~on_seam, -int(np.argmax(on_seam)))
    run = np.flatnonzero(clear) + int(np.argmax(on_seam))
    studio.cover(a)
    studio.cover(b, spans=[(run[0] / 1440, run[-1] / 1440)])


def background_with_pieces_on_it(studio: Studio) -> None:
    """A big round of fabric with a satin edge, and a scene of pieces on top."""
    ground = studio.piece(studio.shape(150.0, circle, ellipse, rounded_rectangle))
    studio.place(ground)
    studio.halt()
    studio.tack(ground, "zigzag")
    studio.halt()
    spots = [(-30.0, -8.0), (30.0, -5.0), (0.0, 22.0)]
    pieces = [studio.piece(studio.shape(float(studio.rng.uniform(22, 34))).moved(*spot)) for spot in spots]
    for a in pieces:
        studio.place(a)
        studio.halt()
        studio.tack(a)
        studio.halt()
    for a in (*pieces, ground):
        studio.cover(a)
        studio.halt()


def drawing_beside_the_piece(studio: Studio) -> None:
    """Run lines in the placement's own thread: a tendril, a small ring that never comes back."""
    a = studio.piece(studio.shape(float(studio.rng.uniform(45, 70))))
    tendril = np.column_stack([np.linspace(45, 90, 80), 10 * np.sin(np.linspace(0, 9, 80))])
    studio.sew(stitching.run(dense(tendril), 2.2, "even"), DETAIL)
    studio.place(a)
    ring = circle(studio.rng, 12.0).moved(70, 30)
    studio.sew(studio.running(studio.round(ring), 1.8), DETAIL)
    studio.halt()
    studio.tack(a)
    studio.halt()
    studio.cover(a)


def filled_parts_beside_every_pass(studio: Studio) -> None:
    """Blocks mix an appliqué step with fills and satins of the rest of the picture."""
    a = studio.piece(studio.shape(float(studio.rng.uniform(45, 70))))
    others = [studio.shape(26.0).moved(-70, -30 + 34 * k) for k in range(3)]
    steps: tuple[Step, ...] = (studio.place, studio.tack, studio.cover)
    for step, other in zip(steps, others, strict=True):
        inner = other.region.buffer(0)
        if studio.rng.random() < 0.5:
            studio.sew(stitching.fill(inner, 0.5, 3.0, 0.3), FILL)
            step(a)
        else:
            step(a)
            studio.sew(stitching.fill(inner, 0.5, 3.0, 0.3), FILL)
            studio.sew(stitching.zigzag(studio.round(other), 2.0, 0.45), DETAIL)
        studio.halt()


def empty_halts(studio: Studio) -> None:
    """The author stops the machine with marks of one or two stitches between the steps."""
    a = studio.piece(studio.shape(float(studio.rng.uniform(45, 70))))
    mark = Meaning(Role.DETAIL, frozenset(Role))
    for step in (studio.place, studio.tack, studio.cover):
        step(a)
        studio.halt()
        at = np.array(studio.pen.last() or (0.0, 0.0))
        studio.sew(at + np.array([(0.4, 0.0), (0.0, 0.0)]), mark, "jump", ties=False)
        studio.halt()


def anchored_in_the_middle(studio: Studio) -> None:
    """Every block begins with a few stitches in the hoop's middle and travels from there."""
    pieces = studio.row(2, float(studio.rng.uniform(40, 70)))
    anchor = Meaning(Role.DETAIL, frozenset(Role))
    for step in (studio.place, studio.tack, studio.cover):
        studio.sew(np.array([(20.0, 20.0), (20.6, 20.0), (20.0, 20.0)]), anchor, "jump", ties=False)
        for a in pieces:
            step(a)
        studio.halt()


def base_cloth_basted_first(studio: Studio) -> None:
    """A basting frame holds the ground cloth; it may be named a base layer or not, it is no appliqué."""
    frame = studio.shape(float(studio.rng.uniform(120, 150)), rectangle)
    path = Line(frame.points)
    studio.piece(frame, kind="base", optional=True)
    also = frozenset({Role.TACK_DOWN, Role.PLACEMENT, Role.QUILTING})
    studio.sew(stitching.run(path, 6.0, "corners"), Meaning(Role.DETAIL, also))
    studio.halt()
    a = studio.piece(studio.shape(float(studio.rng.uniform(40, 70))))
    studio.place(a)
    studio.halt()
    studio.tack(a)
    studio.halt()
    studio.cover(a)
    if studio.rng.random() < 0.5:
        studio.halt()
        studio.sew(stitching.run(path, 5.0, "corners"), Meaning(Role.DETAIL, also))


HARD: tuple[Callable[[Studio], None], ...] = (
    tack_shares_its_block_with_the_next_placement,
    cover_shares_its_block_with_the_next_placement,
    double_placement,
    petals_open_at_the_base,
    sketched_raw_edge,
    tack_of_two_lines,
    columns_joined_by_runs,
    shading_on_top,
    one_satin_for_two_edges,
    background_with_pieces_on_it,
    drawing_beside_the_piece,
    filled_parts_beside_every_pass,
    empty_halts,
    anchored_in_the_middle,
    base_cloth_basted_first,
)
