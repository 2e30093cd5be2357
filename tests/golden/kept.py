"""Comparing an output with the file that is kept of it: words to the letter, numbers within a tolerance."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from collections.abc import Iterator

_NUMBER = re.compile(r"-?\d+\.?\d*(?:e-?\d+)?")
_HERE = Path(__file__).parent


def compare_with_kept(name: str, found: str, within: float, *, update: bool) -> None:
    """Compare a text with the kept one, or keep it.

    Args:
        name: Path of the kept file below this folder.
        found: What the program writes now.
        within: How far two numbers may differ; they come from arithmetic that processors round differently.
        update: Whether to write the kept file anew instead.
    """
    path = _HERE / name
    if update:
        path.parent.mkdir(exist_ok=True)
        path.write_text(found, encoding="utf-8", newline="\n")
        return
    kept = path.read_text(encoding="utf-8")
    assert _NUMBER.sub("#", found) == _NUMBER.sub("#", kept)
    assert list(_numbers(found)) == pytest.approx(list(_numbers(kept)), abs=within)


def _numbers(text: str) -> Iterator[float]:
    return map(float, _NUMBER.findall(text))
