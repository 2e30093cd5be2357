"""The nesting engine in a process of its own: one request on standard input, one answer on standard output.

The engine packs a strip of fixed height as short as it can and never stops by itself within a useful
time. It reports each step, so the work is bounded by counting reports: the same request then gives the
same answer on any machine, fast or slow. A process can be ended at that point, a thread cannot.

Run by path, without the package around it, so that it starts in the time that the interpreter takes.
"""

from __future__ import annotations

import json
import signal
import sys
import threading
from typing import Any

POLL_S = 0.002
"""How often reports are fetched; does not change which report ends the work."""

FOREVER_S = 10**7
"""The engine's own clock must never decide."""


class Progress:
    """The best layout so far, and whether the work is done."""

    def __init__(self, limit: float, enough: bool, steps: int, patience: int, after: int) -> None:
        """Take the reasons to stop."""
        self.limit, self.enough, self.steps = limit, enough, steps
        self.patience, self.after = patience, after
        self.seen = self.idle = 0
        self.best: Any = None

    def see(self, feasible: bool, solution: Any) -> bool:  # noqa: ANN401 - the engine has no types
        """Count one report; True if it is the last that counts."""
        self.seen += 1
        self.idle = 0 if feasible else self.idle + 1
        if feasible and (self.best is None or solution.width < self.best.width):
            self.best = solution
        fits = self.best is not None and self.best.width <= self.limit
        patience = self.after if fits else self.patience
        return (fits and self.enough) or self.seen >= self.steps or self.idle >= patience


def main() -> None:
    """Answer one request."""
    request = json.loads(sys.stdin.readline())
    threading.Thread(target=_end_with_parent, daemon=True).start()
    print(json.dumps(_nest(request)), flush=True)  # noqa: T201 - the answer
    signal.raise_signal(signal.SIGTERM)


def _nest(request: dict[str, Any]) -> dict[str, Any]:
    """Let the engine work until one of the reasons to stop holds."""
    try:
        import spyrrow  # noqa: PLC0415 - a missing engine is an answer
    except ImportError:
        return {"missing": True}
    items = [
        spyrrow.Item(str(n), [tuple(p) for p in item["shape"]], item["copies"], item["turns"])
        for n, item in enumerate(request["items"])
    ]
    strip = spyrrow.StripPackingInstance("mat", request["height"], items)
    config = spyrrow.StripPackingConfig(
        early_termination=True, total_computation_time=FOREVER_S, num_workers=1, seed=request["seed"]
    )
    queue = spyrrow.ProgressQueue()
    solver = threading.Thread(target=strip.solve, args=(config, queue), daemon=True)
    solver.start()
    progress = Progress(*(request[key] for key in ("limit", "enough", "steps", "patience", "after")))
    feasible = (spyrrow.ReportType.ExplFeas, spyrrow.ReportType.CmprFeas, spyrrow.ReportType.Final)
    alive = True
    while alive:
        alive = solver.is_alive()
        for kind, solution in queue.drain():
            if progress.see(kind in feasible, solution):
                return _answer(progress)
        solver.join(POLL_S)
    return _answer(progress)


def _answer(progress: Progress) -> dict[str, Any]:
    best = progress.best
    placed = [] if best is None else [[int(p.id), p.rotation, *p.translation] for p in best.placed_items]
    return {"length": None if best is None else best.width, "placed": placed, "steps": progress.seen}


def _end_with_parent() -> None:
    """Do not go on working for nobody: standard input closes when the asking process ends."""
    sys.stdin.read()
    signal.raise_signal(signal.SIGTERM)


if __name__ == "__main__":
    main()
