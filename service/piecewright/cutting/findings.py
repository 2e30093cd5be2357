"""Findings: coded doubts that do not stop a job but that the operator should see."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One doubt, in the report and on the job sheet.

    Attributes:
        code: Stable name of the kind of doubt, such as ``edge-shows``.
        message: What was seen, where and by how much, one sentence.
        advice: What to change, one sentence.
        piece: Id of the piece that it concerns, if it concerns one.
        place: Where in the design, (x, y) in mm, if it has a place.
    """

    code: str
    message: str
    advice: str
    piece: str | None = None
    place: tuple[float, float] | None = None
