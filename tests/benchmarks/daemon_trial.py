"""The trial of the unit, run inside the container that daemon_unit.py boots; standard library alone."""

from __future__ import annotations

import functools
import json
import os
import re
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Callable

ROOT: Final = Path("/srv/piecewright")
RULES: Final = Path("/etc/piecewright/shop.yaml")
KEPT: Final = ROOT / ".piecewright.rules.yaml"
DRIVE: Final = "srv-piecewright.mount"
SAMPLES: Final = Path("/samples")
PATIENCE_S: Final = 90.0
ELSEWHERE: Final = ("/etc/probe", "/opt/probe", "/usr/probe", "/var/probe", "/home/probe")


def main() -> None:
    """Everything, in order, each finding a line of JSON as soon as it is known; "brief" leaves most out."""
    _tell("systemd", _ask("systemctl", "--version").splitlines()[0])
    _tell("active once it says that it is ready", _show("ActiveState") == "active")
    brief = "brief" in sys.argv
    _samples(sorted(SAMPLES.iterdir())[:1] if brief else sorted(SAMPLES.iterdir()))
    _confinement()
    if not brief:
        _killed()
        _frozen()
        _stopped()
        _bad_rules()
        _drive_gone()
    journal = _ask("journalctl", "-o", "cat").splitlines()
    _tell("calls refused, by the journal", [line for line in journal if "SIGSYS" in line or "EPERM" in line])


def _samples(samples: list[Path]) -> None:
    for sample in samples:
        inbox = ROOT / "inbox" / sample.name
        bring = shutil.copytree if sample.is_dir() else shutil.copyfile
        bring(sample, inbox)
        if sample.is_dir():
            inbox.chmod(0o2770)  # as the umask of somebody of the shop's group makes it
        start = f"{sample.stem}_"
        _tell(f"{sample.name} goes through", _until(functools.partial(_published, start)))
    files = list((ROOT / "outbox").rglob("*.svg"))
    _tell("the group may take the files", bool(files) and all(f.stat().st_mode & 0o60 == 0o60 for f in files))


def _confinement() -> None:
    pid = _pid()
    status = Path(f"/proc/{pid}/status").read_text(encoding="utf-8")
    _tell("it has no capabilities", re.search(r"^CapEff:\t0+$", status, re.MULTILINE) is not None)
    _tell("it can gain no rights", "NoNewPrivs:\t1" in status)
    _tell("its calls are filtered", "Seccomp:\t2" in status)
    _tell("it can write in its root", _inside(pid, "touch", str(ROOT / "probe")))
    _tell("where else it can write", [path for path in ELSEWHERE if _inside(pid, "touch", path)])
    _tell("it sees into /root", _inside(pid, "ls", "/root/"))
    devices = _ask("nsenter", "-t", str(pid), "-n", "cat", "/proc/net/dev").splitlines()[2:]
    _tell("its network interfaces", [line.partition(":")[0].strip() for line in devices])


def _killed() -> None:
    _begin("runner killed.pes")
    os.kill(_pid(), signal.SIGKILL)
    _tell("a job whose service was killed goes through", _until(lambda: _published("runner-killed_")))
    _tell("how often", len(_published("runner-killed_")))
    _tell("restarts", int(_show("NRestarts")))


def _frozen() -> None:
    pid, begun = _pid(), time.monotonic()
    os.kill(pid, signal.SIGSTOP)
    anew = _until(lambda: _pid() not in (0, pid) and _show("ActiveState") == "active", within=2 * PATIENCE_S)
    _tell("a frozen service is started anew by the watchdog", anew)
    _tell("seconds until then", round(time.monotonic() - begun))


def _stopped() -> None:
    _begin("runner stopped.pes")
    begun = time.monotonic()
    _ask("systemctl", "stop", "piecewright")
    _tell("seconds to stop with a job in work", round(time.monotonic() - begun, 1))
    _tell("result of the stop", _show("Result"))
    _tell("the job in work was finished", len(_published("runner-stopped_")) == 1)
    _tell("jobs left in work", len(list((ROOT / "work").iterdir())))


def _bad_rules() -> None:
    good = RULES.read_text(encoding="utf-8")
    RULES.write_text("matz: 1\n", encoding="utf-8")
    _ask("systemctl", "start", "piecewright")
    _tell("started with bad rules it goes on by the last good ones", _show("ActiveState") == "active")
    _tell("and says why", "matz" in _journal())
    _ask("systemctl", "stop", "piecewright")
    KEPT.unlink()
    _ask("systemctl", "start", "--no-block", "piecewright")
    _tell("with none kept it tries again", _until(lambda: int(_show("NRestarts") or 0) >= 1))
    RULES.write_text(good, encoding="utf-8")
    _tell("once they are mended it comes up by itself", _until(lambda: _show("ActiveState") == "active"))


def _drive_gone() -> None:
    _ask("systemctl", "stop", DRIVE)
    _tell("without its drive it is stopped", _until(lambda: _show("ActiveState") == "inactive"))
    _ask("systemctl", "start", "--no-block", DRIVE)
    _tell("with its drive it comes back by itself", _until(lambda: _show("ActiveState") == "active"))
    _ask("umount", "--lazy", str(ROOT))
    lost = "root lost"
    _tell("a drive that is pulled out is noticed", _until(lambda: lost in _journal()))
    _ask("mount", "--bind", "/drive", str(ROOT))
    shutil.copyfile(SAMPLES / "runner-leaves.pes", ROOT / "inbox" / "runner back.pes")
    back = _until(lambda: _published("runner-back_"), within=3 * PATIENCE_S)
    _tell("once it is plugged in again work goes on", back)


def _begin(name: str) -> None:
    """Drop a design and wait until a worker is at it."""
    shutil.copyfile(SAMPLES / "runner-leaves.pes", ROOT / "inbox" / name)
    _until(lambda: list((ROOT / "work").glob("*/attempt-*.json")))


def _journal() -> str:
    return _ask("journalctl", "-u", "piecewright", "-o", "cat")


def _published(start: str) -> list[Path]:
    return list((ROOT / "outbox").glob(f"{start}*/report.json"))


def _pid() -> int:
    return int(_show("MainPID"))


def _show(what: str) -> str:
    return _ask("systemctl", "show", "piecewright", "--value", "-p", what)


def _inside(pid: int, *words: str) -> bool:
    """Whether a command succeeds with the account and the folders of the service."""
    enter = ("nsenter", "-t", str(pid), "-m", "-S", "990", "-G", "990")
    return subprocess.run([*enter, *words], capture_output=True, check=False).returncode == 0


def _ask(*words: str) -> str:
    return subprocess.run(words, capture_output=True, text=True, check=False).stdout.strip()


def _until(condition: Callable[[], object], within: float = PATIENCE_S) -> bool:
    end = time.monotonic() + within
    while time.monotonic() < end:
        if condition():
            return True
        time.sleep(0.1)
    return False


def _tell(what: str, found: object) -> None:
    print(json.dumps([what, found]), flush=True)


if __name__ == "__main__":
    main()
