"""Findings: coded doubts that do not stop a job but that the operator should see.

Terms: a *blank* is a place in a sentence for something that it speaks of. A finding keeps sentence and
blanks apart, so that whoever shows it fills them in: in the shop's unit, for one piece or for several.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from piecewright.cutting.plaintext import listing, per_cent
from piecewright.cutting.units import format_length

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from piecewright.cutting.units import Show

Value = float | int | str
"""What stands in a blank. Names that end in ``_mm`` are lengths, said with their unit; in ``_share``, shares
of 1, said in per cent."""

MOST_NAMED: Final = 6
"""So many pieces are named in a sentence; more are counted."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One doubt, in the report and on the job sheet.

    Attributes:
        code: Stable name of the kind of doubt, such as ``edge-shows``.
        says: What was seen, where and by how much, one sentence; its blanks are ``{piece}``, or ``{Piece}``
            where it begins with it, and the names of the values.
        advice: What to change, one sentence; lines for the rules may follow.
        values: What stands in the blanks.
        piece: Id of the piece that it concerns, if it concerns one.
        twins: Ids of the twins of that piece for which it holds as well.
        place: Where in the design, (x, y) in mm, if it has a place.
    """

    code: str
    says: str
    advice: str
    values: Mapping[str, Value] = field(default_factory=dict, hash=False)
    piece: str | None = None
    twins: tuple[str, ...] = ()
    place: tuple[float, float] | None = None

    @property
    def message(self) -> str:
        """What was seen, in mm."""
        return message_of([self])


def message_of(alike: Sequence[Finding], show: Show = "mm") -> str:
    """What findings say that differ in nothing but their piece, in one sentence, or two.

    Args:
        alike: One, or several of the same ``likeness``.
        show: ``in`` for inches behind each length.
    """
    first, *others = alike
    blanks = {name: _said(name, value, show) for name, value in first.values.items()}
    named = {"piece": f"piece {first.piece}", "Piece": f"Piece {first.piece}"}
    sentences = [first.says.format(**named, **blanks)]
    if first.twins:
        sentences.append(f"The same holds for its {twins_in_words(first.twins)}.")
    pieces = [other.piece for other in others if other.piece and other.piece != first.piece]
    if pieces:
        sentences.append(f"The same holds for {_others_in_words(pieces)}.")
    return " ".join(sentences)


def _said(name: str, value: Value, show: Show) -> object:
    if name.endswith("_mm"):
        return _Length(mm=float(value), show=show)
    return per_cent(float(value)) if name.endswith("_share") else value


def twins_in_words(twins: Sequence[str]) -> str:
    """``twin, piece B``, ``twins, pieces B and C``, ``23 twins``."""
    if len(twins) > MOST_NAMED:
        return f"{len(twins)} twins"
    return f"twin{'s, pieces' if twins[1:] else ', piece'} {listing(twins)}"


def likeness(finding: Finding) -> object:
    """Equal for findings that differ in nothing but their piece; one with a place or twins stands alone."""
    said = (finding.code, finding.says, tuple(finding.values.items()), finding.advice)
    alone = finding.place is not None or finding.twins
    return (*said, finding.piece, finding.place, finding.twins) if alone else said


def _others_in_words(pieces: Sequence[str]) -> str:
    if len(pieces) > MOST_NAMED:
        return f"{len(pieces)} others"
    return f"piece{'s' if pieces[1:] else ''} {listing(pieces)}"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Length:
    """A length that says its unit, and behind it the shop's if that is another."""

    mm: float
    show: Show

    def __format__(self, digits: str) -> str:
        """In mm with these digits, as for any number."""
        said = f"{self.mm:{digits}}"
        inches = f" ({format_length(float(said), 'in', finer=1)})" if self.show == "in" else ""
        return f"{said} mm{inches}"
