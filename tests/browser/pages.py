"""Every kind of page, written to disk as the service writes them."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from piecewright.cutting import sheet
from piecewright.daemon.index import IndexState, rebuild
from piecewright.daemon.rulebook import load
from tests.check import TOP
from tests.cutting.sheet.case import HOSTILE, Case, herb_bed, job, nothing_to_cut, order, rules_of, stages_of
from tests.daemon.index_shop import NOW, put, report

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

SHEETS: dict[str, Callable[[], Case]] = {
    "sheet": herb_bed,
    "order": order,
    "patches": lambda: job([stages_of("patch.jef")], rules_of(), patches=True),
    "nothing": nothing_to_cut,
}
INDEXES = {"index": "index.html", "month": "index-2026-11.html", "aside": "index-failed.html"}
PAGES = (*SHEETS, *INDEXES)


def write_pages(root: Path) -> dict[str, Path]:
    """Fill an empty folder with a shop's outbox and give each page by its name."""
    outbox, work, failed = root / "outbox", root / "work", root / "failed"
    for folder in (outbox, failed, work / "j"):
        folder.mkdir(parents=True)
    put(outbox, "herb-bed_1", report())
    put(outbox, "empty_2", report("empty.pes", status="nothing-to-cut", pieces=[], mats=[], findings=[]))
    claim = {"name": "tulip.pes", "product": "Cushion", "claimed": NOW.isoformat()}
    (work / "j" / "claim.json").write_text(json.dumps(claim))
    for number in range(12):
        put(
            failed, f"f{number}", report(HOSTILE, error={"message": "Cut short.", "advice": "Copy it again."})
        )
    rules = load(TOP / "config" / "shop.yaml", root=root)
    state = IndexState(
        rules_name="shop.yaml",
        rulebook=rules,
        rules_fault="line 3: no such key",
        notices=("The inbox is gone.",),
    )
    rebuild(outbox, work=work, failed=failed, state=state, now=NOW)
    for name, case in SHEETS.items():
        (outbox / f"{name}.html").write_bytes(sheet.write(*case().arguments))
    return {name: outbox / INDEXES.get(name, f"{name}.html") for name in PAGES}
