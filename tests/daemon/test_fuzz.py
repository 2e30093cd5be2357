"""Two thousand mutated stitch files through real workers: no hang, no leak, every one ends in a report."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

from tests.daemon.daemon_process import TOP

if TYPE_CHECKING:
    from pathlib import Path

COUNT = 2100


@pytest.mark.slow
@pytest.mark.timeout(900)
def test_every_mutated_design_ends_in_a_report(swift_path: Path) -> None:
    run = subprocess.run(
        [
            sys.executable,
            "-m",
            "tests.daemon.fuzzing",
            str(swift_path),
            str(TOP / "sample_inbox"),
            str(COUNT),
        ],
        cwd=TOP,
        env={**os.environ, "PYTHONPATH": os.pathsep.join((str(TOP / "service"), str(TOP)))},
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 0, run.stderr
    told = json.loads(run.stdout)["told"]
    assert sum(told.values()) == COUNT
    assert set(told) <= {"cut", "nothing-to-cut", "refused"}, told
    assert told["refused"] > COUNT / 4, "the mutations are harmful enough"
    assert list(swift_path.iterdir()) == [], "nothing is left behind"
