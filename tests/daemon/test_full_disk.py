"""A filesystem that is really full, of the size of a few small drops."""

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

_MOUNT = "mount -t tmpfs -o size=512k none {place} && exec {python} -m tests.daemon.filling {place}"
_LIMIT = "ulimit -f 64 && trap '' XFSZ && exec {python} -m tests.daemon.filling {place}"
_WAYS = {
    "a small filesystem": ("unshare", "--user", "--map-root-user", "--mount", "sh", "-c", _MOUNT),
    "a small filesystem of root": ("unshare", "--mount", "sh", "-c", _MOUNT),
    "a limit on the size of files": ("sh", "-c", _LIMIT),
}


def _works(way: str) -> bool:
    """Whether this machine lets us mount; the limit on the size of files every machine has."""
    *start, script = _WAYS[way]
    try:
        command = script.partition(" && ")[0].format(place="/mnt", python=sys.executable)
        return subprocess.run([*start, command], capture_output=True, check=False).returncode == 0
    except FileNotFoundError:
        return False


@pytest.mark.parametrize("way", [way for way in _WAYS if _works(way)])
def test_on_a_full_disk_nothing_is_lost_and_all_leaves_once_there_is_room(way: str, swift_path: Path) -> None:
    *start, script = _WAYS[way]
    run = subprocess.run(
        [*start, script.format(place=swift_path, python=sys.executable)],
        cwd=TOP,
        env={**os.environ, "PYTHONPATH": os.pathsep.join((str(TOP / "service"), str(TOP)))},
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 0, run.stderr
    told = json.loads(run.stdout)
    assert told["while full"] == {"published": 0, "originals": 3}
    assert told["with room"] == {"published": 3, "originals": 3}
    assert told["faults"], "it must have been full indeed"
