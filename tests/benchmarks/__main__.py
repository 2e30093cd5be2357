"""Every measurement in one command: ``python -m tests.benchmarks [NAME ...]``."""

from __future__ import annotations

import importlib
import pkgutil
import sys

import tests.benchmarks

NOT_MEASURED_HERE = {"__main__", "coverage", "mutation"}
"""What the tests notice is no figure of the program; mutation takes hours, and arguments of its own."""


def main() -> None:
    """Run the named measurements, all of them if none is named."""
    names = sys.argv[1:] or [module.name for module in pkgutil.iter_modules(tests.benchmarks.__path__)]
    sys.argv[1:] = []
    for name in (name for name in names if name not in NOT_MEASURED_HERE):
        print(f"\n== {name}", flush=True)
        importlib.import_module(f"tests.benchmarks.{name}").main()


if __name__ == "__main__":
    main()
