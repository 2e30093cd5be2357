"""Working through an inbox once: for a timed task, a trial, or the first look at the program."""

from __future__ import annotations

import threading
import time
from typing import TYPE_CHECKING

from piecewright.daemon import logs
from piecewright.daemon.board import Board
from piecewright.daemon.bringing import bring
from piecewright.daemon.folders import Folders, prepare
from piecewright.daemon.session import Session

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from piecewright.daemon.outcome import Outcome
    from piecewright.daemon.rulebook import Rulebook
    from piecewright.daemon.surroundings import Surroundings


def once(
    rulebook: Rulebook, *, progress: Callable[[Outcome], None], around: Surroundings | None = None
) -> tuple[Outcome, ...]:
    """Work through what lies in the inbox, then end.

    Args:
        rulebook: The rules.
        progress: Told of each outcome as it comes about.
        around: Disk, clocks and workers; those of this machine if left out.

    Returns:
        All outcomes, those of drops left waiting last.

    Raises:
        FolderError: If the folders cannot be used, or another service uses them.
        RootLost: If the root goes away meanwhile.
    """
    logs.set_up(level="warning")
    outcomes: list[Outcome] = []

    def tell(outcome: Outcome) -> None:
        outcomes.append(outcome)
        progress(outcome)

    wake = threading.Event()
    with Session.opened(rulebook, tell=tell, wake=wake.set, around=around) as session:
        session.intake.gathers = False
        while True:
            wake.clear()
            session.tick()
            if session.is_through:
                break
            wake.wait(max(0.0, session.next_due() - time.monotonic()))
        for outcome in session.left_waiting():
            tell(outcome)
        Board("", session).write_now()
    return tuple(outcomes)


def take_copies(source: Path, rulebook: Rulebook) -> int:
    """Copy what lies in a folder into the inbox; see ``bring``.

    Returns:
        How many files and folders were copied.

    Raises:
        SpecialFile: If something is neither file nor folder.
        OSError: If something cannot be copied.
        FolderError: If the folders cannot be used.
    """
    folders = Folders.of(rulebook.inbox)
    prepare(folders)
    entries = [entry for entry in sorted(source.iterdir()) if not entry.name.startswith(".")]
    for entry in entries:
        bring(entry.resolve(), folders.inbox, entry.name)
    return len(entries)
