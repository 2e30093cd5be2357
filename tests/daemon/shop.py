"""A shop in a temporary folder: fakes for clock, disk and workers, and an account of its drops."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import shutil
from collections import Counter
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from piecewright.cutting.errors import UnreadableDesign
from piecewright.daemon.disk import Disk, RealDisk
from piecewright.daemon.folders import Folders
from piecewright.daemon.jobfolder import DROP, REPORT, content_hash
from piecewright.daemon.rulebook import parse
from piecewright.daemon.session import Session
from piecewright.daemon.surroundings import Surroundings
from piecewright.daemon.worker import BROKEN, FINISHED, refusal
from piecewright.daemon.workshop import Worker

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from contextlib import AbstractContextManager
    from pathlib import Path

    from piecewright.daemon.outcome import Outcome
    from piecewright.daemon.rulebook import Rulebook

RULES = """
inbox: {sweep: 5 s, settle: 3 s, settle_slow: 10 s}
limits: {workers: 1, job_time: 60 s}
mats: {standard: {width: 305 mm, height: 305 mm}}
products:
  - {name: Order, tray: order, gather: 20 s, match: {files: []}}
  - {name: Stick, match: {files: ["stick*"]}, hand_over: second}
  - {name: Anything, match: {files: ["*.dst", "*.pes", "folder*"]}}
