"""More of what designs in the trade do: patches, thick and irregular edges, grounds, and look-alikes."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from piecewright.cutting.passes import Role
from tests.evaluation import stitching
from tests.evaluation.pen import Meaning
from tests.evaluation.shapes import blob, circle, ellipse, flower, heart, hexagon, rounded_rectangle, star
from tests.evaluation.situations.negatives import DECORATIVE, DETAIL, FILL, QUILTING, UNDERLAY
from tests.evaluation.ways import Cover

if TYPE_CHECKING:
    from collections.abc import Callable

    from piecewright.cutting.geometry import FloatArray
    from tests.evaluation.lines import Line
    from tests.evaluation.studio import Studio


def _size(studio: Studio) -> float:
    return float(studio.rng.uniform(45, 80))


def embroidered_patch(studio: Studio) -> None:
    """A patch: fabric placed and tacked, a dense picture on it, and a wide satin edge last."""
    a = studio.piece(
        studio.shape(float(studio.rng.uniform(60, 90)), circle, ellipse, hexagon, rounded_rectangle)
    )
    studio.place(a)
    studio.halt()
    studio.tack(a, "zigzag" if studio.rng.random() < 0.5 else "run")
    studio.halt()
    ground = studio.pieces[a].line.grown(-5.0)
    studio.sew(stitching.fill(ground.region.buffer(0), 0.45, 3.4, 0.3), FILL)
    studio.halt()
    motif = studio.shape(22.0, star, heart)
    studio.sew(stitching.fill(motif.region.buffer(0), 0.4, 3.0, 1.1), FILL)
    studio.sew(stitching.zigzag(studio.round(motif), 1.8, 0.4), DETAIL)
    studio.halt()
    studio.cover(a, Cover(width=4.5, underlay="edge"))


def piece_on_a_filled_ground(studio: Studio) -> None:
    """The picture's ground is embroidered; the piece lies in the middle of it."""
    ground = studio.shape(110.0, ellipse, rounded_rectangle)
    studio.sew(stitching.fill(ground.region.buffer(0), 0.5, 3.6, 0.6), FILL)
    studio.halt()
    a = studio.piece(studio.shape(40.0))
    studio.place(a)
    studio.halt()
    studio.tack(a)
    studio.halt()
    studio.cover(a)


def motif_cover(studio: Studio) -> None:
    """The edge is dressed with a fancy stitch that leaves the fabric's edge raw."""
    a = studio.piece(studio.shape(_size(studio), circle, ellipse, heart, blob))
    studio.place(a)
    studio.halt()
    studio.tack(a, "double")
    studio.halt()
    path = studio.round(studio.pieces[a].line)
    also = DECORATIVE | {Role.TACK_DOWN}
    studio.sew(stitching.motif(path, 3.0, 4.0), Meaning(Role.COVER, also, a))


def thick_blanket(studio: Studio) -> None:
    """Blanket stitch sewn three times over, so that it looks as if made by hand."""
    a = studio.piece(studio.shape(_size(studio)))
    studio.place(a)
    studio.halt()
    if studio.rng.random() < 0.5:
        studio.tack(a)
        studio.halt()
    path = studio.round(studio.pieces[a].line)
    inward = studio.inward(path, a)
    n = max(3, round(path.length / 3.0))
    where = np.linspace(0, path.length, n + 1)
    on = path.at(where)
    tips = on + path.normals(where) * 3.2 * inward
    bites = [np.array([tips[k], on[k], tips[k], on[k], on[k + 1], on[k], on[k + 1]]) for k in range(n)]
    studio.sew(np.vstack([on[:1], *bites]), Meaning(Role.COVER, frozenset({Role.TACK_DOWN}), a))


def tack_in_the_placement_block(studio: Studio) -> None:
    """Line and tack-down in one block: the sewer stops the machine by hand; the cover follows a halt."""
    pieces = studio.row(2, _size(studio))
    for a in pieces:
        studio.place(a, laps=2)
    studio.halt()
    for a in pieces:
        studio.cover(a, Cover(underlay="centre", holds=True))


def bean_placement(studio: Studio) -> None:
    a = studio.piece(studio.shape(_size(studio)))
    studio.place(a, bean=True)
    studio.halt()
    studio.tack(a)
    studio.halt()
    studio.cover(a)


def pile_of_rounds(studio: Studio) -> None:
    """Three rounds of fabric on each other, smaller and smaller, each with its raw edge tacked."""
    big = studio.shape(90.0, circle, hexagon, ellipse)
    for share in (0.0, 0.14, 0.28):
        a = studio.piece(big.grown(-share * float(big.size.min())) if share else big)
        studio.place(a)
        studio.halt()
        studio.tack(a, "bean" if studio.rng.random() < 0.5 else "double")
        studio.halt()


