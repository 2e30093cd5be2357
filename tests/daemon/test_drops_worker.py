"""Drops on their way through the worker: what the report then says of them."""

from __future__ import annotations

import json
import shutil
from typing import TYPE_CHECKING, Any

from piecewright.daemon.jobfolder import DROP, REPORT, RULES
from piecewright.daemon.rulebook import load
from piecewright.daemon.worker import work
from tests.samples.make_samples import FOLDER as SAMPLES

if TYPE_CHECKING:
    from pathlib import Path

CONFIG = SAMPLES.parent / "config"


def report_of(tmp_path: Path, *dropped: str) -> dict[str, Any]:
    """The report of samples dropped together, worked on with the demo's rules for everything else."""
    rulebook = load(CONFIG / "demo.yaml")
    job = tmp_path / "job"
    (job / DROP).mkdir(parents=True)
    for name in dropped:
        source = SAMPLES / name
        (shutil.copytree if source.is_dir() else shutil.copy)(source, job / DROP / name)
    (job / RULES).write_text(rulebook.job_rules(rulebook.products[-1]).model_dump_json())
    work(job, tmp_path / "out-1")
    report: dict[str, Any] = json.loads((tmp_path / "out-1" / REPORT).read_bytes())
    return report


def test_an_orders_copies_and_fabrics_reach_the_mats(tmp_path: Path) -> None:
    report = report_of(tmp_path, "saturday-order")
    laid = [piece for mat in report["mats"] for piece in mat["laid"]]
    assert [(source["name"], source["copies"]) for source in report["sources"]] == [
        ("boat.pes", 3),
        ("fish.exp", 2),
    ]
    assert len(laid) == 3 * 3 + 2 * 2
    assert report["drop"] == "saturday-order"
    assert all(mat["file"].startswith("saturday-order_") for mat in report["mats"])
    assert {piece["fabric"] for piece in laid} == {"plum", "gold", "rust", "sail"}


def test_what_a_pack_holds_besides_is_reported_as_passed_over(tmp_path: Path) -> None:
    report = report_of(tmp_path, "boat-pack.zip")
    assert [source["format"] for source in report["sources"]] == ["PES", "PES"]
    assert "boat-pack/picture.png" in report["passed_over"]
    assert "boat-pack/large/boat.dst" in report["passed_over"]


def test_a_refused_drop_has_a_report_that_says_what_to_do(tmp_path: Path) -> None:
    (tmp_path / "job" / DROP).mkdir(parents=True)
    (tmp_path / "job" / DROP / "pack.zip").write_bytes(b"half a zip")
    rulebook = load(CONFIG / "demo.yaml")
    (tmp_path / "job" / RULES).write_text(rulebook.job_rules(rulebook.products[-1]).model_dump_json())
    work(tmp_path / "job", tmp_path / "out-1")
    report = json.loads((tmp_path / "out-1" / REPORT).read_bytes())
    assert report["status"] == "refused"
    assert report["error"]["code"] == "refused-drop"
    assert "unpack it" in report["error"]["advice"]
