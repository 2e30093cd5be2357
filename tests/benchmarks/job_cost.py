"""What reading and understanding a design costs, beside pyembroidery's own time for the same file.

    python -m tests.benchmarks.job_cost [--formats pes,dst,...] [--most STITCHES] [--json]

Sheets of satin leaves, 5 to a block, from a thousand stitches to three hundred thousand, which is as many
pieces as there can be; and pictures of five large pieces with fills and satins beside them, as most designs
over 5,000 stitches are. Printed for each: pyembroidery's time, and as multiples of it the time of every
stage of a job without layout. Times are processor time, the least of several runs in one process; the
exponent is that of the sheets' time over their stitches.
"""

from __future__ import annotations

import argparse
import io
import json
import time
from typing import TYPE_CHECKING, Any

import numpy as np
import pyembroidery

from piecewright.cutting.formats.stitchfile import read
from piecewright.cutting.outlines import cut_outlines
from piecewright.cutting.passes import find_runs
from piecewright.cutting.pieces import find_pieces
from piecewright.cutting.rules import OutlineRules, PassRules, ReadingRules
from tests.samples.sewing import Sewing
from tests.samples.shapes import bird, circle, fish, heart, leaf, rounded_square, star
from tests.samples.stitching import line, satin, zigzag

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.samples.shapes import Points

SIZES = (1_000, 5_000, 20_000, 75_000, 300_000)
PICTURES = (10_000, 20_000, 40_000, 60_000)
PER_LEAF = 770
"""Stitches of one leaf, all passes."""
PER_BLOCK = 5
PER_FILL = 5_500
"""Stitches of one fill and its round."""
RULES = ReadingRules(stitches=400_000)
READERS = {f["extension"]: f.get("reader") for f in pyembroidery.EmbPattern.supported_formats()}


def sheet(stitches: int) -> Sewing:
    """Leaves in rows, about as many stitches as asked for."""
    count = max(1, round(stitches / PER_LEAF))
    across = max(1, round(count**0.5))
    leaves = [leaf(46, 24).moved(30 * (k % across), 54 * (k // across)) for k in range(count)]
    sewing = Sewing("Sheet")
    for first in range(0, count, PER_BLOCK):
        group = leaves[first : first + PER_BLOCK]
        sewing.colour("Line", "#b0b0b0", *(line(c) for c in group))
        sewing.colour("Tack", "#808080", *(zigzag(c) for c in group))
        sewing.colour("Cover", "#6b7f45", *(satin(c) for c in group))
    return sewing


def picture(stitches: int) -> Sewing:
    """Five large pieces of different shapes, then a thread a fill with a small round on it."""
    curves = (
        heart(90),
        bird().moved(110, 0),
        fish().moved(0, 110),
        rounded_square(80, 12).moved(130, 120),
        star(45, 20).moved(220, 60),
    )
    sewing, sewn = Sewing("Picture"), 0
    for curve in curves:
        cover = satin(curve)
        sewing.colour("Line", "#b0b0b0", line(curve))
        sewing.colour("Tack", "#808080", zigzag(curve))
        sewing.colour("Cover", "#6b7f45", cover)
        sewn += len(cover)
    for number in range(max(0, round((stitches - sewn) / PER_FILL))):
        rows = _rows(260 + 5 * (number % 2), -60 + 27 * number)
        sewing.colour("Fill", "#aa3344", rows, satin(circle(12).moved(240, -60 + 27 * number), 3.0))
    return sewing


def _rows(x: float, y: float) -> Points:
    """A fill of 280 by 25 mm: rows 0.4 mm apart, stitches of 3.5 mm, each row shifted by a third of one."""
    rows = []
    for number in range(62):
        stops = np.clip(3.5 * np.arange(81) + 3.5 / 3 * (number % 3), 0, 280)
        row = np.column_stack([x + stops, np.full(len(stops), y + 0.4 * number)])
        rows.append(row if number % 2 == 0 else row[::-1])
    return np.concatenate(rows)


STAGES = ("read", "runs", "pieces", "outlines")


def stages(data: bytes, name: str) -> tuple[dict[str, float], int]:
    """The seconds of each stage of a job without layout, and the number of pieces."""
    clock = [time.process_time()]
    design = read(data, name, RULES)
    clock.append(time.process_time())
    runs = find_runs(design)
    clock.append(time.process_time())
    understanding = find_pieces(design, runs, PassRules())
    clock.append(time.process_time())
    outlines = cut_outlines(understanding, OutlineRules()).outlines
    clock.append(time.process_time())
    return dict(zip(STAGES, np.diff(clock).tolist(), strict=True)), len(outlines)


def least(work: Callable[[], object], runs: int) -> float:
    """The least of some runs, in seconds."""
    times = []
    for _ in range(runs):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return min(times)


def measure(ending: str, stitches: int, sewn: Callable[[int], Sewing] = sheet) -> dict[str, Any]:
    """One row."""
    settings = {"version": 6} if ending == "pes" else {}
    data, name = sewn(stitches).written(ending, **settings), f"{sewn.__name__}.{ending}"
    runs = 5 if stitches < 50_000 else 2
    library = least(lambda: READERS[ending].read(io.BytesIO(data), pyembroidery.EmbPattern(), None), runs)
    timed = [stages(data, name) for _ in range(runs)]
    spent = {stage: min(seconds[stage] for seconds, _ in timed) / library for stage in STAGES}
    return {
        "format": ending.upper(),
        "design": sewn.__name__,
        "stitches": read(data, name, RULES).stitches,
        "found": timed[0][1],
        "pyembroidery_ms": library * 1000,
        **spent,
        "job": sum(spent.values()),
    }


def exponent(rows: list[dict[str, Any]]) -> float:
    """Of the job's time over stitches, by least squares on logarithms."""
    x = np.log([row["stitches"] for row in rows])
    y = np.log([row["job"] * row["pyembroidery_ms"] for row in rows])
    return float(np.polyfit(x, y, 1)[0])


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--formats", default="pes,dst,exp")
    parser.add_argument("--most", type=int, default=SIZES[-1])
    parser.add_argument("--json", action="store_true")
    asked = parser.parse_args()
    for ending in asked.formats.split(","):
        rows = []
        for size in (s for s in SIZES if s <= asked.most):
            rows.append(measure(ending, size))
            print(json.dumps(rows[-1]) if asked.json else _as_line(rows[-1]), flush=True)
        if not asked.json:
            print(f"{ending.upper()}: exponent of the job over stitches {exponent(rows):.2f}")
        for size in (s for s in PICTURES if s <= asked.most):
            row = measure(ending, size, picture)
            print(json.dumps(row) if asked.json else _as_line(row), flush=True)


def _as_line(row: dict[str, Any]) -> str:
    spent = ", ".join(f"{stage} {row[stage]:.2f}" for stage in STAGES)
    return (
        f"{row['format']} {row['design']:7} {row['stitches']:>7,} stitches {row['found']:>4} pieces: "
        f"pyembroidery {row['pyembroidery_ms']:8.1f} ms; times that: job {row['job']:.2f} ({spent})"
    )


if __name__ == "__main__":
    main()