"""

START = dt.datetime(2026, 5, 2, 8, 0, tzinfo=dt.UTC)


class FakeClock:
    """Monotonic seconds that pass only when a test says so; the calendar follows, and may jump."""

    def __init__(self) -> None:
        """Begin in the middle of a day."""
        self.now = 1000.0
        self.calendar = START

    def __call__(self) -> float:
        return self.now

    def today(self) -> dt.datetime:
        return self.calendar

    def advance(self, seconds: float) -> None:
        self.now += seconds
        self.calendar += dt.timedelta(seconds=seconds)


class Killed(BaseException):
    """The process has ended here, as by SIGKILL: nothing may catch it."""


@dataclass
class TracedDisk:
    """A real disk that remembers its steps, and can end the process before or in the middle of one.

    Attributes:
        kill_at: Number of the step, from 1, at which the process ends.
        torn: Whether that step is left half done; else it is not begun.
    """

    kill_at: int | None = None
    torn: bool = False
    steps: list[tuple[str, ...]] = field(default_factory=list)
    disk: Disk = field(default_factory=RealDisk)
    dead: bool = False

    def make_folder(self, path: Path) -> None:
        self._step("make_folder", path)
        self.disk.make_folder(path)

    def write(self, path: Path, data: bytes) -> None:
        if self._step("write", path):
            self.disk.write(path, data[: len(data) // 2])
            self._die()
        self.disk.write(path, data)

    def copy(self, source: Path, target: Path) -> None:
        if self._step("copy", source, target):
            self.disk.write(target, source.read_bytes()[:1])
            self._die()
        self.disk.copy(source, target)

    def sync(self, path: Path) -> None:
        self._step("sync", path)

    def rename(self, source: Path, target: Path) -> None:
        self._step("rename", source, target)
        self.disk.rename(source, target)

    def replace(self, source: Path, target: Path) -> None:
        self._step("replace", source, target)
        self.disk.replace(source, target)

    def remove_empty(self, path: Path) -> None:
        self._step("remove_empty", path)
        self.disk.remove_empty(path)

    def remove(self, path: Path) -> None:
        if self._step("remove", path):
            inner = next((inner for inner in sorted(path.rglob("*")) if inner.is_file()), None)
            if inner is not None:
                inner.unlink()
            self._die()
        self.disk.remove(path)

    def _step(self, *what: str | Path) -> bool:
        """Whether the step is to be torn."""
        if self.dead:
            raise Killed
        self.steps.append(tuple(map(str, what)))
        if len(self.steps) != self.kill_at:
            return False
        if not self.torn:
            self._die()
        return True

    def _die(self) -> None:
        self.dead = True
        raise Killed


@dataclass
class PowerCutDisk(TracedDisk):
    """A disk that knows what a power cut may take: data and names that were not synced.

    Attributes:
        unsynced: Files whose data is lost.
        loose: Steps that are undone, each with the folders that must be synced before it holds.
    """

    unsynced: set[Path] = field(default_factory=set)
    loose: list[tuple[str, Path, Path, set[Path]]] = field(default_factory=list)

    def make_folder(self, path: Path) -> None:
        super().make_folder(path)
        self.loose.append(("make", path, path, {path.parent}))

    def write(self, path: Path, data: bytes) -> None:
        super().write(path, data)
        self._wrote(path)

    def copy(self, source: Path, target: Path) -> None:
        super().copy(source, target)
        self._wrote(target)

    def sync(self, path: Path) -> None:
        super().sync(path)
        self.unsynced.discard(path)
        for _verb, _source, _target, needed in self.loose:
            needed.discard(path)
        self.loose = [step for step in self.loose if step[3]]

    def rename(self, source: Path, target: Path) -> None:
        super().rename(source, target)
        self._moved(source, target)

    def replace(self, source: Path, target: Path) -> None:
        super().replace(source, target)
        self._moved(source, target)

    def cut(self, *, names_too: bool) -> None:
        """The power is gone: lose what was never synced."""
        for path in self.unsynced:
            if path.exists():
                path.write_bytes(b"")
        for verb, source, target, _needed in reversed(self.loose) if names_too else ():
            if verb == "move" and target.exists():
                target.rename(source)
            elif verb == "make" and target.exists():
                shutil.rmtree(target)
            elif verb == "write":
                target.unlink(missing_ok=True)

    def _wrote(self, path: Path) -> None:
        self.unsynced.add(path)
        self.loose.append(("write", path, path, {path.parent}))

    def _moved(self, source: Path, target: Path) -> None:
        def now(path: Path) -> Path:
            return target / path.relative_to(source) if path.is_relative_to(source) else path

        self.unsynced = {now(path) for path in self.unsynced}
        self.loose = [(verb, now(a), now(b), {now(c) for c in needed}) for verb, a, b, needed in self.loose]
        self.loose.append(("move", source, target, {source.parent, target.parent}))


@dataclass
class FakeWorkshop:
    """Works at once and in this process: each drop becomes one cut file that holds its SHA-256.

    Attributes:
        broken: Names of drops that no worker survives.
        refused: Names of drops that the worker refuses.
        running: While True workers do not end.
    """

    disk: Disk
    broken: set[str] = field(default_factory=set)
    refused: set[str] = field(default_factory=set)
    running: bool = False
    starts: list[str] = field(default_factory=list)
    before: Callable[[Path], None] = lambda _folder: None
    rests: int = 0

    def start(self, folder: Path, out: Path, *, memory: int, deadline: float) -> Worker:
        assert memory > 0
        dropped = sorted(path.name for path in (folder / DROP).iterdir())
        self.starts.append(" ".join(dropped))
        ended: list[Worker] = []
        worker = Worker(deadline=deadline, log=folder / "none.log", kill=lambda: ended[0].ended(-9))
        ended.append(worker)
        self.before(folder)
        if self.running:
            return worker
        if self.broken.intersection(dropped):
            worker.ended(BROKEN)
            return worker
        write_results(self.disk, folder, out, refuse=bool(self.refused.intersection(dropped)))
        worker.ended(FINISHED)
        return worker

    def rest(self) -> None:
        self.rests += 1


def write_results(disk: Disk, folder: Path, out: Path, *, refuse: bool = False) -> None:
    """What a worker leaves."""
    disk.make_folder(out)
    if refuse:
        error = UnreadableDesign("It is cut short.", "Export it again.")
        disk.write(
            out / REPORT, refusal(folder.name, "Anything", error).model_dump_json(by_alias=True).encode()
        )
        return
    cut_file = content_hash(folder).encode()
    disk.write(out / "mat-1.svg", cut_file)
    report = {
        "job": folder.name,
        "status": "cut",
        "product": "Anything",
        "error": None,
        "findings": [],
        "mats": [{"files": ["mat-1.svg"], "laid": [{}]}],
        "files": [{"name": "mat-1.svg", "sha256": hashlib.sha256(cut_file).hexdigest()}],
    }
    disk.write(out / REPORT, json.dumps(report).encode())


class Shop:
    """A root, its rules, and somebody who drops and takes away."""

    def __init__(self, root: Path, rules: str = RULES) -> None:
        """Make the folders; nothing is dropped yet."""
        self.root = root
        self.rulebook = parsed(rules, root)
        self.folders = Folders.of(self.rulebook.inbox)
        for folder in self.folders.all():
            folder.mkdir(parents=True, exist_ok=True)
        self.clock = FakeClock()
        self.outcomes: list[Outcome] = []
        self.taken = root.parent / "taken"

    def drop(self, name: str, data: bytes = b"stitches") -> Path:
        path = self.folders.inbox / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
        return path

    def session(
        self, disk: Disk | None = None, workshop: FakeWorkshop | None = None
    ) -> AbstractContextManager[Session]:
        """A session with fakes; use it in a ``with``."""
        used = disk or RealDisk()
        made = workshop or FakeWorkshop(used)
        around = Surroundings(
            disk=used, clock=self.clock, today=self.clock.today, workshop=lambda _wake: made
        )
        return Session.opened(self.rulebook, tell=self.outcomes.append, wake=lambda: None, around=around)

    def run(self, disk: Disk | None = None, workshop: FakeWorkshop | None = None, *, ticks: int = 80) -> None:
        """Serve until nothing is left in inbox and work."""
        with self.session(disk, workshop) as session:
            for _ in range(ticks):
                session.tick()
                if not any(self.drops()) and not any(self.folders.work.iterdir()):
                    return
                self.clock.advance(4.0)

    def drops(self) -> Iterator[Path]:
        """What lies in the inbox and its trays."""
        for path in self.folders.inbox.iterdir():
            if path.name == "order" and path.is_dir():
                yield from path.iterdir()
            else:
                yield path

    def take_output(self) -> None:
        """The operator takes what lies in the outbox, at once."""
        self.taken.mkdir(exist_ok=True)
        for folder in list(self.folders.outbox.iterdir()):
            shutil.move(folder, self.taken / folder.name)

    def originals(self) -> Counter[bytes]:
        """Every dropped file by its content, wherever in the root it lies."""
        homes = [self.folders.inbox, *self._in_folders()]
        return Counter(path.read_bytes() for home in homes for path in home.rglob("*") if path.is_file())

    def published(self) -> list[Path]:
        """Every folder that has ever left."""
        taken = list(self.taken.iterdir()) if self.taken.exists() else []
        return sorted([*self.folders.outbox.glob("*_*"), *taken])

    def _in_folders(self) -> list[Path]:
        places = (self.folders.work, self.folders.done, self.folders.failed)
        return [folder / DROP for place in places for folder in place.iterdir() if (folder / DROP).is_dir()]


def parsed(rules: str, root: Path) -> Rulebook:
    """Rules whose folders lie under a root."""
    rulebook = parse(rules, "rules.yaml")
    return rulebook.model_copy(update={"inbox": rulebook.inbox.model_copy(update={"root": root})})
