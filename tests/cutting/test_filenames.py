"""Names of files that survive every system."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from piecewright.cutting.filenames import mat_file, slug, template_file, without_ending
from tests.cutting.formats.mats_by_hand import HOSTILE


def test_a_name_says_job_fabric_and_mat() -> None:
    assert mat_file("Table runner", "Moss linen", 2, ".svg") == "Table-runner_Moss-linen_mat-2.svg"
    assert mat_file("Table runner", "", 1, "-pen.svg") == "Table-runner_mat-1-pen.svg"
    assert template_file("Table runner") == "Table-runner_paper-template.pdf"


@pytest.mark.parametrize(
    ("dropped", "kept"),
    [
        ("fish.exp", "fish"),
        ("ring.100", "ring"),
        ("pack.zip", "pack"),
        ("order 1.5", "order 1.5"),
        (".pes", ".pes"),
    ],
)
def test_a_dropped_file_leaves_its_ending_behind(dropped: str, kept: str) -> None:
    assert without_ending(dropped) == kept


def test_every_script_stays_as_it_was_typed() -> None:
    assert slug("Скатерть зелёная") == "Скатерть-зелёная"
    assert slug("青い綿 №1") == "青い綿-1"
    assert slug("हिन्दी") == "हिन्दी"


@pytest.mark.parametrize("device", ["CON", "con", "nul", "COM1", "lpt9", "Aux", "COM¹"])
def test_names_of_devices_are_changed(device: str) -> None:
    assert slug(device) == f"{device}-"


def test_what_holds_nothing_to_keep_gets_a_plain_word() -> None:
    assert mat_file("???", "***", 1, ".plt") == "job_mat-1.plt"


def test_names_of_one_job_differ_whatever_the_case() -> None:
    names = [mat_file("Bed", fabric, n, ".svg") for n, fabric in enumerate(("moss", "Moss", "MOSS"), 1)]
    assert len({name.casefold() for name in names}) == 3


@given(st.text() | st.sampled_from(HOSTILE), st.text() | st.sampled_from(HOSTILE), st.integers(1, 10**6))
def test_any_text_gives_a_name_that_windows_takes(product: str, fabric: str, number: int) -> None:
    """Rules of Microsoft Learn, "Naming Files, Paths, and Namespaces"."""
    name = mat_file(product, fabric, number, "-pen.svg")
    assert not re.search(r'[<>:"/\\|?*\x00-\x1f]', name)
    assert not name.startswith((".", " ", "-"))
    assert not name.endswith((".", " "))
    assert len(name) <= 120
    assert len(name.encode()) <= 255
    assert name.split(".")[0].casefold() not in {"con", "prn", "aux", "nul", "com1", "lpt1"}
