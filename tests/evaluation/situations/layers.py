"""Several fabrics at one place: holes, layers, overlaps, batting and whole blocks in the hoop."""

from __future__ import annotations

from typing import TYPE_CHECKING

from shapely.geometry import Polygon

from piecewright.cutting.passes import Role
from tests.evaluation import stitching
from tests.evaluation.lines import largest
from tests.evaluation.pen import Meaning
from tests.evaluation.shapes import blob, circle, ellipse, heart, rectangle, rounded_rectangle
from tests.evaluation.situations.negatives import QUILTING
from tests.evaluation.ways import Cover

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.evaluation.studio import Studio


def hole(studio: Studio) -> None:
    """Placed in one block, tacked together: the inner line is a hole."""
    outer = studio.shape(float(studio.rng.uniform(60, 90)), circle, ellipse, rounded_rectangle, blob)
    inner = studio.shape(float(studio.rng.uniform(18, 26)), circle, ellipse, heart)
    a = studio.piece(outer, [inner])
    studio.place(a)
    studio.halt()
    studio.tack(a)
    studio.halt()
    studio.cover(a)


def layers(studio: Studio) -> None:
    """The second piece is placed when the first is held: a piece on a piece, not a hole."""
    a = studio.piece(
        studio.shape(float(studio.rng.uniform(70, 95)), circle, ellipse, rounded_rectangle, blob)
    )
    b = studio.piece(studio.shape(float(studio.rng.uniform(22, 30))))
    for k in (a, b):
        studio.place(k)
        studio.halt()
        studio.tack(k)
        studio.halt()
    studio.cover(a)
    studio.halt()
    studio.cover(b)


def overlapping_pieces(studio: Studio) -> None:
    """Two whole pieces, the second over the edge of the first, both lines whole."""
    size = float(studio.rng.uniform(45, 70))
    a = studio.piece(studio.shape(size))
    b = studio.piece(studio.shape(size * 0.8).moved(size * 0.6, size * 0.15))
    for k in (a, b):
        studio.place(k)
        studio.halt()
        studio.tack(k)
        studio.halt()
    for k in (a, b):
        studio.cover(k)


def touching_pieces(studio: Studio) -> None:
    """Two halves of a shape that share an edge, placed in one block."""
    line = studio.shape(float(studio.rng.uniform(60, 90)), circle, ellipse, rounded_rectangle, blob)
    x0, y0, x1, y1 = line.region.bounds
    middle = (x0 + x1) / 2 + float(studio.rng.uniform(-6, 6))
    halves = [(x0 - 1, y0 - 1, middle, y1 + 1), (middle, y0 - 1, x1 + 1, y1 + 1)]
    pieces = [studio.piece(studio.cut_out(line, box)) for box in halves]
    for a in pieces:
        studio.place(a)
    studio.halt()
    for a in pieces:
        studio.tack(a)
    studio.halt()
    for a in pieces:
        studio.cover(a, Cover(width=3.0))


def batting_and_ground_cloth(studio: Studio) -> None:
    """Batting placed and tacked, ground cloth tacked along the same line, then appliqué."""
    frame = studio.shape(float(studio.rng.uniform(130, 180)), rectangle, rounded_rectangle)
    base = studio.piece(frame, kind="base")
    studio.place(base)
    studio.halt()
    studio.tack(base, "run")
    studio.halt()
    studio.tack(base, "run")
    studio.halt()
    a = studio.piece(studio.shape(float(studio.rng.uniform(40, 60))))
    studio.place(a)
    studio.halt()
    studio.tack(a)
    studio.halt()
    studio.cover(a)


def quilt_in_the_hoop(studio: Studio) -> None:
    """Batting, ground cloth, two pieces of appliqué and stippling round them."""
    frame = studio.shape(float(studio.rng.uniform(150, 190)), rectangle)
    base = studio.piece(frame, kind="base")
    studio.place(base)
    studio.halt()
    studio.tack(base, "zigzag")
    studio.halt()
    studio.tack(base, "run")
    a = studio.piece(studio.shape(45.0).moved(-28, 0))
    b = studio.piece(studio.shape(40.0).moved(30, 5))
    for k in (a, b):
        studio.halt()
        studio.place(k)
    studio.halt()
    for k in (a, b):
        studio.tack(k)
    around = frame.region.buffer(-4)
    for k in (a, b):
        around = largest(around.difference(Polygon(studio.pieces[k].line.points).buffer(3)))
    studio.halt()
    studio.wander(around, 7.0, QUILTING)
    studio.halt()
    for k in (a, b):
        studio.cover(k)


def details_on_top(studio: Studio) -> None:
    """Veins and a satin eye sewn on the piece after it is covered."""
    a = studio.piece(studio.shape(float(studio.rng.uniform(55, 80)), circle, ellipse, heart, blob))
    studio.place(a)
    studio.halt()
    studio.tack(a)
    studio.halt()
    studio.cover(a)
    studio.halt()
    inner = studio.shape(14.0, circle, ellipse)
    decorative = frozenset({Role.FILL, Role.QUILTING, Role.UNDERLAY})
    studio.sew(stitching.fill(inner.region, 0.45, 3.0), Meaning(Role.FILL, frozenset({Role.DETAIL})))
    studio.sew(
        studio.running(studio.round(studio.pieces[a].line.grown(-8)), 2.2), Meaning(Role.DETAIL, decorative)
    )


LAYERS: tuple[Callable[[Studio], None], ...] = (
    hole,
    layers,
    overlapping_pieces,
    touching_pieces,
    batting_and_ground_cloth,
    quilt_in_the_hoop,
    details_on_top,
)
