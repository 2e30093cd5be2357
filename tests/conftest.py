"""What all tests share."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pytest


def pytest_addoption(parser: pytest.Parser) -> None:
    """Kept files are only written anew by an explicit flag."""
    parser.addoption(
        "--update-golden",
        action="store_true",
        help="write the files in tests/golden anew; look at the difference before you commit it",
    )
