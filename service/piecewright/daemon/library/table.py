"""A library's progress and its summary, for people at a terminal."""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn
from rich.table import Table

from piecewright.daemon.printable import printable

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from piecewright.daemon.library.run import Summary
    from piecewright.daemon.outcome import Outcome


@contextmanager
def progress(designs: int, *, shown: bool) -> Iterator[Callable[[Outcome], None]]:
    """A bar that grows with each outcome, and a line for each that needs a look."""
    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, disable=not shown) as bar:
        task = bar.add_task("designs", total=designs)

        def advance(outcome: Outcome) -> None:
            if shown and outcome.status in {"refused", "waiting"}:
                bar.console.print(outcome.line(), markup=False, highlight=False)
            bar.advance(task)

        yield advance


def show(summary: Summary, into: Path, passed_over: int) -> None:
    """The sums as a table."""
    table = Table(title="Library", show_header=False)
    table.add_column()
    table.add_column(justify="right")
    table.add_row("designs", f"{summary.designs:,}")
    table.add_row("finished by earlier runs", f"{summary.done_before:,}")
    for status in ("cut", "nothing-to-cut", "refused"):
        table.add_row(status.replace("-", " "), f"{summary.by_status[status]:,}")
    table.add_row("left for the next run", f"{len(summary.failed):,}")
    table.add_row("other formats passed over", f"{passed_over:,}")
    table.add_row("pieces", f"{summary.pieces:,}")
    table.add_row("mats", f"{summary.mats:,}")
    table.add_row("findings", f"{summary.findings:,}")
    console = Console()
    console.print(table)
    console.print(f"Results lie in {printable(str(into))}", markup=False, highlight=False, soft_wrap=True)
