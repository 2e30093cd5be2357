"""Errors of the daemon's own; see cutting/errors.py for the tree."""

from __future__ import annotations

from piecewright.cutting.errors import PiecewrightError


class DropFailed(PiecewrightError):  # noqa: N818 - names the thing
    """No worker could finish with this drop."""

    code = "drop-failed"


class SpecialFile(PiecewrightError):  # noqa: N818 - names the thing
    """A link, pipe or device was dropped."""

    code = "special-file"


class InternalFault(PiecewrightError):  # noqa: N818 - names the thing
    """The program itself is wrong."""

    code = "internal-fault"
