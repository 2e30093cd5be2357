"""How many mats a job takes, how full they are and how long that takes to find, beside two libraries.

    python -m tests.benchmarks.layout [--effort N] [--published] [--json]

Named instances of 12 to 60 pieces (eight kinds of shape, sizes drawn with a fixed seed) on a 305 mm mat with
margins of 5 mm and 3 mm gaps. Each is laid by us; by rectpack, which packs the pieces' boxes, turned as ours
are; and by spyrrow as its manual calls it: all pieces in one strip as wide as the bed, for as many seconds
as we took. A strip knows no mats: what it needs is given in lengths of the bed, and how many of its pieces
lie across a mat's edge and so could not be cut. The *floor* is the fewest mats by area alone: pieces with
half the gap around them over the bed. ``--published`` lays published nesting instances too and sets our
densities beside the best known.

Wall seconds of one run; they are only compared with each other. 1 if ours takes more mats than the boxes, or
leaves a mat but the last less full than the floor for full mats.
"""

from __future__ import annotations

import argparse
import json
import math
import time
from typing import TYPE_CHECKING, Any, Final

import rectpack
import spyrrow

from piecewright.cutting.geometry import Region, area, distance, grow, transformed_points
from piecewright.cutting.mats import lay
from piecewright.cutting.mats.bench import bench_of, copies_of
from piecewright.cutting.mats.copies import box_of
from tests.cutting.mats.support import mixed, rules, used_length
from tests.validation.published_nesting import PUBLISHED, laid_density

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.mats import Demand, Layout, MatLayout
    from piecewright.cutting.mats.copies import Copy

GAP_MM: Final = 3.0
BED_MM: Final = 295.0
FULL: Final = 0.65
"""A full mat is filled to this or more."""

INSTANCES: Final = {
    "dozen": (12, 21),
    "two dozen": (24, 24),
    "three dozen": (36, 4),
    "four dozen": (48, 48),
    "four dozen, other": (48, 1),
    "sixty": (60, 3),
}
"""Pieces and seed of each."""


def main() -> int:
    """Print the tables; 1 if a figure is missed."""
    parser = argparse.ArgumentParser(description="Mats, fill and seconds beside two libraries.")
    parser.add_argument("--effort", type=int, default=2, help="laying.effort, 1 to 5")
    parser.add_argument("--published", action="store_true", help="published nesting instances too")
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    chosen = parser.parse_args()
    rows = [_row(name, *INSTANCES[name], chosen.effort) for name in INSTANCES]
    published = [_published(n, chosen.effort) for n in range(len(PUBLISHED))] if chosen.published else []
    if chosen.json:
        print(json.dumps({"instances": rows, "published": published}))
    else:
        _print(rows, published)
    return int(any(row["mats"] > row["boxes_mats"] or row["least_full"] < FULL for row in rows))


def _row(name: str, pieces: int, seed: int, effort: int) -> dict[str, Any]:
    demands = mixed(pieces, seed)
    begin = time.perf_counter()
    layout = lay(demands, rules(gap=f"{GAP_MM} mm", effort=effort))
    seconds = time.perf_counter() - begin
    begin = time.perf_counter()
    boxes = _boxes(demands)
    boxes_seconds = time.perf_counter() - begin
    strip, across = _strip(demands, max(1, math.ceil(seconds)))
    return {
        "instance": name,
        "pieces": pieces,
        "floor": _floor(demands),
        "mats": len(layout.mats),
        "least_full": min((mat.fill_ratio for mat in layout.mats[:-1]), default=1.0),
        "last_mm": used_length(layout.mats[-1]) - 5.0,
        "least_gap_mm": _least_gap(layout),
        "seconds": seconds,
        "boxes_mats": boxes,
        "boxes_seconds": boxes_seconds,
        "strip_beds": strip,
        "strip_across": across,
    }


def _floor(demands: Sequence[Demand]) -> int:
    grown = [grow(Region(exterior=copy.ring), GAP_MM / 2)[0] for copy in _copies(demands)]
    return math.ceil(sum(map(area, grown)) / (BED_MM + GAP_MM) ** 2)


