"""Rules taken over while the service runs; while the file is not good, the last good ones stay in force.

Terms: *good* are rules that can be read and whose folders can be used; the last such are kept over a restart.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import structlog

from piecewright.cutting.errors import PiecewrightError, RulesError
from piecewright.daemon import lastgood
from piecewright.daemon.rulebook import read_text, understood

if TYPE_CHECKING:
    from pathlib import Path

    from piecewright.daemon.disk import Disk
    from piecewright.daemon.rulebook import Rulebook

_log = structlog.get_logger(__name__)

_State = tuple[int, int, int] | None


class RuleWatch:
    """Looks at the rules file whenever asked, and reads it when it has changed and come to rest.

    Attributes:
        name: Of the file.
        rulebook: The rules in force.
        fault: Why the file as it stands is not in force; "" if it is.
    """

    def __init__(self, path: Path, *, root: Path | None) -> None:
        """Read the rules for the first time.

        Args:
            path: The rules file.
            root: Puts the five folders there whatever the rules say; it also keeps the last good rules, which
                else lie beside the file.

        Raises:
            RulesError: If they cannot be used, and no good ones were kept.
        """
        self._path = path
        self._root = root
        self._home = root or path.parent
        self._to_keep: str | None = None
        self._said = ""
        self.name = path.name
        self.fault = ""
        self._read = self._seen = _state(path)
        try:
            self.rulebook = self._from_file()
        except RulesError as error:
            kept = self._last_good()
            if kept is None:
                raise
            self._stay_with(kept, error)

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
            self.rulebook, self.fault = self._from_file(), ""
        except RulesError as error:
            self._stay_with(self.rulebook, error)
        else:
            _log.info("rules taken over", path=str(self._path))
        return True

    def keep(self, disk: Disk) -> None:
        """The rules in force have proved good: keep them for a start at which the file is not.

        Where that cannot be written now it is tried again when asked again.
        """
        if self._to_keep is None:
            return
        try:
            lastgood.keep(disk, self._home, self._path, self._to_keep)
        except OSError as error:
            if self._said != str(error):
                self._said = str(error)
                _log.warning("rules not kept", message=self._said)
        else:
            self._to_keep = None

    def go_back(self, error: PiecewrightError) -> bool:
        """Put the last good rules in force if those in force name other folders, which cannot be used.

        Returns:
            Whether there were any.
        """
        kept = self._last_good()
        if kept is None or kept.inbox == self.rulebook.inbox:
            return False
        self._to_keep = None
        self._stay_with(kept, error)
        return True

    def _from_file(self) -> Rulebook:
        text = read_text(self._path)
        rulebook = understood(text, self._path, root=self._root)
        self._to_keep = text
        return rulebook

    def _last_good(self) -> Rulebook | None:
        text = lastgood.recall(self._home, self._path)
        try:
            return None if text is None else understood(text, self._path, root=self._root)
        except RulesError:  # kept by an earlier edition of the program
            return None

    def _stay_with(self, rulebook: Rulebook, error: PiecewrightError) -> None:
        self.rulebook, self.fault = rulebook, str(error)
        _log.error("rules not taken over", message=error.message, instead="the last good ones")


def _state(path: Path) -> _State:
    try:
        status = path.stat()
    except OSError:
        return None
    return (status.st_mtime_ns, status.st_size, status.st_ino)
