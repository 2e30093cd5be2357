"""A shop's outbox, work and failed folders, with jobs made by hand."""

from __future__ import annotations

import json
import os
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from piecewright.daemon.index import IndexState, rebuild

if TYPE_CHECKING:
    from pathlib import Path

NOW = datetime(2026, 11, 25, 14, 3, tzinfo=UTC)
NOVEMBER = datetime(2026, 11, 3, 9, 30, tzinfo=UTC).timestamp()
OCTOBER = datetime(2026, 10, 7, 9, 30, tzinfo=UTC).timestamp()
QUIET = IndexState(rules_name="shop.yaml", rulebook=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shop:
    """Three real folders."""

    outbox: Path
    work: Path
    failed: Path

    def rebuild(self, state: IndexState = QUIET, now: datetime = NOW) -> None:
        rebuild(self.outbox, work=self.work, failed=self.failed, state=state, now=now)

    def page(self, name: str = "index.html") -> str:
        return (self.outbox / name).read_text(encoding="utf-8")


def report(name: str = "herb bed.dst", **changes: object) -> dict[str, Any]:
    """A report as short as the index needs it."""
    square = {"exterior": [[0, 0], [40, 0], [40, 30], [0, 30]], "holes": []}
    return {
        "status": "cut",
        "source": {"name": name},
        "product": "Runner",
        "pieces": [{"id": "A", "kind": "applique", "design": 1, "outline": square}],
        "mats": [{"laid": [{}, {}]}],
        "findings": [{}],
        **changes,
    }


def put(place: Path, folder: str, content: object, when: float = NOVEMBER) -> Path:
    """A job folder with its report and sheet."""
    made = place / folder
    made.mkdir()
    (made / "report.json").write_text(json.dumps(content))
    (made / "sheet.html").write_text("a sheet")
    os.utime(made / "report.json", (when, when))
    return made
