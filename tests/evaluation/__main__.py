"""Score the finder: ``python -m tests.evaluation [--part development|scored] [--only TEXT]``.

More options: ``--reliability``, ``--dump DIR``.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from tests.evaluation.cases import cases
from tests.evaluation.scoring import score
from tests.evaluation.tables import reliability, summary


def main() -> None:
    """Print the tables; with ``--dump`` also write the designs that are not wholly right as files."""
    parser = argparse.ArgumentParser(prog="python -m tests.evaluation", description=main.__doc__)
    parser.add_argument("--part", choices=("development", "scored"), default="development")
    parser.add_argument("--only", default="", metavar="TEXT", help="situations whose name contains this")
    parser.add_argument(
        "--dump", type=Path, metavar="DIR", help="folder for designs that are not wholly right"
    )
    parser.add_argument(
        "--reliability", action="store_true", help="print stated beside observed confidence and nothing else"
    )
    options = parser.parse_args()
    results = []
    for case in cases(options.part, options.only):
        result = score(case)
        results.append(result)
        if options.dump and case.data and not result.right:
            options.dump.mkdir(parents=True, exist_ok=True)
            (options.dump / case.name).write_bytes(case.data)
    sys.stdout.write((reliability if options.reliability else summary)(results) + "\n")


if __name__ == "__main__":
    main()
