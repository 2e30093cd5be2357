"""The daemon's figures, every row, in one command.

    python -m tests.benchmarks.daemon [--root DIR] [--only FIGURE]

Times are those of this machine and of what else it does just now; counts and ratios are not. ``--root``
names a folder on the drive to be measured, else a temporary one in memory is used.
"""

from __future__ import annotations

import argparse
import os
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

import structlog

from piecewright.daemon.disk import RealDisk
from piecewright.daemon.health import Notifier
from piecewright.daemon.ledger import LEDGER
from piecewright.daemon.once import once
from piecewright.daemon.rulewatch import RuleWatch
from piecewright.daemon.service import Service
from piecewright.daemon.surroundings import Surroundings
from piecewright.daemon.watcher import Watcher
from tests.daemon.daemon_process import TOP, DaemonProcess
from tests.daemon.schedules import SCENARIOS, double_kills, power_cuts, single_kills
from tests.daemon.shop import FakeWorkshop, Shop, parsed
from tests.daemon.waiting import until

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

RULES: Final = """
inbox: {sweep: 5 s, settle: 3 s, settle_slow: 3 s}
limits: {workers: 64}
mats: {standard: {width: 305 mm, height: 305 mm}}
products: [{name: Anything, match: {files: ["*.dst"]}}]
"""
PATIENCE_S: Final = 120.0
FILES: Final = 24
IDLE_S: Final = 30.0


class Row(NamedTuple):
    """One figure: what was measured, what is to be reached, and whether it is."""

    what: str
    measured: str
    wanted: str
    reached: bool


def main() -> int:
    """Print the table; 1 if a figure is missed."""
    arguments = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    arguments.add_argument("--root", type=Path)
    names = [measure.__name__ for measure in MEASURES]
    arguments.add_argument("--only", choices=names, action="append", help="one figure; may be repeated")
    options = arguments.parse_args()
    place: Path | None = options.root
    structlog.configure(wrapper_class=structlog.make_filtering_bound_logger("critical"))
    missed = 0
    chosen = [measure for measure in MEASURES if not options.only or measure.__name__ in options.only]
    for measure in chosen:
        with _folder(place) as folder:
            for row in measure(folder):
                missed += not row.reached
                mark = "" if row.reached else "  MISSED"
                print(f"{row.what:58} {row.measured:>32}   {row.wanted}{mark}", flush=True)
    return 1 if missed else 0


def crashes(folder: Path) -> Iterator[Row]:
    """Every schedule; a wrong account would be an error here."""
    singles = sum(single_kills(s, folder / f"single {name}") for name, s in SCENARIOS.items())
    doubles = sum(double_kills(s, folder / f"double {name}") for name, s in SCENARIOS.items())
    dark = {name: s for name, s in SCENARIOS.items() if not s.operator}
    cuts = sum(
        power_cuts(s, folder / f"cut {name} {too}", names_too=too)
        for name, s in dark.items()
        for too in (False, True)
    )
    yield Row(
        "crash schedules: single kills, double kills, power cuts",
        f"{singles}, {doubles}, {cuts}",
        "all",
        True,
    )
    yield Row("drops lost, partial or doubled in them", "0", "0", True)


def latency(folder: Path) -> Iterator[Row]:
    """From a file's last byte until it has left the inbox."""
    for what, share, wanted in (("with events", "false", 4.0), ("with sweeps only", "true", 10.0)):
        root = folder / share
        with _service(root, RULES.replace("settle: 3 s", f"settle: 3 s, share: {share}")) as shop:
            times = sorted(_until_gone(shop, number) for number in range(FILES))
        p95 = times[int(0.95 * (len(times) - 1))]
        yield Row(
            f"quiet file to claim, {what}, p95 of {FILES}", f"{p95:.2f} s", f"{wanted:g} s", p95 <= wanted
        )


def many(folder: Path) -> Iterator[Row]:
    """Files come in by copy and by move while the inbox is swept."""
    for what in ("copied", "moved"):
        shop = Shop(folder / what)
        source = folder / f"{what} from"
        source.mkdir()
        for number in range(5000):
            (source / f"{number}.txt").write_bytes(b"x")
        deed: Callable[[Path, Path], object] = shutil.copyfile if what == "copied" else os.rename
        arrival = threading.Thread(target=_bring, args=(deed, source, shop.folders.inbox))
        with shop.session() as session:
            arrival.start()
            while arrival.is_alive():
                shop.clock.advance(5.0)
                session.tick()
            sweeps = 0
            while session.intake.lying.entries < 5000:
                shop.clock.advance(5.0)
                session.tick()
                sweeps += 1
        yield Row(f"5,000 files {what}: sweeps after the last until all found", str(sweeps), "2", sweeps <= 2)


