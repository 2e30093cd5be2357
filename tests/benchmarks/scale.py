"""What a whole job costs as it grows: over pieces, over workers, at the start, in memory.

    python -m tests.benchmarks.scale [--designs DESIGNS]

Whole jobs go through the library, each in a process of its own as in the service. Only ratios of one run
mean anything; seconds are printed so that the ratios can be checked.
"""

from __future__ import annotations

import argparse
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

from piecewright.daemon.library import executor_for, plan, work_through
from piecewright.daemon.rulebook import Rulebook, parse
from tests.benchmarks.job_cost import PER_LEAF, sheet

TOP = Path(__file__).resolve().parents[2]
PIECES = (1, 5, 20, 80, 200)
RULES = """
mats: {long: {width: 24 in, height: 48 in}}
products: [{name: Sheet, laying: {effort: 0}, writing: {formats: [svg]}}]
"""


def main() -> None:
    """Print every figure."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--designs", type=int, default=40)
    asked = parser.parse_args()
    rules = parse(RULES, "scale")
    _start_up()
    _over_pieces(rules)
    _over_workers(rules, asked.designs)
    children = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1000
    print(f"largest worker: {children:.0f} MB")


def _start_up() -> None:
    """The command's own start beside that of an empty Python program."""
    empty = _least_wall([sys.executable, "-c", "pass"])
    for words in (["--help"], ["check", "--config", str(TOP / "config" / "shop.yaml")]):
        taken = _least_wall([sys.executable, "-m", "piecewright", *words])
        print(f"start of piecewright {words[0]}: {taken:.2f} s, {taken / empty:.1f} times an empty program")


def _least_wall(words: list[str]) -> float:
    times = []
    for _ in range(5):
        start = time.perf_counter()
        subprocess.run(words, env={"PYTHONPATH": str(TOP / "service")}, check=True, capture_output=True)
        times.append(time.perf_counter() - start)
    return min(times)


def _over_pieces(rules: Rulebook) -> None:
    """Time of whole jobs, with a layout of boxes, over the number of pieces."""
    seconds = []
    for pieces in PIECES:
        seconds.append(_library([sheet(pieces * PER_LEAF).written("dst")] * 3, rules, jobs=1) / 3)
        print(f"{pieces:>4} pieces: {seconds[-1]:.2f} s a job")
    grown = np.polyfit(np.log(PIECES[2:]), np.log(seconds[2:]), 1)[0]
    print(f"exponent of a job over pieces, from {PIECES[2]} to {PIECES[-1]}: {grown:.2f}")


def _over_workers(rules: Rulebook, designs: int) -> None:
    """Throughput of two workers beside one."""
    data = [sheet(8 * PER_LEAF).written("dst")] * designs
    one, two = (_library(data, rules, jobs=jobs) for jobs in (1, 2))
    print(f"{designs} designs: {designs / one:.1f} a second with one worker, {designs / two:.1f} with two")
    print(f"two workers do {one / two:.2f} times what one does")


def _library(designs: list[bytes], rules: Rulebook, *, jobs: int) -> float:
    """Seconds for a library of these designs, without the start of the first worker."""
    with tempfile.TemporaryDirectory() as place:
        folder, into = Path(place) / "designs", Path(place) / "cut"
        folder.mkdir()
        for number, data in enumerate(designs):
            (folder / f"{number}.dst").write_bytes(data)
        tasks, _ = plan(folder, into, rules)
        with executor_for(jobs=jobs) as (executor, slots):
            work_through(tasks[:1], into, executor, slots, progress=lambda _: None)
            start = time.perf_counter()
            summary = work_through(tasks, into, executor, slots, progress=lambda _: None)
            taken = time.perf_counter() - start
    assert summary.by_status["cut"] == len(tasks), summary
    return taken * len(tasks) / max(1, len(tasks) - 1)


if __name__ == "__main__":
    main()
