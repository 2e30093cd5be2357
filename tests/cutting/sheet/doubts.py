"""The findings of the herb bed."""

from __future__ import annotations

from piecewright.cutting.findings import Finding

UNSURE = Finding(
    code="unsure-piece",
    says="Its line is sewn only once, so it may be a drawing and no placement line.",
    advice="Name its block under by_hand in the rules if it is one.",
    piece="D",
    place=(52.0, 35.0),
)
EDGE_SHOWS = Finding(
    code="edge-shows",
    says="The raw edge of {piece} sticks out from under the cover by {bare_mm} at its left.",
    values={"bare_mm": 0.2},
    advice="Choose a smaller offset, or a design with a wider cover.",
    piece="C",
    place=(-22.0, 25.0),
)
