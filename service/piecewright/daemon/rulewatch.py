"""Rules taken over while the service runs; an invalid edit keeps the old ones and is shown."""

from __future__ import annotations

from typing import TYPE_CHECKING

import structlog

from piecewright.cutting.errors import RulesError
from piecewright.daemon.rulebook import load

if TYPE_CHECKING:
    from pathlib import Path

_log = structlog.get_logger(__name__)

_State = tuple[int, int, int] | None


class RuleWatch:
    """Looks at the rules file whenever asked, and reads it when it has changed and come to rest."""

    def __init__(self, path: Path, *, root: Path | None) -> None:
        """Read the rules for the first time.

        Raises:
            RulesError: If they cannot be used.
        """
        self._path = path
        self.name = path.name
        self._root = root
        self._read = self._seen = _state(path)
        self.rulebook = load(path, root=root)
        self.fault = ""

    def look(self) -> bool:
        """Take over an edit once it looks the same twice, since editors write in steps.

        Returns:
            Whether there are new rules, or a new fault.
        """
        state = _state(self._path)
        at_rest, self._seen = state == self._seen, state
        if not at_rest or state == self._read:
            return False
        self._read = state
        try:
            self.rulebook, self.fault = load(self._path, root=self._root), ""
        except RulesError as error:
            self.fault = str(error)
            _log.error("rules not taken over", message=error.message)
        else:
            _log.info("rules taken over", path=str(self._path))
        return True


def _state(path: Path) -> _State:
    try:
        status = path.stat()
    except OSError:
        return None
    return (status.st_mtime_ns, status.st_size, status.st_ino)
