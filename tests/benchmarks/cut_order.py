"""How long the way of the lifted blade is, beside the shortest one and the order in which pieces were laid.

    python -m tests.benchmarks.cut_order [--json]

Named instances laid by boxes on a mat of 600 mm. Ways lead from the mat's corner over the middles of the
pieces; the shortest is exact (dynamic programming over subsets: Held and Karp, 1962), so instances are small.
*Travel* is the way in the cut file, between the points where the blade goes in. 1 if a way is more than a
twentieth longer than the shortest.
"""

from __future__ import annotations

import argparse
import json
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from piecewright.cutting.geometry import bounds
from piecewright.cutting.mats import lay
from tests.cutting.mats.support import mixed, rules

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.geometry import FloatArray
    from piecewright.cutting.mats import LaidPiece

INSTANCES: Final = {"eight": (8, 1), "ten": (10, 2), "dozen": (12, 21), "dozen, other": (12, 5)}
"""Pieces and seed of each, as in the measurement of layout."""

MAT: Final = {"width": "600 mm", "height": "600 mm", "margin": "5 mm"}

LONGER: Final = 1.05
"""A way may be longer than the shortest by so much."""


def main() -> int:
    """Print the table; 1 if a way is too long."""
    parser = argparse.ArgumentParser(description="The way of the lifted blade beside the shortest.")
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    chosen = parser.parse_args()
    rows = [_row(name, *INSTANCES[name]) for name in INSTANCES]
    if chosen.json:
        print(json.dumps({"instances": rows}))
    else:
        _print(rows)
    return int(any(row["way_mm"] > LONGER * row["shortest_mm"] for row in rows))


def _row(name: str, pieces: int, seed: int) -> dict[str, Any]:
    [mat] = lay(mixed(pieces, seed), rules(mat=MAT)).mats
    as_given = sorted(mat.laid, key=lambda piece: int(piece.piece.removeprefix("P")))
    return {
        "instance": name,
        "given_mm": _way(_middles(as_given)),
        "way_mm": _way(_middles(mat.laid)),
        "shortest_mm": _shortest(_middles(mat.laid)),
        "travel_mm": mat.travel_mm,
    }


def _middles(pieces: Sequence[LaidPiece]) -> FloatArray:
    boxes = np.array([bounds(piece.curve) for piece in pieces])
    return np.asarray((boxes[:, :2] + boxes[:, 2:]) / 2)


def _way(places: FloatArray) -> float:
    """From the corner over all places in their order."""
    return float(np.hypot(*np.diff(np.vstack([np.zeros(2), places]), axis=0).T).sum())


def _shortest(places: FloatArray) -> float:
    """From the corner over all places in the best order: the least cost of each subset and last place."""
    count = len(places)
    apart = np.hypot(*(places[:, None] - places[None]).transpose(2, 0, 1))
    cost = np.full((1 << count, count), np.inf)
    for last in range(count):
        cost[1 << last, last] = np.hypot(*places[last])
    for subset in range(1, 1 << count):
        for last in (n for n in range(count) if subset >> n & 1 and subset != 1 << n):
            cost[subset, last] = (cost[subset ^ (1 << last)] + apart[:, last]).min()
    return float(cost[-1].min())


def _print(rows: Sequence[dict[str, Any]]) -> None:
    print(f"{'instance':<15}{'as given':>10}{'ours':>8}{'shortest':>10}{'ratio':>8}{'travel':>9}   (mm)")
    for row in rows:
        ratio = row["way_mm"] / row["shortest_mm"]
        ways = f"{row['given_mm']:10.0f}{row['way_mm']:8.0f}{row['shortest_mm']:10.0f}"
        print(f"{row['instance']:<15}{ways}{ratio:8.3f}{row['travel_mm']:9.0f}")


if __name__ == "__main__":
    raise SystemExit(main())
