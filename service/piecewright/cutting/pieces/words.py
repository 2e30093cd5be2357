"""What thread names and palette numbers say of a block; evidence, never a condition.

Terms: a *hint* is what a block's thread says that the block is for.
"""

from __future__ import annotations

import re
import unicodedata
from enum import StrEnum
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from piecewright.cutting.design import Thread


class Hint(StrEnum):
    """What a thread's name says that its block is for."""

    PLACEMENT = "placement"
    TACK_DOWN = "tack-down"
    APPLIQUE = "appliqué"
    BASE = "base"


PALETTE: Final = frozenset({"PEC 62", "PEC 63", "PEC 64"})
"""Entries of the PEC palette that stand for the steps of an appliqué, as the reader names them."""

WORDS: Final = {
    Hint.BASE: (
        "batting|wadding|fleece|vlies|watte|ouate|molleton|ouatine|guata|imbottitura|ovatta|vulling|"
        "tussenvulling|manta|vatt|vadd|ocieplina|backing|ruckseite|stabili[sz]er|stickvlies"
    ),
    Hint.PLACEMENT: (
        "placement|placing|place line|position|platzier|placer|plac[ei]ring|colocacion|posicion|posizion|"
        "plaatsing|posicao|pozycj|umieszcz|markierung|guide ?line|die ?line|cut ?line|cutting line|material"
    ),
    Hint.TACK_DOWN: (
        "tack|hold ?down|fixier|heftnaht|anheft|fixation|hilvan|sujecion|imbastit|fissaggio|vastzet|alinhav|"
        "fastrygo"
    ),
    Hint.APPLIQUE: "appli[ck]|aplic|aplik|aplique|applique",
}
"""Beginnings of words in English, German, French, Spanish, Italian, Dutch, Portuguese, the Nordic languages
and Polish, without accents; from general dictionaries and common practice, no source."""


def hint_of(thread: Thread) -> Hint | None:
    """What the thread of a block says that the block is for, if anything."""
    name = _plain(thread.name or "")
    for hint, words in WORDS.items():
        if re.search(rf"\b(?:{words})", name):
            return hint
    return Hint.APPLIQUE if (thread.catalog or "") in PALETTE else None


def _plain(name: str) -> str:
    """Small letters without accents."""
    apart = unicodedata.normalize("NFKD", name.casefold())
    return "".join(letter for letter in apart if not unicodedata.combining(letter))
