"""How many small faults put into the core the tests notice, and which ones they do not.

    python -m tests.benchmarks.mutation units.py tests/cutting/test_units.py
    python -m tests.benchmarks.mutation pieces tests/cutting/pieces --ending 3 57

mutmut numbers the faults of each function; ``--ending`` tries only those whose number ends so: with one digit
a tenth of them, with two a hundredth. It looks for the package below ``src``, so a copy of the project with
that layout is made in a temporary folder; nothing here is changed.
"""

from __future__ import annotations

import argparse
import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections import Counter
from pathlib import Path

TOP = Path(__file__).resolve().parents[2]
MUTMUT = Path(sys.executable).parent / "mutmut"
CONFIG = """
[tool.mutmut]
source_paths = ["src"]
only_mutate = [{only}]
timeout_multiplier = 6.0
pytest_add_cli_args = ["-p", "no:randomly", "-p", "no:xdist", "-x", "-q"]
pytest_add_cli_args_test_selection = [{tests}]
also_copy = ["tests", "config", "sample_inbox"]
"""


def main() -> None:
    """Mutate one module or package of the core and print what the tests do not notice."""
    asked = _arguments()
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        _copy_to(place, asked.module, asked.tests)
        chosen = [f"*__mutmut_*{ending}" for ending in asked.ending]
        _mutmut(place, "run", "--max-children", str(asked.workers), *chosen)
        states = re.findall(r"^\s*(\S+): (.+)$", _mutmut(place, "results", "--all", "true"), re.MULTILINE)
        for name, state in states:
            if state not in {"killed", "not checked"}:
                print(f"{state}: {name}\n{_change(_mutmut(place, 'show', name))}")
    for state, number in Counter(state for _, state in states).most_common():
        print(f"{state:>24}  {number}")


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.mutation", description=__doc__)
    parser.add_argument("module", help="a module or package of the core, such as units.py or pieces")
    parser.add_argument("tests", nargs="+", help="the tests that should notice")
    parser.add_argument("--ending", nargs="*", default=[], help="try only faults whose number ends so")
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    return parser.parse_args()


def _mutmut(place: Path, *arguments: str) -> str:
    done = subprocess.run([MUTMUT, *arguments], cwd=place, check=False, capture_output=True, text=True)
    if done.returncode:
        sys.exit(done.stdout[-3000:] + done.stderr)
    return done.stdout


def _change(difference: str) -> str:
    """The changed lines alone."""
    return "\n".join(
        line
        for line in difference.splitlines()
        if line.startswith(("-", "+")) and line[:3] not in {"---", "+++"}
    )


def _copy_to(place: Path, module: str, tests: list[str]) -> None:
    shutil.copytree(
        TOP / "service", place / "src", ignore=shutil.ignore_patterns("__pycache__", "*.egg-info")
    )
    for name in ("tests", "config", "sample_inbox"):
        shutil.copytree(TOP / name, place / name, ignore=shutil.ignore_patterns("__pycache__"))
    target = f"src/piecewright/cutting/{module}" + ("" if module.endswith(".py") else "/*.py")
    text = (
        (TOP / "pyproject.toml")
        .read_text(encoding="utf-8")
        .replace('pythonpath = ["service"', 'pythonpath = ["src"')
    )
    quoted = ", ".join(f'"{test}"' for test in tests)
    (place / "pyproject.toml").write_text(
        text + CONFIG.format(only=f'"{target}"', tests=quoted), encoding="utf-8"
    )


if __name__ == "__main__":
    main()
