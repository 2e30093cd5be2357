"""Score the finder: ``python -m tests.evaluation [--part development|scored|open|sealed] [--only TEXT]``.

More options: ``--reliability``, ``--dump DIR``. Of the sealed part totals are printed, and no more.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from tests.evaluation.cases import cases
from tests.evaluation.scoring import score
from tests.evaluation.sealed.cases import cases as sealed_cases
from tests.evaluation.tables import reliability, summary, sums_alone

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tests.evaluation.cases import Case

PARTS = ("development", "scored", "open", "sealed")


def _cases(part: str, only: str) -> Iterator[Case]:
    if part in {"development", "scored"}:
        return cases("scored" if part == "scored" else "development", only)
    return sealed_cases("sealed" if part == "sealed" else "open", only)


def main() -> None:
    """Print the tables; with ``--dump`` also write the designs that are not wholly right as files."""
    parser = argparse.ArgumentParser(prog="python -m tests.evaluation", description=main.__doc__)
    parser.add_argument("--part", choices=PARTS, default="development")
    parser.add_argument("--only", default="", metavar="TEXT", help="situations whose name contains this")
    parser.add_argument(
        "--dump", type=Path, metavar="DIR", help="folder for designs that are not wholly right"
    )
    parser.add_argument(
        "--reliability", action="store_true", help="print stated beside observed confidence and nothing else"
    )
    options = parser.parse_args()
    if options.part == "sealed" and (options.only or options.dump):
        parser.error("the sealed part is scored as a whole: leave out --only and --dump")
    results = []
    for case in _cases(options.part, options.only):
        result = score(case)
        results.append(result)
        if options.dump and case.data and not result.right:
            options.dump.mkdir(parents=True, exist_ok=True)
            (options.dump / case.name).write_bytes(case.data)
    whole = sums_alone if options.part == "sealed" else summary
    sys.stdout.write((reliability if options.reliability else whole)(results) + "\n")


if __name__ == "__main__":
    main()
