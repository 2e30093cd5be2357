"""Pictures of several pieces."""

from __future__ import annotations

from typing import TYPE_CHECKING

from shapely.ops import unary_union

from tests.evaluation.sealed.curves import parts, rings
from tests.evaluation.sealed.figures import at, card, disc, joined, star
from tests.evaluation.sealed.sealed_half import outlines

if TYPE_CHECKING:
    from shapely.geometry import Polygon

    from tests.evaluation.sealed.bench import Bench
    from tests.evaluation.sealed.edges import Cover, Tack


def _whole(b: Bench, region: Polygon, tack: Tack, cover: Cover, by: float = 0.0) -> None:
    key = b.piece(region)
    b.place(key)
    b.halt()
    b.tack(key, tack, by=by)
    b.halt()
    b.cover(key, cover)
    b.halt()


def layers_each_in_its_colours(b: Bench) -> None:
    """Rocket, bus or cupcake, from the lowest piece up."""
    for region in outlines.PICTURES[b.rng.integers(3)]():
        _whole(b, region, ("run", "comb", "back")[b.rng.integers(3)], "zigzag+satin", by=0.5)


def layers_with_two_halts_each(b: Bench) -> None:
    """The same for fabric that was cut beforehand."""
    for region in outlines.PICTURES[b.rng.integers(3)]():
        key = b.piece(region)
        b.place(key)
        b.halt()
        b.tack(key, "zigzag", width=2.0)
        b.cover(key, "run+satin", on=not b.hand.cuts)
        b.halt()


def limbs_tucked_under_a_body(b: Bench) -> None:
    """Spikes and legs end open under the body, which comes last."""
    under, over = outlines.dinosaur()
    for region in under:
        key = b.piece(region)
        free = b.outside(key, over[0], 4.0)
        b.place(key, spans=free)
        b.halt()
        b.tack(key, spans=free)
        b.cover(key, spans=free)
        b.halt()
    _whole(b, over[0], "run", "satin", by=0.5)
    b.fill(disc(-56, -22, 2.5))


def wings_placed_together(b: Bench) -> None:
    """A butterfly: all pieces placed in one block, held in one, covered in one; feelers last."""
    keys = [b.piece(region) for region in outlines.butterfly()]
    for key in keys:
        b.place(key)
    b.halt()
    for key in keys:
        b.tack(key, "run", by=0.4)
    b.halt()
    for key in keys:
        b.cover(key)


def ribs_that_share_their_edges(b: Bench) -> None:
    """A pumpkin: ribs meet edge to edge; each is placed and held, the satins are sewn from the outside in."""
    keys = []
    for region in outlines.pumpkin():
        keys.append(b.piece(region))
        b.place(keys[-1])
        b.halt()
        b.tack(keys[-1], by=0.8)
        b.halt()
    for key in keys:
        b.cover(key)


def five_pads_of_a_paw(b: Bench) -> None:
    """A paw in one fabric: five pads at once, raw edge with a blanket stitch; a name below."""
    keys = [b.piece(region) for region in outlines.paw(float(b.rng.uniform(50, 90)))]
    for key in keys:
        b.place(key)
    b.halt()
    for key in keys:
        b.cover(key, "comb", width=2.5)
    b.halt()
    b.word(-26, 48, 50)


def sky_with_clouds_and_moon(b: Bench) -> None:
    """A large night sky, clouds and a crescent on it, a filled star here and there."""
    _whole(b, card(-80, -50, 80, 50, 6), "run", "satin", by=1.0)
    for x, y in ((-45, 18), (30, 22)):
        _whole(b, at(outlines.cloud(44), x, y), "run", "zigzag")
    _whole(b, at(outlines.moon(17), 40, -22), "zigzag", "satin")
    for x, y in ((-50, -25), (-20, -10), (5, -32)):
        b.fill(at(star(5, 5, 0.45), x, y))


def snowman_with_a_scarf(b: Bench) -> None:
    """Three balls, each over the one below; a scarf over two of them; buttons filled."""
    for y, r in ((40.0, 26.0), (4.0, 20.0), (-24.0, 15.0)):
        _whole(b, disc(0, y, r), "run", "satin")
    scarf = joined(card(-15, -14, 15, -7, 2), card(4, -10, 12, 16, 1))
    _whole(b, scarf, "run", "zigzag", by=0.6)
    for y in (2.0, 12.0, 34.0):
        b.fill(disc(-2, y, 2.2))


def one_satin_round_all(b: Bench) -> None:
    """Two pieces overlap; each is held, and only their common outline is covered."""
    two = [outlines.pear(50), at(outlines.mitten(46), 26, 6)]
    keys = [b.piece(region) for region in two]
    for key in keys:
        b.place(key)
        b.halt()
        b.tack(key, "bean", by=0.4)
        b.halt()
    (around,) = parts(unary_union(two))[:1]
    for one in rings(around):
        b.edge(one, (0.0, one.length * 1.01), "satin", keys[0])


PICTURES = (
    layers_each_in_its_colours,
    layers_with_two_halts_each,
    limbs_tucked_under_a_body,
    wings_placed_together,
    ribs_that_share_their_edges,
    five_pads_of_a_paw,
    sky_with_clouds_and_moon,
    snowman_with_a_scarf,
    one_satin_round_all,
)