def irregular_satin(studio: Studio) -> None:
    """A satin drawn by eye: its width and its middle wander, its stitches lie aslant."""
    a = studio.piece(studio.shape(_size(studio)))
    studio.place(a)
    studio.halt()
    studio.tack(a)
    studio.halt()
    path = studio.round(studio.pieces[a].line)
    studio.sew(_wandering(path, studio.rng), Meaning(Role.COVER, piece=a))


def _wandering(path: Line, rng: np.random.Generator) -> FloatArray:
    n = max(8, round(path.length / 0.42))
    where = np.linspace(0, path.length, n + 1)
    lean = float(rng.uniform(-1.0, 1.0))
    waves = [np.sin(where / rng.uniform(6, 25) + rng.uniform(0, 6)) for _ in range(4)]
    half = 1.8 + 0.5 * waves[0] + 0.3 * waves[1]
    middle = 0.35 * waves[2] + 0.2 * waves[3]
    side = np.where(np.arange(n + 1) % 2 == 0, 1.0, -1.0)
    at = np.clip(where + side * lean, 0, path.length)
    return np.asarray(path.at(at) + path.normals(at) * (side * half + middle)[:, None])


def line_outside_the_stitching(studio: Studio) -> None:
    """The line is drawn larger than what holds and covers the piece, which must not be cut smaller."""
    a = studio.piece(studio.shape(_size(studio)))
    studio.place(a)
    studio.halt()
    inset = float(studio.rng.uniform(0.6, 1.0))
    studio.tack(a, inset=inset)
    studio.halt()
    path = studio.round(studio.pieces[a].line.grown(-inset))
    studio.sew(stitching.zigzag(path, 4.0, 0.42), Meaning(Role.COVER, piece=a))


def twenty_pieces(studio: Studio) -> None:
    """A large quilt block: twenty pieces in four fabrics, five to a fabric."""
    pieces = studio.row(20, 30.0)
    for first in range(0, 20, 5):
        some = pieces[first : first + 5]
        for a in some:
            studio.place(a)
        studio.halt()
        for a in some:
            studio.tack(a)
        studio.halt()
    for first in range(0, 20, 5):
        for a in pieces[first : first + 5]:
            studio.cover(a, Cover(width=2.6))
        studio.halt()


def knockdown(studio: Studio) -> None:
    """An open net with an edge run presses the pile of a towel down; the motif is embroidered on it."""
    motif = studio.shape(55.0, star, heart, flower)
    ground = motif.grown(4.0)
    studio.sew(studio.running(studio.round(ground), 2.6), UNDERLAY)
    for angle in (0.7, 2.3):
        studio.sew(stitching.fill(ground.region.buffer(-0.6), 2.2, 3.5, angle), UNDERLAY)
    studio.halt()
    studio.sew(stitching.fill(motif.region.buffer(0), 0.42, 3.4, 0.2), FILL)
    studio.halt()
    studio.sew(stitching.zigzag(studio.round(motif), 2.2, 0.4), DETAIL)


def rotated_rings(studio: Studio) -> None:
    """Ovals turned about one middle, two colours in turn; they cross but never run together."""
    line = studio.shape(80.0, ellipse)
    step = 180.0 / 8
    for colour in range(2):
        if colour:
            studio.halt()
        for k in range(colour, 8, 2):
            turned = line.turned(k * step)
            studio.sew(studio.running(studio.round(turned), 2.4), QUILTING)


def dotted_ground(studio: Studio) -> None:
    """Small satin dots all over, then a lone ring round each in another colour."""
    spots = [(x * 16.0, y * 16.0) for x in range(4) for y in range(3)]
    for x, y in spots:
        dot = circle(studio.rng, 6.0).moved(x, y)
        studio.sew(stitching.fill(dot.region, 0.4, 7.0, 0.2), FILL)
    studio.halt()
    for x, y in spots:
        ring = circle(studio.rng, 9.0).moved(x, y)
        studio.sew(stitching.run(studio.round(ring), 1.5, "even"), DETAIL)


ODD: tuple[Callable[[Studio], None], ...] = (
    embroidered_patch,
    piece_on_a_filled_ground,
    motif_cover,
    thick_blanket,
    tack_in_the_placement_block,
    bean_placement,
    pile_of_rounds,
    irregular_satin,
    line_outside_the_stitching,
    twenty_pieces,
    knockdown,
    rotated_rings,
    dotted_ground,
)
