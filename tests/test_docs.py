"""What the documents say is true: their commands run, their links lead somewhere, their findings exist."""

from __future__ import annotations

import re
import shlex
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import pytest

TOP = Path(__file__).parents[1]
DOCUMENTS = [TOP / "README.md", TOP / "DEVELOPERS.md", TOP / "systemd" / "README.md"]
README = (TOP / "README.md").read_text(encoding="utf-8")
COMMANDS = re.findall(r"^    (piecewright .+)$", README, re.MULTILINE)
ENVIRONMENT = {"PATH": "/usr/bin:/bin", "PYTHONPATH": str(TOP / "service")}


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """The project as a reader has it, to run commands in."""
    for name in ("config", "sample_inbox"):
        shutil.copytree(TOP / name, tmp_path / "project" / name)
    return tmp_path / "project"


def words(command: str) -> list[str]:
    return [sys.executable, "-m", *shlex.split(command)]


def test_the_readme_shows_commands() -> None:
    assert len(COMMANDS) >= 3


@pytest.mark.parametrize("command", [command for command in COMMANDS if " watch" not in command])
def test_every_command_of_the_readme_runs(command: str, copy: Path) -> None:
    ran = subprocess.run(
        words(command), cwd=copy, env=ENVIRONMENT, capture_output=True, text=True, check=False
    )
    assert ran.returncode == 0, ran.stderr


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no SIGTERM to send")
def test_the_service_of_the_readme_starts_and_stops_when_told(copy: Path) -> None:
    (command,) = [command for command in COMMANDS if " watch" in command]
    with subprocess.Popen(words(command), cwd=copy, env=ENVIRONMENT, stderr=subprocess.PIPE) as service:
        assert service.stderr is not None
        service.stderr.readline()  # its first line comes when it watches
        service.send_signal(signal.SIGTERM)
        assert service.wait(30) == 0


def test_the_demo_command_of_the_readme_cuts_the_samples(copy: Path) -> None:
    (line,) = re.findall(
        r"^    python3 -m venv .+ && \.venv/bin/(piecewright once .+)$", README, re.MULTILINE
    )
    before = sorted(path.relative_to(copy) for path in (copy / "sample_inbox").rglob("*"))
    ran = subprocess.run(words(line), cwd=copy, env=ENVIRONMENT, capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stderr
    assert sorted(path.relative_to(copy) for path in (copy / "sample_inbox").rglob("*")) == before
    assert (copy / "demo" / "outbox" / "index.html").exists()


@pytest.mark.parametrize("document", DOCUMENTS, ids=lambda path: str(path.relative_to(TOP)))
def test_every_link_leads_somewhere(document: Path) -> None:
    links = re.findall(r"\]\(([^)#]+)\)", document.read_text(encoding="utf-8"))
    assert [link for link in links if "://" not in link and not (document.parent / link).exists()] == []


def test_the_readme_explains_every_finding_and_no_other() -> None:
    section = README.partition("## What the findings mean")[2].partition("## ")[0]
    explained = set(re.findall(r"`([a-z]+(?:-[a-z]+)*)`", section)) - {"by_hand"}
    source = "\n".join(path.read_text(encoding="utf-8") for path in (TOP / "service").rglob("*.py"))
    made = set(re.findall(r'(?:Finding|FindingEntry)\(\s*code="([a-z-]+)"', source))
    made |= set(re.findall(r'_finding\(\s*"([a-z-]+)"', source))
    assert made <= explained
    assert [code for code in explained if f'"{code}"' not in source] == []
