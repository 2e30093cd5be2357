"""Which entries of a drop are worked on: each design once, in the format that says most.

Packs are sold with one design in many formats and several sizes, sorted into folders by format or by
size, or with the format in the file's name. Two entries are the same design if their paths are equal
without the words for formats; so sizes are kept apart whenever a folder or a name tells them apart.
"""

from __future__ import annotations

import re
import unicodedata
from typing import TYPE_CHECKING, Final

from piecewright.cutting.formats.stitchfile import READABLE, STITCH_ENDINGS
from piecewright.daemon.drops.entry import ending_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from piecewright.daemon.drops.entry import Entry

PREFERENCE: Final = ("pes", "jef", "xxx", "hus", "dst", "exp", "pec", "sew", "jpx", "u01")
"""First those that carry colours and names of threads and true trims; then those without colours. VP3
comes last of the readable ones, because its travels come back as stitches."""

_FORMAT_WORDS: Final = frozenset(
    {"pes", "pec", "dst", "jef", "jpx", "exp", "vp3", "vip", "hus", "xxx", "sew", "shv", "emb", "pcs", "u01"}
)
"""Words in folder and file names that mean a format; endings that are also everyday words do not count."""

_BESIDE_FORMAT: Final = frozenset({"format", "formats", "file", "files"})
_BETWEEN_WORDS: Final = re.compile(r"[\W_]+")


def is_design(path: str) -> bool:
    """Whether the ending means a stitch file, readable or not."""
    return ending_of(path) in STITCH_ENDINGS


def choose(entries: Iterable[Entry]) -> tuple[list[Entry], list[str]]:
    """Pick one entry for each design.

    Returns:
        What is worked on, sorted by path, and the paths of what is passed over.
    """
    best: dict[tuple[str, ...], Entry] = {}
    passed_over: list[str] = []
    for entry in sorted(entries, key=_rank):
        key = design_key(entry.path)
        rival = best.get(key)
        if not is_design(entry.path) or (rival is not None and _no_more_than(rival, entry)):
            passed_over.append(entry.path)
        else:
            best[key if rival is None else (entry.path,)] = entry
    return sorted(best.values(), key=lambda entry: entry.path), sorted(passed_over)


def design_key(path: str) -> tuple[str, ...]:
    """What tells designs, and sizes of a design, apart: the path without words for formats."""
    folders, _, file = path.rpartition("/")
    stem = file.rpartition(".")[0] or file
    parts = [_without_format(part) for part in [*folders.split("/"), stem]]
    return tuple(part for part in parts if part)


def _no_more_than(chosen: Entry, other: Entry) -> bool:
    """Whether the other is the chosen design in another format, or a plain copy of it."""
    if ending_of(chosen.path) != ending_of(other.path):
        return True
    return chosen.size == other.size and chosen.read() == other.read()


def _rank(entry: Entry) -> tuple[int, str]:
    ending = ending_of(entry.path)
    if ending in PREFERENCE:
        return PREFERENCE.index(ending), entry.path
    places = len(PREFERENCE)
    return places + (ending == "vp3") + 2 * (ending not in READABLE), entry.path


def _without_format(part: str) -> str:
    words = _BETWEEN_WORDS.split(unicodedata.normalize("NFC", part).casefold())
    kept = [word for word in words if word not in _FORMAT_WORDS]
    if len(kept) < len(words):
        kept = [word for word in kept if word not in _BESIDE_FORMAT]
    return " ".join(word for word in kept if word)
