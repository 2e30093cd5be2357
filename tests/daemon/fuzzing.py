"""Sends mutated stitch files through real workers; prints what became of them.

Run as a module with a folder for the jobs, the folder of samples, and how many files to make. The mutations
come from a seeded generator, so that a failure can be looked at again.
"""

from __future__ import annotations

import json
import random
import shutil
import sys
import threading
import time
from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

from piecewright.cutting.report import Report
from piecewright.daemon.jobfolder import DROP, REPORT, RULES
from piecewright.daemon.nursery import Nursery
from piecewright.daemon.outbox import check_results
from tests.daemon.shop import parsed

if TYPE_CHECKING:
    from collections.abc import Callable

    from piecewright.daemon.workshop import Ending

SHOP = """
mats: {standard: {width: 305 mm, height: 305 mm}}
products: [{name: Anything, laying: {effort: 0}, writing: {formats: [svg], sheet: false}}]
"""
SECONDS = 20.0
_SMALL = 6_000
"""Bytes; nine of ten are so small, for the time of a job goes into what can be cut after all."""
MEMORY = 1_000_000_000

MUTATIONS: tuple[Callable[[random.Random, bytearray], bytes], ...] = (
    lambda chance, data: bytes(data[: chance.randrange(len(data))]),
    lambda chance, data: bytes(_with_bytes(chance, data, 1)),
    lambda chance, data: bytes(_with_bytes(chance, data, 20)),
    lambda chance, data: bytes(_with_bytes(chance, data, 4, upto=64)),
    lambda chance, data: bytes(data + chance.randbytes(chance.randrange(1, 2000))),
    lambda chance, data: bytes(data[: (cut := chance.randrange(len(data)))] + data[cut // 2 :]),
    lambda chance, data: bytes(data[:20] + chance.randbytes(chance.randrange(1, 4000))),
)


def _with_bytes(chance: random.Random, data: bytearray, count: int, upto: int | None = None) -> bytearray:
    for _ in range(count):
        data[chance.randrange(min(len(data), upto or len(data)))] = chance.choice(
            (0, 0xFF, 0x7F, 0x80, chance.randrange(256))
        )
    return data


def main(place: Path, samples: Path, count: int) -> None:
    """One job after another; every one must end in a report within its time."""
    chance = random.Random(7)  # noqa: S311 - to be repeated, not to be secret
    designs = sorted(path for path in samples.iterdir() if path.is_file())
    small = [path for path in designs if path.stat().st_size < _SMALL]
    rulebook = parsed(SHOP, place)
    rules = rulebook.job_rules(rulebook.products[0]).model_dump_json()
    woken = threading.Event()
    workshop = Nursery(woken.set)
    told: Counter[str] = Counter()
    slowest = 0.0
    for number in range(count):
        design = designs[number % len(designs)] if number % 10 == 0 else small[number % len(small)]
        data = chance.choice(MUTATIONS)(chance, bytearray(design.read_bytes()))
        folder = place / f"job-{number}"
        (folder / DROP).mkdir(parents=True)
        (folder / DROP / design.name).write_bytes(data)
        (folder / RULES).write_text(rules)
        begun = time.monotonic()
        ending = _ending(workshop, woken, folder)
        slowest = max(slowest, time.monotonic() - begun)
        told[_judge(folder, ending)] += 1
        shutil.rmtree(folder)
    workshop.rest()
    json.dump({"told": told, "slowest": slowest}, sys.stdout)


def _ending(workshop: Nursery, woken: threading.Event, folder: Path) -> Ending:
    woken.clear()
    worker = workshop.start(folder, folder / "out-1", memory=MEMORY, deadline=time.monotonic() + SECONDS)
    woken.wait(SECONDS)
    while (ending := worker.poll(time.monotonic())) is None:
        woken.wait(0.05)
    return ending


def _judge(folder: Path, ending: Ending) -> str:
    """The status of its report, or what went wrong and with which file."""
    if not ending.finished:
        kept = folder.parent / f"failing-{folder.name}"
        shutil.copytree(folder / DROP, kept)
        return f"{ending.message} {kept}"
    check_results(folder / "out-1")
    return Report.model_validate_json((folder / "out-1" / REPORT).read_bytes()).status


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]), int(sys.argv[3]))
