"""How many small faults put into the core the tests notice.

    python -m tests.benchmarks.mutation units.py tests/cutting/test_units.py
    python -m tests.benchmarks.mutation pieces tests/cutting/pieces

mutmut looks for the package below ``src``, so a copy of the project with that layout is made in a temporary
folder; nothing here is changed.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
import tempfile
from collections import Counter
from pathlib import Path

TOP = Path(__file__).resolve().parents[2]
CONFIG = """
[tool.mutmut]
source_paths = ["src"]
only_mutate = [{only}]
pytest_add_cli_args = ["-p", "no:randomly", "-p", "no:xdist", "-x", "-q"]
pytest_add_cli_args_test_selection = [{tests}]
also_copy = ["tests", "config", "sample_inbox"]
"""


def main(module: str, *tests: str) -> None:
    """Mutate one module or package of the core and print what the tests notice."""
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        _copy_to(place, module, tests)
        tool = Path(sys.executable).parent / "mutmut"
        subprocess.run([tool, "run"], cwd=place, check=False, stdout=subprocess.DEVNULL)
        results = subprocess.run(
            [tool, "results", "--all", "true"], cwd=place, check=True, capture_output=True, text=True
        )
    states = re.findall(r"^\s*(\S+): (.+)$", results.stdout, re.MULTILINE)
    survivors = [name for name, state in states if state == "survived"]
    say = sys.stdout.write
    say("\n".join(survivors) + "\n" if survivors else "")
    for state, number in Counter(state for _, state in states).most_common():
        say(f"{state:>24}  {number}\n")


def _copy_to(place: Path, module: str, tests: tuple[str, ...]) -> None:
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
    main(*sys.argv[1:])
