"""The service as a real process: signals, systemd, rules, frozen and killed, on real folders."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from piecewright.daemon.folders import LOCK
from piecewright.daemon.jobfolder import DROP, REPORT
from piecewright.daemon.lastgood import KEPT
from tests.daemon.daemon_process import PATIENCE_S, TOP, DaemonProcess
from tests.daemon.waiting import until

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

RULES = """
inbox: {sweep: 1 s, settle: 0.3 s, settle_slow: 0.6 s}
mats: {standard: {width: 305 mm, height: 305 mm}}
products:
  - {name: Anything, tray: tray, match: {files: ["*.dst", "*.pes"]}}
"""
DESIGN = TOP / "sample_inbox" / "sprig.dst"


@pytest.fixture
def config(swift_path: Path) -> Path:
    path = swift_path / "rules.yaml"
    path.write_text(RULES)
    return path


@pytest.fixture
def start(config: Path, swift_path: Path) -> Iterator[Callable[[], DaemonProcess]]:
    started: list[DaemonProcess] = []

    def begin() -> DaemonProcess:
        started.append(DaemonProcess(config, swift_path / "root"))
        return started[-1]

    yield begin
    for daemon in started:
        daemon.end()


@pytest.fixture
def daemon(start: Callable[[], DaemonProcess]) -> DaemonProcess:
    made = start()
    made.until_ready()
    return made


def test_it_tells_systemd_that_it_is_ready_alive_and_stopping_and_ends_well(daemon: DaemonProcess) -> None:
    daemon.until_said("WATCHDOG=1")
    assert daemon.stop() == 0
    assert "STOPPING=1" in daemon.hear()


def test_a_design_dropped_leaves_as_cut_files_and_each_state_is_a_json_line(daemon: DaemonProcess) -> None:
    shutil.copyfile(DESIGN, daemon.root / "inbox" / "tray" / "sprig.dst")
    daemon.until_logged('"done"')
    events = [json.loads(line)["event"] for line in daemon.log.splitlines()]
    assert [event for event in events if event != "watching"] == [
        "claimed",
        "in work",
        "ready",
        "published",
        "done",
    ]
    (folder,) = (daemon.root / "outbox").glob("sprig_*")
    assert (folder / REPORT).exists()
    assert "sprig.dst" in (daemon.root / "outbox" / "index.html").read_text()


def test_told_to_stop_it_finishes_the_job_in_work(daemon: DaemonProcess) -> None:
    shutil.copyfile(DESIGN, daemon.root / "inbox" / "sprig.dst")
    daemon.until_logged('"in work"')
    assert daemon.stop() == 0
    assert len(list((daemon.root / "outbox").glob("sprig_*"))) == 1
    assert list((daemon.root / "work").iterdir()) == []


@pytest.mark.slow
@pytest.mark.parametrize("state", ["claimed", "in work", "ready", "published"])
def test_killed_in_any_state_the_next_service_publishes_once(
    state: str, start: Callable[[], DaemonProcess]
) -> None:
    first = start()
    first.until_ready()
    shutil.copyfile(DESIGN, first.root / "inbox" / "sprig.dst")
    first.until_logged(f'"{state}"')
    first.process.send_signal(signal.SIGKILL)
    first.process.wait()
    second = start()
    second.until_ready()
    until(lambda: list((second.root / "done").iterdir()), within=PATIENCE_S)
    assert second.stop() == 0
    assert len(list((second.root / "outbox").glob("sprig_*"))) == 1
    assert len(list((second.root / "done").glob(f"*/{DROP}/sprig.dst"))) == 1


def test_a_second_service_on_the_same_root_refuses_to_start(
    daemon: DaemonProcess, start: Callable[[], DaemonProcess]
) -> None:
    second = start()
    assert second.process.wait(PATIENCE_S) != 0
    assert "Another Piecewright works on" in second.log
    assert daemon.process.poll() is None


def test_a_service_whose_lock_was_deleted_takes_it_again_or_leaves_the_root_to_the_other(
    daemon: DaemonProcess, start: Callable[[], DaemonProcess]
) -> None:
    (daemon.root / LOCK).unlink()
    daemon.until_said("READY=1")
    assert (daemon.root / LOCK).exists()
    second = start()
    assert second.process.wait(PATIENCE_S) != 0
    daemon.process.send_signal(signal.SIGSTOP)
    (daemon.root / LOCK).unlink()
    third = start()
    third.until_ready()
    daemon.process.send_signal(signal.SIGCONT)
    assert daemon.process.wait(PATIENCE_S) != 0
    assert "Another Piecewright works on" in daemon.log
    assert third.process.poll() is None


def test_a_log_whose_reader_has_gone_stops_nothing(config: Path, swift_path: Path) -> None:
    root = swift_path / "root"
    service = subprocess.Popen(
        [sys.executable, "-m", "piecewright", "watch", "--config", str(config), "--root", str(root)],
        env={**os.environ, "PYTHONPATH": str(TOP / "service")},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
    )
    try:
        assert service.stderr is not None
        assert b"watching" in service.stderr.readline()
        service.stderr.close()
        shutil.copyfile(DESIGN, root / "inbox" / "sprig.dst")
        until(lambda: list((root / "done").iterdir()), within=PATIENCE_S)
        service.send_signal(signal.SIGTERM)
        assert service.wait(PATIENCE_S) == 0
    finally:
        service.kill()
        service.wait()


def test_an_invalid_edit_keeps_the_old_rules_and_says_so_until_it_is_repaired(
    daemon: DaemonProcess, config: Path
) -> None:
    index = daemon.root / "outbox" / "index.html"
    config.write_text(RULES.replace("mats:", "matz:"))
    daemon.until_logged("rules not taken over", "matz")
    until(lambda: "matz" in index.read_text(), within=PATIENCE_S)
    shutil.copyfile(DESIGN, daemon.root / "inbox" / "old.dst")
    until(lambda: list((daemon.root / "outbox").glob("old_*")), within=PATIENCE_S)
    config.write_text(RULES.replace("tray: tray", "tray: other tray"))
    daemon.until_logged("rules taken over")
    until((daemon.root / "inbox" / "other tray").is_dir, within=PATIENCE_S)
    until(lambda: "matz" not in index.read_text(), within=PATIENCE_S)


def test_rules_broken_before_a_restart_give_way_to_the_last_good_ones_until_they_are_mended(
    start: Callable[[], DaemonProcess], daemon: DaemonProcess, config: Path
) -> None:
    until((daemon.root / KEPT).is_file, within=PATIENCE_S)
    daemon.stop()
    config.write_text(RULES.replace("mats:", "matz:"))
    again = start()
    again.until_ready()
    again.until_logged("rules not taken over", "the last good ones", "matz")
    index = again.root / "outbox" / "index.html"
    until(lambda: index.exists() and "matz" in index.read_text(), within=PATIENCE_S)
    shutil.copyfile(DESIGN, again.root / "inbox" / "old.dst")
    until(lambda: list((again.root / "outbox").glob("old_*")), within=PATIENCE_S)
    config.write_text(RULES.replace("tray: tray", "tray: other tray"))
    until((again.root / "inbox" / "other tray").is_dir, within=PATIENCE_S)
    until(lambda: "matz" not in index.read_text(), within=PATIENCE_S)


def test_rules_that_move_folders_where_they_cannot_be_give_way_to_the_last_good_ones(
    daemon: DaemonProcess, config: Path
) -> None:
    index = daemon.root / "outbox" / "index.html"
    until((daemon.root / KEPT).is_file, within=PATIENCE_S)
    (daemon.root / "door").write_bytes(b"in the way")
    config.write_text(RULES.replace("sweep: 1 s", "sweep: 1 s, inbox: door"))
    until(lambda: index.exists() and "door cannot be made" in index.read_text(), within=PATIENCE_S)
    shutil.copyfile(DESIGN, daemon.root / "inbox" / "sprig.dst")
    until(lambda: list((daemon.root / "outbox").glob("sprig_*")), within=PATIENCE_S)


def test_rules_that_move_a_folder_are_followed(daemon: DaemonProcess, config: Path) -> None:
    config.write_text(RULES.replace("sweep: 1 s", "sweep: 1 s, inbox: door"))
    until((daemon.root / "door").is_dir, within=PATIENCE_S)
    shutil.copyfile(DESIGN, daemon.root / "door" / "sprig.dst")
    until(lambda: list((daemon.root / "outbox").glob("sprig_*")), within=PATIENCE_S)


@pytest.mark.parametrize("fate", ["removed", "renamed"])
def test_an_inbox_that_goes_away_is_made_again_and_watched(daemon: DaemonProcess, fate: str) -> None:
    inbox = daemon.root / "inbox"
    if fate == "removed":
        shutil.rmtree(inbox)
    else:
        inbox.rename(daemon.root / "old inbox")
    until(inbox.is_dir, within=PATIENCE_S)
    shutil.copyfile(DESIGN, inbox / "sprig.dst")
    until(lambda: list((daemon.root / "outbox").glob("sprig_*")), within=PATIENCE_S)
    daemon.until_said("WATCHDOG=1")


@pytest.mark.parametrize("which", ["inbox", "work", "outbox", "done", "failed"])
def test_a_file_in_place_of_a_folder_is_told_and_work_goes_on_once_it_is_gone(
    daemon: DaemonProcess, which: str
) -> None:
    folder = daemon.root / which
    daemon.process.send_signal(signal.SIGSTOP)
    shutil.rmtree(folder)
    folder.write_bytes(b"in the way")
    daemon.process.send_signal(signal.SIGCONT)
    daemon.until_logged("not well", "The folders cannot be used", which)
    folder.unlink()
    daemon.until_logged("well again")
    shutil.copyfile(DESIGN, daemon.root / "inbox" / "sprig.dst")
    until(lambda: list((daemon.root / "outbox").glob("sprig_*")), within=PATIENCE_S)


def test_a_root_that_goes_away_and_comes_back_is_served_again(daemon: DaemonProcess) -> None:
    away = daemon.root.with_name("unplugged")
    daemon.root.rename(away)
    daemon.until_logged("root lost")
    said = len(daemon.hear())
    assert not daemon.root.exists(), "nothing is made where a drive is missing"
    away.rename(daemon.root)
    daemon.until_said("READY=1")
    assert len(daemon.hear()) > said
    shutil.copyfile(DESIGN, daemon.root / "inbox" / "sprig.dst")
    until(lambda: list((daemon.root / "outbox").glob("sprig_*")), within=PATIENCE_S)


@pytest.mark.slow
def test_frozen_past_an_overflow_of_events_it_finds_every_file_when_it_wakes(daemon: DaemonProcess) -> None:
    queue = int(Path("/proc/sys/fs/inotify/max_queued_events").read_text())
    daemon.process.send_signal(signal.SIGSTOP)
    for number in range(5000):
        path = daemon.root / "inbox" / f"{number}.txt"
        for _ in range(1 + queue // 10_000):
            path.write_bytes(b"x")
    daemon.process.send_signal(signal.SIGCONT)
    daemon.until_said("5000 in the inbox")
    shutil.copyfile(DESIGN, daemon.root / "inbox" / "sprig.dst")
    until(lambda: list((daemon.root / "outbox").glob("sprig_*")), within=PATIENCE_S)


def test_it_opens_no_network_socket(daemon: DaemonProcess) -> None:
    shutil.copyfile(DESIGN, daemon.root / "inbox" / "sprig.dst")
    daemon.until_logged('"in work"')
    listed = set()
    for table in ("tcp", "tcp6", "udp", "udp6", "raw"):
        path = Path("/proc", str(daemon.process.pid), "net", table)
        lines = path.read_text().splitlines()[1:] if path.exists() else []
        listed |= {f"socket:[{line.split()[9]}]" for line in lines}
    handles = Path("/proc", str(daemon.process.pid), "fd").iterdir()
    opened = {str(handle.readlink()) for handle in handles if handle.is_symlink()}
    assert not listed & opened


@pytest.mark.slow
def test_every_kill_by_sigkill_at_every_step_and_one_in_the_recovery_is_survived(swift_path: Path) -> None:
    run = subprocess.run(
        [sys.executable, "-m", "tests.daemon.killing", str(swift_path)],
        cwd=TOP,
        env={**os.environ, "PYTHONPATH": os.pathsep.join((str(TOP / "service"), str(TOP)))},
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 0, run.stderr
    assert int(run.stdout) > 30
