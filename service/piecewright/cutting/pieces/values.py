"""The values of stage 3: the regions to be cut from fabric, and the design understood."""

from __future__ import annotations

from dataclasses import dataclass
from string import digits
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from piecewright.cutting.findings import Finding
    from piecewright.cutting.geometry import Region
    from piecewright.cutting.passes import Pass


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Piece:
    """A region to be cut from fabric, as its placement line draws it.

    Attributes:
        id: Its name in the job: its letter, with the number of its design before it if there are several.
        kind: An appliqué piece, or a base layer.
        line: The placement line as closed rings through its needle points in sewing order (ties
            and laps removed, gaps closed, not smoothed), holes included; mm.
        placement: Numbers of the passes that draw it.
        tack_down: Numbers of the passes that hold it; may be none.
        cover: Numbers of the passes over its raw edge; may be none.
        confidence: 0 to 1.
        evidence: Sentences that a sewer understands.
        cut: Whether the rules say that it is cut (its kind, and confidence over the threshold).
        signs: What the confidence was weighed from: each sign that was seen, and how much of it, 0 to 1.
    """

    id: str
    kind: Literal["applique", "base"]
    line: Region
    placement: tuple[int, ...]
    tack_down: tuple[int, ...]
    cover: tuple[int, ...]
    confidence: float
    evidence: tuple[str, ...]
    cut: bool
    signs: tuple[tuple[str, float], ...] = ()

    @property
    def letter(self) -> str:
        """``A`` for the first of its design in sewing order, ``AA`` after ``Z``."""
        return self.id.lstrip(digits)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Understanding:
    """A design understood.

    Attributes:
        passes: Every pass of the design in sewing order; ``passes[i].number == i + 1``.
        pieces: In the order in which they are placed.
        findings: Doubts, such as pieces under the threshold, gaps closed, lines to put in the rules.
    """

    passes: tuple[Pass, ...]
    pieces: tuple[Piece, ...]
    findings: tuple[Finding, ...]
