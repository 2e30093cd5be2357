"""The command line: what it prints, and its exit codes."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from piecewright.__main__ import BAD_RULES, OK, REFUSED, main

TOP = Path(__file__).parents[1]
DEMO = ["--config", str(TOP / "config" / "demo.yaml")]


def test_check_says_that_good_rules_are_good(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", *DEMO]) == OK
    assert "the rules are good" in capsys.readouterr().out


def test_check_names_every_fault(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rules = tmp_path / "shop.yaml"
    rules.write_text("mats: {a: {width: 12, height: 12 in}}\nproduct: []\n", encoding="utf-8")
    assert main(["check", "--config", str(rules)]) == BAD_RULES
    said = capsys.readouterr().err
    assert f"{rules}:1: mats.a.width: 12 is not a length with a unit." in said
    assert f"{rules}:2: product: unknown key; perhaps you meant 'products'" in said


def test_schema_is_json(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["schema", "report"]) == OK
    assert "properties" in json.loads(capsys.readouterr().out)


def test_wrong_arguments_end_with_two() -> None:
    with pytest.raises(SystemExit, match="2"):
        main(["cutt"])


@pytest.mark.parametrize(
    "arguments", [["inspect", "none.pes"], ["library", "none"], ["once", "--take-from", "none"]]
)
def test_a_file_or_folder_that_is_not_there_is_a_wrong_argument(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit, match="2"):
        main(arguments)
    assert "check its name and its folder" in capsys.readouterr().err


def test_rules_that_are_not_there_say_what_to_name(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["check", "--config", str(tmp_path / "none.yaml")]) == BAD_RULES
    said = capsys.readouterr().err
    assert "there is no such file" in said
    assert "Name the shop's rules with --config" in said


def test_once_cuts_the_samples_and_leaves_them_as_they_were(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = sorted(path.name for path in (TOP / "sample_inbox").iterdir())
    took = main(["once", *DEMO, "--root", str(tmp_path), "--take-from", str(TOP / "sample_inbox"), "--json"])
    outcomes = {outcome["name"]: outcome for outcome in json.loads(capsys.readouterr().out)}
    assert took == OK
    assert sorted(outcomes) == before == sorted(path.name for path in (TOP / "sample_inbox").iterdir())
    assert outcomes.pop("sprig.dst")["status"] == "nothing-to-cut"
    assert {outcome["status"] for outcome in outcomes.values()} == {"cut"}
    for outcome in outcomes.values():
        report = json.loads((Path(outcome["folder"]) / "report.json").read_text(encoding="utf-8"))
        assert report["status"] == "cut"
    assert list((tmp_path / "inbox").iterdir()) == []


def test_once_says_what_was_refused_and_why(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "inbox").mkdir()
    (tmp_path / "inbox" / "broken.dst").write_bytes(b"")
    assert main(["once", *DEMO, "--root", str(tmp_path)]) == REFUSED
    assert "broken.dst: refused: " in capsys.readouterr().out


def test_inspect_shows_what_was_understood(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    picture = tmp_path / "seen.svg"
    design = TOP / "sample_inbox" / "runner-leaves.pes"
    assert main(["inspect", str(design), *DEMO, "--picture", str(picture)]) == OK
    said = capsys.readouterr().out
    assert "placement" in said
    assert picture.read_bytes().startswith(b"<?xml")


def test_inspect_shows_sizes_in_the_unit_that_the_shop_reads(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rules = tmp_path / "shop.yaml"
    rules.write_text("show: in\nmats: {s: {width: 12 in, height: 12 in}}\nproducts: [{name: All}]\n")
    assert main(["inspect", str(TOP / "sample_inbox" / "patch-ring.jef"), "--config", str(rules)]) == OK
    told = capsys.readouterr().out
    assert " in; line in block" in told
    assert " mm" not in told


def test_inspect_says_what_is_wrong_with_a_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "x.pes").write_bytes(b"no design")
    assert main(["inspect", str(tmp_path / "x.pes"), *DEMO]) == REFUSED
    assert "piecewright: " in capsys.readouterr().err


def test_redo_puts_an_original_back_and_status_shows_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    at = [*DEMO, "--root", str(tmp_path)]
    (tmp_path / "inbox").mkdir()
    original = TOP / "sample_inbox" / "sprig.dst"
    (tmp_path / "inbox" / "sprig.dst").write_bytes(original.read_bytes())
    assert main(["once", *at, "--json"]) == OK
    (outcome,) = json.loads(capsys.readouterr().out)
    assert main(["redo", outcome["job"], *at]) == OK
    assert "In the inbox again: " in capsys.readouterr().out
    assert (tmp_path / "inbox" / "sprig.dst").read_bytes() == original.read_bytes()
    assert main(["status", *at]) == OK
    said = capsys.readouterr().out
    assert "1 in the inbox, 0 in work." in said
    assert outcome["job"] in said
    assert main(["status", *at, "--json"]) == OK
    assert json.loads(capsys.readouterr().out)["inbox"] == 1


def test_status_without_a_ledger_is_json_and_nothing_else(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "inbox").mkdir()
    assert main(["status", *DEMO, "--root", str(tmp_path), "--json"]) == OK
    assert json.loads(capsys.readouterr().out)["inbox"] == 0
    assert [path.name for path in tmp_path.iterdir()] == ["inbox"]


def test_redo_of_an_unknown_job_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["redo", "no-such-job", *DEMO, "--root", str(tmp_path)]) == REFUSED
    assert "no-such-job" in capsys.readouterr().err


def test_a_reader_that_goes_away_does_not_hold_up_the_jobs(tmp_path: Path) -> None:
    (tmp_path / "inbox").mkdir()
    for number in range(3):
        (tmp_path / "inbox" / f"{number}.dst").write_bytes(b"")
    words = [sys.executable, "-m", "piecewright", "once", *DEMO, "--root", str(tmp_path)]
    with subprocess.Popen(
        words, stdout=subprocess.PIPE, env={**os.environ, "PYTHONPATH": str(TOP / "service")}
    ) as command:
        assert command.stdout is not None
        command.stdout.close()
        assert command.wait(60) == REFUSED
    assert len(list((tmp_path / "failed").iterdir())) == 3
