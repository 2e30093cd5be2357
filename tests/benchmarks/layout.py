"""How many mats a job takes, how full they are and how long that takes to find, beside three libraries.

    python -m tests.benchmarks.layout [--effort N] [--published] [--json]

Named instances of 12 to 60 pieces (eight kinds of shape, sizes drawn with a fixed seed) on a 305 mm mat with
margins of 5 mm and 3 mm gaps. Each is laid by us; by rectpack, which packs the pieces' boxes, turned as ours
are; by u-nesting, another nesting library, by no-fit polygons with turns of 30 degrees (left out where it is
not installed: ``pip install u-nesting``); and by spyrrow as its manual calls it: all pieces in one strip as
wide as the bed, for as many seconds as we took. A strip knows no mats: what it needs is given in lengths of
the bed, and how many of its pieces lie across a mat's edge and so could not be cut. The *floor* is the
fewest mats by area alone: pieces with half the gap around them over the bed. ``--published`` lays published
nesting instances too and sets our densities beside the best known.

Seconds of processor time, ours with those of the engine's processes; they are only compared with each other.
1 if ours takes more mats than the boxes or the other library, leaves a mat but the last less full than 0.65,
or pieces nearer to each other than the gap.
"""

from __future__ import annotations

import argparse
import json
import math
import os
from contextlib import suppress
from typing import TYPE_CHECKING, Any, Final

import rectpack
import spyrrow

from piecewright.cutting.geometry import Region, area, distance, grow, simplified, transformed_points
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

LEAST_S: Final = 20
"""The other library has as many seconds as we took, but at least these."""

COARSE_MM: Final = 0.2
"""Outlines are simplified by so much for it: with all their points it takes minutes for its first layout."""

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
    parser = argparse.ArgumentParser(description="Mats, fill and seconds beside three libraries.")
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
    return int(any(map(_missed, rows)))


def _missed(row: dict[str, Any]) -> bool:
    fewest = min(row["boxes_mats"], row["other_mats"] or row["boxes_mats"])
    return bool(row["mats"] > fewest or row["least_full"] < FULL or row["least_gap_mm"] < GAP_MM)


def _row(name: str, pieces: int, seed: int, effort: int) -> dict[str, Any]:
    demands = mixed(pieces, seed)
    begin = _cpu_s()
    layout = lay(demands, rules(gap=f"{GAP_MM} mm", effort=effort, time_limit_s=3600))
    seconds = _cpu_s() - begin
    begin = _cpu_s()
    boxes = _boxes(demands)
    boxes_seconds = _cpu_s() - begin
    begin = _cpu_s()
    other = _other(demands, max(LEAST_S, math.ceil(seconds)))
    other_seconds = _cpu_s() - begin
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
        "other_mats": other,
        "other_seconds": other_seconds,
        "strip_beds": strip,
        "strip_across": across,
    }


def _cpu_s() -> float:
    """Processor time of this process and of those it has ended."""
    times = os.times()
    return times.user + times.system + times.children_user + times.children_system


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


def _other(demands: Sequence[Demand], seconds: int) -> int | None:
    """Mats that the other nesting library takes; None if it is not installed or leaves pieces out."""
    with suppress(ImportError):
        import u_nesting  # noqa: PLC0415 - not needed for anything else

        shapes = [
            {
                "id": str(n),
                "polygon": simplified(copy.ring, COARSE_MM).tolist(),
                "rotations": list(range(0, 360, 30)),
            }
            for n, copy in enumerate(_copies(demands))
        ]
        bed = {"width": BED_MM, "height": BED_MM}
        how = {"strategy": "nfp", "spacing": GAP_MM, "multi_sheet": True, "time_limit_ms": seconds * 1000}
        found: dict[str, Any] = u_nesting.solve_2d(shapes, bed, how)
        return int(found["boundaries_used"]) if found["all_placed"] else None
    return None


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
    begin = _cpu_s()
    density = laid_density(instance, effort)
    seconds = _cpu_s() - begin
    return {
        "instance": instance.name,
        "density": density,
        "best_known": instance.best_density,
        "share": density / instance.best_density,
        "seconds": seconds,
    }


def _print(rows: Sequence[dict[str, Any]], published: Sequence[dict[str, Any]]) -> None:
    if not any(row["other_mats"] for row in rows):
        print("u-nesting is not installed, so ours is not compared with it (pip install u-nesting)")
    print(f"{'':<19}{'':>7}{'':>6}|{'ours':^39}|{'boxes':^12}|{'u-nesting':^12}|{'one strip':^14}")
    ours = f"{'mats':>5}{'full':>7}{'last mm':>9}{'gap mm':>9}{'s':>9}"
    both = f"{'mats':>5}{'s':>7}"
    print(f"{'instance':<19}{'pieces':>7}{'floor':>6}|{ours}|{both}|{both}|{'beds':>6}{'across':>8}")
    for row in rows:
        print(_line(row))
    for row in published:
        print(
            f"{row['instance']:<19} density {row['density']:.3f}, best known {row['best_known']:.3f}: "
            f"{row['share']:.0%} in {row['seconds']:.1f} s"
        )


def _line(row: dict[str, Any]) -> str:
    ours = f"{row['mats']:5}{row['least_full']:7.2f}{row['last_mm']:9.0f}{row['least_gap_mm']:9.3f}"
    boxes = f"{row['boxes_mats']:5}{row['boxes_seconds']:7.2f}"
    other = f"{row['other_mats']:5}{row['other_seconds']:7.2f}" if row["other_mats"] else f"{'-':>5}{'-':>7}"
    strip = f"{row['strip_beds']:6.2f}{row['strip_across']:8}"
    begin = f"{row['instance']:<19}{row['pieces']:7}{row['floor']:6}"
    return f"{begin}|{ours}{row['seconds']:9.1f}|{boxes}|{other}|{strip}"


if __name__ == "__main__":
    raise SystemExit(main())
