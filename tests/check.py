"""The one command that checks everything: format, lint, types, import contracts, tests."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

TOP = Path(__file__).resolve().parent.parent
STEPS = (
    ("ruff", "format", "--check", "service", "tests"),
    ("ruff", "check", "service", "tests"),
    ("mypy",),
    ("lint-imports", "--no-logo"),
    ("pytest", "-n", "2", *sys.argv[1:]),
)


def main() -> int:
    """Run every step, also after one has failed, and give the first failure's exit code."""
    failed = 0
    for step in STEPS:
        print("$", " ".join(step), flush=True)  # noqa: T201 - this is a command
        tool = Path(sys.executable).parent / step[0]
        code = subprocess.run([tool, *step[1:]], cwd=TOP, check=False).returncode
        failed = failed or code
    return failed


if __name__ == "__main__":
    sys.exit(main())