def overflow(folder: Path) -> Iterator[Row]:
    """The service is frozen while more happens than the system keeps in mind."""
    with _process(folder, RULES.replace("sweep: 5 s", "sweep: 1 s")) as daemon:
        kept = int(Path("/proc/sys/fs/inotify/max_queued_events").read_text())
        daemon.process.send_signal(signal.SIGSTOP)
        for number in range(5000):
            for _ in range(1 + kept // 10_000):
                (daemon.root / "inbox" / f"{number}.txt").write_bytes(b"x")
        daemon.process.send_signal(signal.SIGCONT)
        begun = time.monotonic()
        daemon.until_said("5000 in the inbox")
        took = time.monotonic() - begun
        yield Row(
            "overflow with 5,000 files, sweeps of 1 s: all found", f"{took:.1f} s", "2 sweeps", took <= 3.0
        )


def idle(folder: Path) -> Iterator[Row]:
    """Nothing to do, with a full inbox."""
    with _process(folder, RULES, entries=10_000) as daemon:
        daemon.until_said("10000 in the inbox")
        until(
            lambda: "wait in the inbox" in (daemon.root / "outbox" / "index.html").read_text(),
            within=PATIENCE_S,
        )
        before, begun = _processor_s(daemon.process.pid), time.monotonic()
        threading.Event().wait(IDLE_S)
        share = (_processor_s(daemon.process.pid) - before) / (time.monotonic() - begun)
        status = Path(f"/proc/{daemon.process.pid}/status").read_text()
        memory = int(re.findall(r"VmRSS:\s+(\d+)", status)[0]) / 1000
    yield Row("idle with 10,000 entries: share of a core", f"{100 * share:.2f} %", "1 %", share <= 0.01)
    yield Row("idle with 10,000 entries: memory", f"{memory:.0f} MB", "100 MB", memory <= 100)


def healing(folder: Path) -> Iterator[Row]:
    """The threads of the watcher are ended under a running service."""
    made: list[Watcher] = []
    original = Watcher.__init__

    def remember(self: Watcher, *arguments: object) -> None:
        original(self, *arguments)  # type: ignore[arg-type]  # handed through
        made.append(self)

    Watcher.__init__ = remember  # type: ignore[method-assign,assignment]  # the service makes its own
    try:
        with _service(folder / "root", RULES):
            watcher = until(lambda: made[-1] if made and not made[-1].trouble else None, within=PATIENCE_S)
            threads = [t for t in threading.enumerate() if "Observer" in repr(t) or "Emitter" in repr(t)]
            for thread in threads:
                thread.stop()  # type: ignore[attr-defined]  # watchdog's threads have it
            begun = time.monotonic()
            known = watcher.built
            until(lambda: watcher.built > known and not watcher.trouble, within=PATIENCE_S)
            took = time.monotonic() - begun
    finally:
        Watcher.__init__ = original  # type: ignore[method-assign]
    yield Row("dead watcher rebuilt", f"{took:.1f} s", "10 s", took <= 10)


def restart(folder: Path) -> Iterator[Row]:
    """A start with a full inbox, a full done/ and a lost ledger."""
    shop = Shop(folder / "root", RULES)
    for number in range(1000):
        shop.drop(f"{number}.dst", str(number).encode())
    shop.run(ticks=400)
    (folder / "root" / LEDGER).unlink()
    begun = time.monotonic()
    with _process(folder, RULES, entries=1000):
        took = time.monotonic() - begun
    done = len(list(shop.folders.done.iterdir()))
    yield Row(f"start with 1,000 entries, {done} jobs done, ledger lost", f"{took:.1f} s", "5 s", took <= 5)


def poison(folder: Path) -> Iterator[Row]:
    """A drop that no worker survives, among others."""
    shop = Shop(folder / "root", RULES)
    shop.drop("poison.dst")
    for number in range(20):
        shop.drop(f"good-{number}.dst", str(number).encode())
    workshop = FakeWorkshop(RealDisk(), broken={"poison.dst"})
    shop.run(workshop=workshop)
    tries, cut = workshop.starts.count("poison.dst"), len(shop.published())
    yield Row(
        "poison drop: attempts, and others that were cut",
        f"{tries}, {cut} of 20",
        "3, all",
        (tries, cut) == (3, 20),
    )


def exposure(_folder: Path) -> Iterator[Row]:
    """What systemd says of the unit."""
    tool = shutil.which("systemd-analyze")
    if tool is None:
        yield Row("exposure of the unit", "systemd-analyze is not here", "1.0", reached=False)
        return
    unit = TOP / "systemd" / "piecewright.service"
    said = subprocess.run(
        [tool, "security", "--offline=true", unit], capture_output=True, text=True, check=False
    )
    level = float(re.findall(r"Overall exposure level.*: ([\d.]+)", said.stdout)[0])
    yield Row("exposure of the unit", f"{level}", "1.0 or less", level <= 1.0)


def backlog(folder: Path) -> Iterator[Row]:
    """The same backlog by one worker and by two, real jobs."""
    took = {workers: _backlog_s(folder / str(workers), workers) for workers in (1, 2)}
    ratio = took[1] / took[2]
    yield Row(
        f"two workers on a backlog ({os.cpu_count()} cores)", f"{ratio:.2f} x one", "1.8 x", ratio >= 1.8
    )
    yield Row("a job of a backlog with two workers", f"{took[2] / FILES:.2f} s", "-", reached=True)


MEASURES: Final = (crashes, latency, many, overflow, idle, healing, restart, poison, exposure, backlog)


def _bring(deed: Callable[[Path, Path], object], source: Path, inbox: Path) -> None:
    for path in source.iterdir():
        deed(path, inbox / path.name)


@contextmanager
def _folder(place: Path | None) -> Iterator[Path]:
    memory = Path("/dev/shm")  # noqa: S108 - a folder for temporary files is what is wanted
    chosen = place or (memory if os.access(memory, os.W_OK) else None)
    with tempfile.TemporaryDirectory(dir=chosen) as name:
        yield Path(name)


@contextmanager
def _service(root: Path, rules: str) -> Iterator[Shop]:
    """The service in a thread, with workers that take no time."""
    shop = Shop(root / "root")
    config = root / "rules.yaml"
    config.write_text(rules)
    around = Surroundings(workshop=lambda _wake: FakeWorkshop(RealDisk()))
    service = Service(RuleWatch(config, root=shop.root), Notifier(""), around)
    thread = threading.Thread(target=service.run)
    thread.start()
    try:
        yield shop
    finally:
        service.stop()
        thread.join()


@contextmanager
def _process(folder: Path, rules: str, *, entries: int = 0) -> Iterator[DaemonProcess]:
    """The service as a process, with entries in its inbox that no product takes."""
    config = folder / "rules.yaml"
    config.write_text(rules)
    inbox = folder / "root" / "inbox"
    inbox.mkdir(parents=True, exist_ok=True)
    for number in range(entries):
        (inbox / f"{number}.txt").write_bytes(b"x")
    daemon = DaemonProcess(config, folder / "root")
    try:
        daemon.until_ready()
        yield daemon
    finally:
        daemon.end()


def _until_gone(shop: Shop, number: int) -> float:
    """Drop a file at some point of the sweep's period, and time it."""
    threading.Event().wait(0.37 * (number % 5))
    path = shop.drop(f"{number}.dst", str(number).encode())
    begun = time.monotonic()
    until(lambda: not path.exists(), within=PATIENCE_S)
    return time.monotonic() - begun


def _processor_s(pid: int) -> float:
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def _backlog_s(root: Path, workers: int) -> float:
    config = (TOP / "config" / "demo.yaml").read_text()
    rulebook = parsed(re.sub(r"workers: \d+", f"workers: {workers}", config), root)
    samples = [
        path for path in sorted((TOP / "sample_inbox").iterdir()) if path.suffix in (".pes", ".dst", ".jef")
    ]
    shop = Shop(root)
    for number in range(FILES):
        sample = samples[number % len(samples)]
        shutil.copyfile(sample, shop.folders.inbox / f"{sample.stem}-{number}{sample.suffix}")
    begun = time.monotonic()
    once(rulebook, progress=lambda _outcome: None)
    return time.monotonic() - begun


if __name__ == "__main__":
    sys.exit(main())