def _copies(demands: Sequence[Demand]) -> list[Copy]:
    return [copy for copies in copies_of(demands, bench_of(rules())) for copy in copies]


def _boxes(demands: Sequence[Demand]) -> int:
    """Mats that rectpack takes, in whole hundredths of a millimetre."""
    packer = rectpack.newPacker(rotation=True)
    for n, copy in enumerate(_copies(demands)):
        _, _, width, height = box_of(copy, copy.turn_deg, copy.sides[0])
        packer.add_rect(math.ceil((width + GAP_MM) * 100), math.ceil((height + GAP_MM) * 100), rid=n)
    side = round((BED_MM + GAP_MM) * 100)
    packer.add_bin(side, side, count=len(demands))
    packer.pack()
    return len(packer)


def _strip(demands: Sequence[Demand], seconds: int) -> tuple[float, int]:
    """Length of one strip in beds, and how many pieces lie across the edge of one."""
    copies = _copies(demands)
    items = [
        spyrrow.Item(str(n), [tuple(point) for point in copy.ring.tolist()], 1, None)
        for n, copy in enumerate(copies)
    ]
    config = spyrrow.StripPackingConfig(
        early_termination=True,
        total_computation_time=seconds,
        min_items_separation=GAP_MM,
        num_workers=1,
        seed=1,
    )
    found = spyrrow.StripPackingInstance("naive", BED_MM, items).solve(config)
    across = 0
    for placed in found.placed_items:
        ring = transformed_points(copies[int(placed.id)].ring, placed.rotation, False, *placed.translation)
        low, high = (float(x) // (BED_MM + GAP_MM) for x in (ring[:, 0].min(), ring[:, 0].max()))
        across += low != high
    return found.width / BED_MM, across


def _least_gap(layout: Layout) -> float:
    return min(map(_least_gap_of, layout.mats))


def _least_gap_of(mat: MatLayout) -> float:
    pieces = mat.laid
    pairs = ((a, b) for n, a in enumerate(pieces) for b in pieces[n + 1 :])
    return min((distance(a.curve, b.curve) for a, b in pairs), default=math.inf)


def _published(number: int, effort: int) -> dict[str, Any]:
    instance = PUBLISHED[number]
    begin = time.perf_counter()
    density = laid_density(instance, effort)
    seconds = time.perf_counter() - begin
    return {
        "instance": instance.name,
        "density": density,
        "best_known": instance.best_density,
        "share": density / instance.best_density,
        "seconds": seconds,
    }


def _print(rows: Sequence[dict[str, Any]], published: Sequence[dict[str, Any]]) -> None:
    print(f"{'':<19}{'':>7}{'':>6}|{'ours':^39}|{'boxes':^12}|{'one strip':^14}")
    head = (
        f"{'instance':<19}{'pieces':>7}{'floor':>6}|{'mats':>5}{'full':>7}{'last mm':>9}{'gap mm':>9}{'s':>9}"
    )
    print(f"{head}|{'mats':>5}{'s':>7}|{'beds':>6}{'across':>8}")
    for row in rows:
        ours = f"{row['mats']:5}{row['least_full']:7.2f}{row['last_mm']:9.0f}{row['least_gap_mm']:9.3f}"
        boxes = f"{row['boxes_mats']:5}{row['boxes_seconds']:7.2f}"
        strip = f"{row['strip_beds']:6.2f}{row['strip_across']:8}"
        print(
            f"{row['instance']:<19}{row['pieces']:7}{row['floor']:6}|{ours}{row['seconds']:9.1f}|{boxes}|{strip}"
        )
    for row in published:
        print(
            f"{row['instance']:<19} density {row['density']:.3f}, best known {row['best_known']:.3f}: "
            f"{row['share']:.0%} in {row['seconds']:.1f} s"
        )


if __name__ == "__main__":
    raise SystemExit(main())
