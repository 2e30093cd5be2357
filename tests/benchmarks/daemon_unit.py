"""The unit under a real systemd, booted in a container of its own: what it does is printed, row by row.

    python -m tests.benchmarks.daemon_unit

Needs root and systemd-nspawn (Debian: systemd-container). The container sees this machine's programs, this
Python with its libraries and this repository, all read-only, has no network, and boots with nothing but what
systemd itself and the unit need. Nothing is installed on the machine. The trial itself, a unit beside the
service, is daemon_trial.py: it drops designs, kills, stops and asks as an operator would.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import sysconfig
import tempfile
from pathlib import Path
from typing import Any, Final

TOP: Final = Path(__file__).resolve().parents[2]
NEEDS: Final = "systemd-nspawn (Debian: systemd-container), and root that may mount and make control groups"
PATIENCE_S: Final = 560
ACCOUNT: Final = 990
CAP_SYS_ADMIN: Final = 21
"""capabilities(7): what mounting takes; its number from linux/capability.h."""

LAUNCHER: Final = """#!/opt/python/bin/{python}
import os, sys
sys.path[1:1] = homes = ["/opt/service", "/opt/libraries"]
os.environ["PYTHONPATH"] = os.pathsep.join(homes)
from piecewright.__main__ import main
sys.exit(main())
"""

TARGET: Final = """[Unit]
Requires=basic.target
After=basic.target
Wants=piecewright.service trial.service
"""

TRIAL_UNIT: Final = """[Unit]
After=piecewright.service
[Service]
Type=oneshot
ExecStart=/opt/python/bin/{python} /trial.py {how}
StandardOutput=file:/trial.json
StandardError=file:/trial.log
ExecStopPost=/bin/systemctl --no-block poweroff
TimeoutStartSec=500
"""

DRIVE: Final = """[Mount]
What=/drive
Where=/srv/piecewright
Type=none
Options=bind
"""

TRIAL: Final = Path(__file__).with_name("daemon_trial.py")
LAST: Final = "calls refused, by the journal"


def main() -> int:
    """Boot, try, print."""
    if not can_boot():
        print(f"Needs {NEEDS}.")
        return 1
    rows = boot()
    for what, found in rows.items():
        print(f"{what:50} {found}")
    return 0 if LAST in rows else 1


def can_boot() -> bool:
    """Whether this machine has what it takes; inside most containers root may not make further ones."""
    if shutil.which("systemd-nspawn") is None or os.geteuid() != 0:
        return False
    status = Path("/proc/self/status").read_text(encoding="utf-8")
    capabilities = int(status.partition("CapEff:")[2].split()[0], 16)
    may_mount = bool(capabilities >> CAP_SYS_ADMIN & 1)
    cgroups = Path("/sys/fs/cgroup")
    return may_mount and cgroups.is_dir() and not os.statvfs(cgroups).f_flag & os.ST_RDONLY


def boot(*, brief: bool = False) -> dict[str, Any]:
    """Boot the container, let the trial run, and give what it found; that it is whole is told by ``LAST``."""
    with tempfile.TemporaryDirectory(prefix="piecewright-boot-") as name:
        root = Path(name, "root")
        _furnish(root, "brief" if brief else "whole")
        booted = subprocess.run(
            _command(root),
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            check=False,
            timeout=PATIENCE_S,
        )
        told, log = root / "trial.json", root / "trial.log"
        rows = dict(map(json.loads, told.read_text().splitlines())) if told.exists() else {}
        if LAST not in rows:
            rows["not whole"] = (booted.stdout + booted.stderr)[-3000:] + (
                log.read_text() if log.exists() else ""
            )
        return rows


def _furnish(root: Path, how: str) -> None:
    """A root with nothing in it but accounts, the unit and the trial."""
    for folder in (
        "usr",
        "etc/systemd/system",
        "etc/piecewright",
        "opt/piecewright/bin",
        "srv/piecewright",
        "drive",
    ):
        (root / folder).mkdir(parents=True)
    for folder in (
        "opt/python",
        "opt/libraries",
        "opt/service",
        "samples",
        "run",
        "tmp",
        "var",
        "root",
        "home",
    ):
        (root / folder).mkdir()
    for link in ("bin", "sbin", "lib", "lib64"):
        if Path("/usr", link).exists():
            (root / link).symlink_to(f"usr/{link}")
    accounts = (("root", 0), ("piecewright", ACCOUNT), ("nobody", 65534))
    _write(root / "etc/passwd", "".join(f"{who}:x:{uid}:{uid}::/:/bin/sh\n" for who, uid in accounts))
    _write(root / "etc/group", "".join(f"{who}:x:{uid}:\n" for who, uid in accounts))
    _write(root / "etc/machine-id", "")
    shutil.copy("/etc/os-release", root / "etc")
    shutil.copy(TOP / "config" / "demo.yaml", root / "etc/piecewright/shop.yaml")
    python = Path(sys.executable).resolve().name
    launcher = root / "opt/piecewright/bin/piecewright"
    _write(launcher, LAUNCHER.format(python=python))
    launcher.chmod(0o755)
    units = root / "etc/systemd/system"
    shutil.copy(TOP / "systemd" / "piecewright.service", units)
    _write(units / "srv-piecewright.mount", DRIVE)
    enable = ("systemctl", f"--root={root}", "enable", "piecewright")
    subprocess.run(enable, check=True, capture_output=True)
    _write(units / "trial.target", TARGET)
    _write(units / "trial.service", TRIAL_UNIT.format(python=python, how=how))
    _write(root / "trial.py", TRIAL.read_text(encoding="utf-8"))
    home = root / "drive"
    shutil.chown(home, ACCOUNT, ACCOUNT)
    home.chmod(0o2770)
    root.chmod(0o755)


def _command(root: Path) -> list[str]:
    shown = {
        "/usr": "/usr",
        sys.base_prefix: "/opt/python",
        sysconfig.get_path("purelib"): "/opt/libraries",
        str(TOP / "service"): "/opt/service",
        str(TOP / "sample_inbox"): "/samples",
    }
    return [
        *(
            "systemd-nspawn",
            "--quiet",
            f"--directory={root}",
            "--private-network",
            "--register=no",
            "--keep-unit",
        ),
        *(f"--bind-ro={here}:{there}" for here, there in shown.items()),
        *("--boot", "systemd.unit=trial.target"),
    ]


def _write(path: Path, text: str) -> None:
    path.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    sys.exit(main())
