"""One entry of a drop: a file in it or in one of its zips, and what is common to finding either."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from piecewright.cutting.errors import PiecewrightError
from piecewright.daemon.printable import printable

if TYPE_CHECKING:
    from collections.abc import Callable


class RefusedDrop(PiecewrightError):  # noqa: N818 - names the thing
    """The drop as a whole cannot be used."""

    code = "refused-drop"


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One file of a drop.

    Attributes:
        path: Where it lies in the drop, with ``/`` between folders, fit to be shown and written.
        size: Bytes, unpacked.
        read: Gives its bytes; of a file larger than a design may be only one byte more than that.
    """

    path: str
    size: int
    read: Callable[[], bytes]


UNPACK: Final = "Unpack it and drop the folder, or only the design files."
REPACK: Final = "Pack it again, or unpack it and drop the folder."

_OTHER_ARCHIVES: Final = frozenset({"rar", "7z", "tar", "gz", "tgz", "bz2", "xz", "cab", "arj", "lzh", "sit"})
_JUNK: Final = frozenset({"thumbs.db", "desktop.ini", "__macosx"})
"""What systems leave in folders and zips; like names that begin with a dot, nobody put them there."""


def shown(name: str) -> str:
    """A name in any script, fit for a report: what is no text becomes ``�``, composed forms are used."""
    return unicodedata.normalize("NFC", printable(name))


def ending_of(path: str) -> str:
    """The ending in small letters, without its dot."""
    return path.rpartition("/")[2].rpartition(".")[2].lower() if "." in path.rpartition("/")[2] else ""


def refuse_archive(name: str, label: str) -> None:
    """Refuse archives of other kinds than zips.

    Raises:
        RefusedDrop: If the name is that of one.
    """
    if ending_of(name) in _OTHER_ARCHIVES:
        message = f"{label} is an archive that is not looked into; only zips are."
        raise RefusedDrop(message, UNPACK)


def is_junk(name: str) -> bool:
    """Whether a system has left it there by itself."""
    return (name.startswith(".") and name != "..") or name.lower() in _JUNK
