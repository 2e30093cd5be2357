"""What the job sheet and the index of the outbox cost.

    python -m tests.benchmarks.pages_cost [--jobs JOBS]

The sheet of a design with 1,000 and with 300,000 stitches more; the index when one job comes to an outbox
of few and of many, and when it is made from nothing. Times are the least of several runs in one process;
what counts are the ratios.
"""

from __future__ import annotations

import argparse
import json
import shutil
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from piecewright.cutting import sheet
from piecewright.cutting.geometry import frozen
from tests.cutting.sheet.case import Case, herb_bed
from tests.daemon.index_shop import NOW, Shop, put

if TYPE_CHECKING:
    from collections.abc import Callable

FEW = 100
DAY_S = 86_400.0
JOBS_A_DAY = 30


def least(work: Callable[[int], object], runs: int = 5) -> float:
    """The least processor time of several runs, in milliseconds."""
    times = []
    for run in range(runs):
        begun = time.process_time()
        work(run)
        times.append(time.process_time() - begun)
    return min(times) * 1000


def with_stitches(case: Case, more: int) -> Case:
    """The job with a wandering line of so many needle points added to its design."""
    steps = np.random.default_rng(1).normal(0, 1, (more, 2))
    none = np.zeros(more, dtype=np.bool_)
    first = case.stages[0]
    *blocks, last = first.design.blocks
    line = replace(last, points=frozen(np.cumsum(steps, axis=0) / 20), cut_before=none, travel_before=none)
    return replace(case, stages=(replace(first, design=replace(first.design, blocks=(*blocks, line))),))


def index_times(jobs: int) -> tuple[float, float, int]:
    """Milliseconds to make the index of so many jobs, to add one, and bytes of the first page."""
    report = json.loads(herb_bed().report.model_dump_json(by_alias=True))
    root = Path(tempfile.mkdtemp())
    try:
        shop = Shop(outbox=root / "outbox", work=root / "work", failed=root / "failed")
        for folder in (shop.outbox, shop.work, shop.failed):
            folder.mkdir()
        for number in range(jobs):
            put(shop.outbox, f"job_{number}", report, when=NOW.timestamp() - number * DAY_S / JOBS_A_DAY)
        whole = least(lambda _: shop.rebuild(), runs=1)

        def add(run: int) -> None:
            put(shop.outbox, f"new_{run}", report, when=NOW.timestamp() + run)
            shop.rebuild()

        return whole, least(add), (shop.outbox / "index.html").stat().st_size
    finally:
        shutil.rmtree(root)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--jobs", type=int, default=10_000)
    many = parser.parse_args().jobs
    say = sys.stdout.write
    small, large = (with_stitches(herb_bed(), more) for more in (1_000, 300_000))
    small_ms, large_ms = (least(lambda _, c=case: sheet.write(*c.arguments)) for case in (small, large))  # type: ignore[misc]
    say(f"sheet, 1,000 stitches more     {small_ms:8.1f} ms\n")
    say(f"sheet, 300,000 stitches more   {large_ms:8.1f} ms   {large_ms / small_ms:6.1f} times\n")
    (few_whole, few_add, few_bytes), (whole, add, size) = index_times(FEW), index_times(many)
    ratio = add / few_add
    say(f"index, one comes to {FEW:,} jobs    {few_add:8.1f} ms   first page {few_bytes / 1000:.0f} kB\n")
    say(f"index, one comes to {many:,} jobs {add:8.1f} ms   first page {size / 1000:.0f} kB\n")
    say(f"... which is {ratio:.1f} times as long\n")
    say(f"index of {FEW:,} jobs made from nothing    {few_whole / FEW:8.2f} ms a job\n")
    say(f"index of {many:,} jobs made from nothing {whole / many:8.2f} ms a job\n")


if __name__ == "__main__":
    main()
