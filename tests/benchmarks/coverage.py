"""How many branches of the core its own tests take: ``python -m tests.benchmarks.coverage``.

Only the tests of the core are run, not those of the service around it, which pass through much of the core
without looking at what it does. It ends with an error if a test fails, or if fewer branches are taken than
the floor.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from collections import defaultdict
from pathlib import Path
from typing import Final

TOP: Final = Path(__file__).resolve().parents[2]
CORE: Final = "service/piecewright/cutting/"
TESTS: Final = ("tests/cutting", "tests/validation", "tests/properties", "tests/golden")
FLOOR: Final = 0.95


def main() -> None:
    """Run the tests and print, for each module or package of the core, what they leave out."""
    with tempfile.TemporaryDirectory() as folder:
        found = Path(folder) / "coverage.json"
        arguments = ["--cov=piecewright.cutting", "--cov-branch", f"--cov-report=json:{found}"]
        command = [sys.executable, "-m", "pytest", "-q", *TESTS, *arguments]
        failed = subprocess.run(command, cwd=TOP, check=False).returncode
        report = json.loads(found.read_text(encoding="utf-8"))
    packages: defaultdict[str, list[int]] = defaultdict(lambda: [0, 0, 0, 0])
    left_out = []
    for name, module in report["files"].items():
        numbers = _numbers(module["summary"])
        for total in (packages[name.removeprefix(CORE).split("/")[0]], packages["all"]):
            total[:] = [a + b for a, b in zip(total, numbers, strict=True)]
        left_out += [f"{name}: {begin} to {end}" for begin, end in module["missing_branches"]]
    print("\nbranches that no test takes (line to line, a negative one leaves the function):")
    print("\n".join(left_out))
    print(f"\n{'':16} {'branches':>9} {'taken':>7}   {'statements':>10} {'run':>7}")
    for name, (branches, taken, statements, run) in packages.items():
        print(f"{name:16} {branches:9} {_share(taken, branches):>7}", end="")
        print(f"   {statements:10} {_share(run, statements):>7}")
    branches, taken, *_ = packages["all"]
    sys.exit(failed or taken < FLOOR * branches)


def _numbers(summary: dict[str, int]) -> list[int]:
    keys = ("num_branches", "covered_branches", "num_statements", "covered_lines")
    return [summary[key] for key in keys]


def _share(part: int, whole: int) -> str:
    return f"{part / whole:.1%}" if whole else "-"


if __name__ == "__main__":
    main()
