"""The nesting engine as a function: outlines into a strip as short as a given number of steps makes it.

The engine (spyrrow, a strip packer) runs in a process of its own, which is ended when it has done its
steps; see nester.py. Starting it is the one thing in the core that is more than arithmetic: its answer
still depends on the request alone, because the work is bounded by steps and one worker is used. A wall
limit over all strips of a job is the last resort against an engine that hangs.
"""

from __future__ import annotations

import json
import subprocess
import sys
import threading
from contextlib import contextmanager
from dataclasses import dataclass
from importlib.util import find_spec
from typing import TYPE_CHECKING, Any, Final

from piecewright.cutting.mats.enginefaults import (
    MOST_STRIPS,
    EngineError,
    EngineMissing,
    EngineOutOfTime,
    EngineSpent,
)

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from piecewright.cutting.geometry import FloatArray

SEED: Final = 1
"""Any number, but always the same."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StripItem:
    """An outline to be packed.

    Attributes:
        ring: (n, 2) mm.
        copies: How many.
        turns: Degrees allowed, in the sense of ``transformed_points``; None for any.
    """

    ring: FloatArray
    copies: int
    turns: tuple[float, ...] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """One copy in the strip: point = turn(outline point) + (x, y)."""

    item: int
    turned_deg: float
    x: float
    y: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """What the engine found: how long the strip is, and where each copy lies; nothing found is endless."""

    length: float
    placed: tuple[Placed, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Effort:
    """When the engine stops.

    Attributes:
        steps: After so many of its steps.
        patience: After so many in a row without a new layout.
        after: The same once the strip is short enough.
    """

    steps: int
    patience: int
    after: int


class Engine:
    """The engine, for as long as the wall limit of one job allows.

    Attributes:
        strips: How many strips it has packed.
    """

    def __init__(self) -> None:
        """Start with all the time there is."""
        self.strips = 0
        self._over = threading.Event()
        self._process: subprocess.Popen[str] | None = None

    def pack(
        self, items: Sequence[StripItem], height: float, limit: float, effort: Effort, *, enough: bool
    ) -> Strip:
        """Pack outlines into a strip of a fixed height (along y), from x = 0 on.

        Args:
            items: What to pack.
            height: Of the strip, mm.
            limit: A strip this short is short enough, mm.
            effort: When to stop.
            enough: Stop as soon as it is short enough.

        Returns:
            The shortest strip found.

        Raises:
            EngineMissing: If it is not installed.
            EngineSpent: If it has packed as many strips as one job may have.
            EngineOutOfTime: If the wall limit has passed.
            EngineError: If it gives no answer for another reason.
        """
        if self.strips >= MOST_STRIPS:
            raise EngineSpent
        request = {
            "items": [
                {"shape": item.ring.tolist(), "copies": item.copies, "turns": item.turns} for item in items
            ],
            "height": height,
            "limit": limit,
            "enough": enough,
            "seed": SEED,
            "steps": effort.steps,
            "patience": effort.patience,
            "after": effort.after,
        }
        answer = self._ask(request)
        self.strips += 1
        if answer.get("missing"):
            raise EngineMissing
        if answer["length"] is None:
            return Strip(length=float("inf"), placed=())
        placed = tuple(Placed(item=i, turned_deg=deg, x=x, y=y) for i, deg, x, y in answer["placed"])
        return Strip(length=answer["length"], placed=placed)

    def stop(self) -> None:
        """End what is under way and refuse whatever comes."""
        self._over.set()
        if self._process is not None:
            self._process.kill()

    def _ask(self, request: dict[str, Any]) -> dict[str, Any]:
        """One request to a process of its own."""
        if self._over.is_set():
            raise EngineOutOfTime
        with _started() as process:
            self._process = process
            try:
                return _exchange(process, request)
            except (OSError, ValueError) as error:
                if self._over.is_set():
                    raise EngineOutOfTime from error
                raise EngineError from error
            finally:
                self._process = None


@contextmanager
def engine_for(wall_s: float) -> Iterator[Engine]:
    """The engine for one job, stopped after so many seconds whatever it does."""
    engine = Engine()
    limit = threading.Timer(wall_s, engine.stop)
    limit.daemon = True
    limit.start()
    try:
        yield engine
    finally:
        limit.cancel()


@contextmanager
def _started() -> Iterator[subprocess.Popen[str]]:
    """A process that waits for one request, ended in any case."""
    spec = find_spec("piecewright.cutting.mats.nester")
    if spec is None or spec.origin is None:
        raise EngineMissing
    try:
        process = subprocess.Popen(  # noqa: S603 - our own file and interpreter
            [sys.executable, "-I", spec.origin],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
        )
    except OSError as error:
        raise EngineError from error
    with process:
        try:
            yield process
        finally:
            process.kill()


def _exchange(process: subprocess.Popen[str], request: dict[str, Any]) -> dict[str, Any]:
    """Write the request, read the answer; standard input stays open as a sign of life."""
    if process.stdin is None or process.stdout is None:
        raise BrokenPipeError
    process.stdin.write(json.dumps(request) + "\n")
    process.stdin.flush()
    answer: dict[str, Any] = json.loads(process.stdout.readline())
    return answer
