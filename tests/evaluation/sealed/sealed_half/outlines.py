"""Shapes that only the sealed half draws."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from shapely import affinity

from tests.evaluation.sealed.figures import (
    at,
    card,
    disc,
    joined,
    knotted,
    less,
    polygon,
    sized,
    strokes,
    whole,
)

if TYPE_CHECKING:
    from shapely.geometry import Polygon


def cog(teeth: int, r: float) -> Polygon:
    """A gear wheel with a bore."""
    bars = [
        affinity.rotate(card(-r * 0.13, -r, r * 0.13, 0), 360.0 * k / teeth, origin=(0, 0))
        for k in range(teeth)
    ]
    return less(joined(disc(0, 0, r * 0.78), *bars), disc(0, 0, r * 0.3))


def cloud(size: float) -> Polygon:
    """A cloud with a flat foot."""
    puffs = [disc(-16, 0, 11), disc(-4, -8, 14), disc(12, -5, 12), disc(22, 2, 8)]
    return sized(joined(*puffs, card(-18, 2, 24, 11, 3)), size)


def moon(r: float) -> Polygon:
    """A crescent with two tips."""
    return less(disc(0, 0, r), disc(r * 0.45, -r * 0.1, r * 0.8))


def mitten(size: float) -> Polygon:
    """A mitten with its thumb."""
    hand = knotted([(-14, 26), (-15, 0), (-12, -22), (0, -30), (12, -22), (15, 0), (14, 26)], sharp=(0, 6))
    thumb = affinity.rotate(card(12, -12, 24, 14, 6), 28)
    return sized(joined(hand, thumb), size)


def pear(size: float) -> Polygon:
    """A pear."""
    return sized(
        knotted(
            [
                (0, -30),
                (9, -22),
                (12, -6),
                (22, 12),
                (14, 30),
                (0, 33),
                (-14, 30),
                (-22, 12),
                (-12, -6),
                (-9, -22),
            ]
        ),
        size,
    )


def bone(size: float) -> Polygon:
    """A dog's bone."""
    knobs = [disc(x, y, 8) for x in (-24, 24) for y in (-6, 6)]
    return sized(joined(card(-24, -6, 24, 6), *knobs), size)


def shield(size: float) -> Polygon:
    """A coat of arms."""
    return sized(
        knotted(
            [(-25, -28), (0, -24), (25, -28), (26, 0), (16, 24), (0, 36), (-16, 24), (-26, 0)],
            sharp=(0, 2, 5),
        ),
        size,
    )


def bolt(size: float) -> Polygon:
    """A flash of lightning."""
    return sized(polygon([(6, -40), (-18, 4), (-3, 4), (-10, 40), (20, -8), (4, -8), (18, -40)]), size)


def paw(size: float) -> list[Polygon]:
    """The pads of a paw, each by itself."""
    k = size / 60
    pads = [(-22, -8, 7.0), (-9, -22, 8.0), (9, -22, 8.0), (22, -8, 7.0)]
    heel = knotted([(0, -4), (14, 8), (20, 22), (8, 28), (0, 25), (-8, 28), (-20, 22), (-14, 8)])
    every = [*(disc(x, y, r, 1.25) for x, y, r in pads), heel]
    return [affinity.scale(p, k, k, origin=(0, 0)) for p in every]


def pumpkin() -> list[Polygon]:
    """Three ribs that meet edge to edge, and a stalk."""
    body = knotted([(0, -28), (26, -30), (44, -4), (36, 26), (0, 30), (-36, 26), (-44, -4), (-26, -30)])
    middle = disc(0, 0, 17, 1.9)
    core = whole(body.intersection(middle))
    sides = [whole(body.difference(middle).intersection(card(x, -60, x + 60, 60))) for x in (-60.0, 0.0)]
    stalk = polygon([(-5, -28), (-7, -44), (3, -48), (6, -29)], 1)
    return [*sides, core, stalk]


def script(word: int) -> Polygon:
    """A made-up word in joined round letters, counters and all."""
    o = [((6.0 * np.cos(t) + 6, 7.0 * np.sin(t)) for t in np.linspace(0, 2 * np.pi, 40))]
    ring = [list(points) for points in o]
    tall = [[(12.0, -18.0), (12.0, 7.0)]]
    low = [[(12.0, 7.0), (16.0, 7.0), (19.0, 4.0)]]
    letters = [
        strokes([*ring, *(tall if (word >> k) & 1 else []), *low], 4.4, round_ends=True) for k in range(4)
    ]
    return joined(*(at(one, k * 18.0, 0) for k, one in enumerate(letters)))


def dinosaur() -> tuple[list[Polygon], list[Polygon]]:
    """What tucks under, and what lies over it."""
    body = knotted(
        [
            (-70, -18),
            (-52, -32),
            (-36, -20),
            (-20, -14),
            (10, -26),
            (40, -16),
            (66, 8),
            (92, 26),
            (60, 22),
            (34, 22),
            (0, 26),
            (-30, 16),
            (-46, -2),
            (-62, -6),
        ],
        sharp=(7,),
    )
    backs = [at(polygon([(-8, 8), (0, -12), (8, 8)]), x, y) for x, y in ((-8, -24), (14, -32), (34, -26))]
    legs = [card(-24, 14, -8, 48, 4), card(22, 14, 38, 48, 4)]
    return [*backs, *legs], [body]


def rocket() -> list[Polygon]:
    """Fins, hull, nose, porthole and flame, lowest first."""
    hull = knotted(
        [(0, -60), (18, -30), (20, 20), (12, 40), (-12, 40), (-20, 20), (-18, -30)], sharp=(0, 3, 4)
    )
    fins = [
        polygon([(18, 8), (36, 34), (34, 52), (14, 36)], 2),
        polygon([(-18, 8), (-14, 36), (-34, 52), (-36, 34)], 2),
    ]
    flame = knotted([(-10, 42), (10, 42), (8, 58), (0, 74), (-8, 58)], sharp=(0, 1, 3))
    nose = whole(hull.intersection(card(-40, -70, 40, -32)))
    return [flame, *fins, hull, nose, disc(0, -10, 9)]


def bus() -> list[Polygon]:
    """A bus whose body has three windows cut out; wheels on it."""
    windows = [card(x, -20, x + 22, -2, 2) for x in (-50, -22, 6)]
    body = less(card(-60, -32, 60, 24, 6), *windows)
    door = card(36, -20, 50, 20, 1)
    return [body, door, disc(-34, 24, 12), disc(30, 24, 12)]


def cupcake() -> list[Polygon]:
    """Paper cup, icing, cherry."""
    cup = polygon([(-24, 6), (24, 6), (16, 40), (-16, 40)], 1)
    icing = joined(disc(-16, -2, 13), disc(16, -2, 13), disc(0, -6, 18), disc(0, -20, 13))
    return [cup, icing, disc(0, -36, 6)]


def butterfly() -> list[Polygon]:
    """Four wings and a body between them, no two touching."""
    upper = knotted([(6, -4), (14, -34), (46, -40), (50, -12), (26, 2)], sharp=(0,))
    lower = knotted([(6, 4), (30, 8), (40, 26), (22, 40), (8, 24)], sharp=(0,))
    wings = [upper, lower]
    return [*wings, *(affinity.scale(w, -1, 1, origin=(0, 0)) for w in wings), disc(0, 0, 4, 6.0)]


PICTURES = (rocket, bus, cupcake)
