"""The last good rules, kept beside the folders for a start at which the shop's own are not good.

They are kept as the text that was read, so that whatever edition of the program reads them checks them
anew. The first line says whose they are: a root may have served another rulebook before.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from piecewright.daemon.disk import Disk, write_whole

if TYPE_CHECKING:
    from pathlib import Path

KEPT: Final = ".piecewright.rules.yaml"


def keep(disk: Disk, home: Path, rules: Path, text: str) -> None:
    """Keep the text of rules that have proved good; a crash leaves these or those kept before, whole.

    Args:
        disk: The disk.
        home: The folder that keeps them.
        rules: The rulebook's own path.
        text: What it says.

    Raises:
        OSError: If they cannot be written.
    """
    if recall(home, rules) != text:
        write_whole(disk, home / KEPT, (_heading(rules) + text).encode())


def recall(home: Path, rules: Path) -> str | None:
    """The text that was kept of a rulebook; None if there is none, or none that can be read."""
    try:
        kept = (home / KEPT).read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        return None
    heading = _heading(rules)
    return kept.removeprefix(heading) if kept.startswith(heading) else None


def _heading(rules: Path) -> str:
    return f"# The last good rules of {str(rules.resolve())!r}, kept by Piecewright; edit those, not these.\n"
