"""Published nesting instances, as the literature uses them, with the best densities published for them.

Coordinates: the data sets of the EURO special interest group on cutting and packing (ESICUP), typed from
the JSON files of the open collision detection engine jagua-rs (folder ``assets``: fu, shapes0, shirts,
marques). Origin of the sets: FU, Fujita, Akagi and Hirokawa 1993; SHIRTS, Dowsland, Dowsland and Bennell
1998; from memory SHAPES0, Oliveira and Ferreira 1993, and MARQUES, Marques, Bispo and Sentieiro 1991.

Best densities: Gardeyn, Vanden Berghe and Wauters, An open-source heuristic to reboot 2D nesting research,
2025 (arXiv:2509.13329), Table 3: the best of a hundred runs of 20 minutes each on three threads.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.geometry import ring_area
from piecewright.cutting.mats import lay
from tests.cutting.mats.support import demand, rules, used_length

if TYPE_CHECKING:
    from piecewright.cutting.rules import Turning

UNIT_MM: Final = 10.0
"""The instances have no unit; as centimetres they are as large as what lies on a cutter's mat."""

Ring = tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Published:
    """One instance: pieces to be packed into a strip of fixed height, as short as possible.

    Attributes:
        name: As the literature calls it.
        height: Of the strip.
        turning: Turns that the instance allows.
        pieces: Ring and number of copies of each piece.
        best_density: Highest density published: area of all pieces over height times length.
    """

    name: str
    height: float
    turning: Turning
    pieces: tuple[tuple[Ring, int], ...]
    best_density: float

    @property
    def area(self) -> float:
        """Area of all pieces."""
        return sum(abs(ring_area(np.array(ring, dtype=float))) * copies for ring, copies in self.pieces)

    def __str__(self) -> str:
        """The name."""
        return self.name


FU: Final = Published(
    name="FU",
    height=38.0,
    turning="quarter",
    pieces=(
        (((0, 0), (10, 0), (10, 10), (0, 10)), 2),
        (((0, 0), (14, 0), (14, 9), (0, 9)), 1),
        (((0, 0), (14, 0), (7, 7)), 1),
        (((0, 9), (0, 0), (14, 9)), 1),
        (((0, 0), (14, 0), (14, 14), (0, 14)), 1),
        (((0, 0), (10, 4), (10, 9), (0, 9)), 1),
        (((0, 0), (5, 0), (5, 9), (0, 9)), 1),
        (((0, 0), (14, 0), (14, 14)), 1),
        (((0, 0), (10, 0), (10, 10), (0, 14)), 1),
        (((0, 8), (4, 0), (8, 8)), 1),
        (((0, 0), (14, 0), (7, 12)), 1),
    ),
    best_density=0.9241,
)

SHAPES0: Final = Published(
    name="SHAPES0",
    height=40.0,
    turning="none",
    pieces=(
        (((0, 0), (2, 0), (2, 3), (12, 3), (12, 0), (14, 0), (14, 5), (0, 5)), 15),
        (((0, 0), (6, -6), (12, 0), (6, 6)), 7),
        (
            (
                (0, 0),
                (6, 0),
                (6, -2),
                (7, -2),
                (11, 2),
                (11, 4),
                (8, 4),
                (8, 1),
                (2, 1),
                (2, 4),
                (0, 4),
            ),
            9,
        ),
        (
            (
                (0, 0),
                (2, 0),
                (2, -2),
                (4, -2),
                (4, 0),
                (6, 0),
                (6, 2),
                (4, 2),
                (4, 4),
                (2, 4),
                (2, 2),
                (0, 2),
            ),
            12,
        ),
    ),
    best_density=0.6998,
)

SHIRTS: Final = Published(
    name="SHIRTS",
    height=40.0,
    turning="half",
    pieces=(
        (((0, 0), (7, 1), (7, 5), (0, 7), (-1, 5), (-1, 4), (-2, 3), (-1, 2)), 8),
        (
            (
                (0, 0),
                (11, 0),
                (12, 2),
                (11, 3),
                (11, 5),
                (10, 6),
                (6, 5),
                (3, 6),
                (0, 5),
                (-1, 3),
            ),
            8,
        ),
        (
            (
                (0, 0),
                (3, 0),
                (3, -1),
                (5, 0),
                (8, 0),
                (11, -1),
                (12, 4),
                (11, 8),
                (7, 7),
                (0, 7),
            ),
            8,
        ),
        (((0, 0), (4, 0), (4, 2), (3, 3), (0, 3)), 15),
        (((0, 0), (8, 0), (7, 1), (1, 1)), 15),
        (((0, 0), (4, 0), (4, 1), (0, 1)), 15),
        (((0, 0), (3, 0), (3, 1), (0, 1)), 15),
        (((0, 0), (8, 0), (8, 2), (6, 2), (4, 1), (3, 1), (2, 2), (-1, 2)), 15),
    ),
    best_density=0.9092,
)

MARQUES: Final = Published(
    name="MARQUES",
    height=104.0,
    turning="quarter",
    pieces=(
        (((0, 0), (21, 0), (21, 22), (14, 28), (7, 28), (0, 22)), 4),
        (((0, 5), (2, 0), (11, 2), (19, 0), (21, 5), (17, 4), (11, 6), (4, 4)), 4),
        (((0, 0), (33, 0), (33, 14), (30, 14), (26, 17), (13, 15), (0, 17)), 2),
        (((0, 0), (4, 0), (4, 39), (0, 39)), 2),
        (((0, 0), (10, 0), (10, 11), (0, 11)), 4),
        (((2, 20), (0, 18), (2, 10), (0, 2), (2, 0), (4, 10)), 4),
        (
            (
                (0, 0),
                (29, 0),
                (27, 12),
                (29, 22),
                (25, 26),
                (25, 33),
                (18, 37),
                (16, 35),
                (14, 35),
                (12, 37),
                (4, 34),
                (4, 26),
                (0, 22),
                (2, 12),
            ),
            2,
        ),
        (((0, 0), (33, 0), (37, 6), (35, 13), (28, 13), (25, 15), (14, 13), (0, 15)), 2),
    ),
    best_density=0.9202,
)

PUBLISHED: Final = (FU, SHAPES0, SHIRTS, MARQUES)


def laid_density(instance: Published, effort: int) -> float:
    """Density that our layout reaches: the strip as a long mat without gap and margin, 1 unit as 10 mm."""
    width = instance.height * UNIT_MM
    long = {"width": f"{width:g} mm", "height": f"{20 * width:g} mm", "margin": "0 mm"}
    demands = [
        demand([(x * UNIT_MM, y * UNIT_MM) for x, y in ring], f"P{n}", copies=copies)
        for n, (ring, copies) in enumerate(instance.pieces)
    ]
    [mat] = lay(demands, rules(mat=long, gap="0 mm", turning=instance.turning, effort=effort)).mats
    return instance.area * UNIT_MM**2 / (width * used_length(mat))
