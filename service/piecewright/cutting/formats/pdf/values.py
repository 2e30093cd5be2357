"""What is printed: one template for each piece, with all that a person must know to cut it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from piecewright.cutting.geometry import CurvedRegion, bounds, transformed

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from piecewright.cutting.mats import Demand

Paper = Literal["a4", "letter"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Template:
    """One piece as it is printed.

    Attributes:
        piece: Its letter.
        design: Name of the design.
        cut: The cut line, mm, the least x and y of its box at 0.
        line: The sewing line in the same place, if it is known.
        counts: Label of each fabric ("" for one without a name) and how many are cut from it.
        face_down: The template is mirrored, to be laid on the back of the fabric.
        base: Whether it is a base layer.
    """

    piece: str
    design: str
    cut: CurvedRegion
    line: CurvedRegion | None
    counts: tuple[tuple[str, int], ...]
    face_down: bool
    base: bool

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height of the cut line's box."""
        _, _, width, height = bounds(self.cut)
        return (width, height)


def templates_of(
    demands: Iterable[Demand], lines: Mapping[str, CurvedRegion], labels: Mapping[str, str]
) -> tuple[Template, ...]:
    """One template for each piece, however many fabrics its copies are cut from.

    Args:
        demands: What is cut.
        lines: Sewing line of each piece, by its id in the job, in the design's coordinates.
        labels: What the shop calls a fabric, by its key.
    """
    pieces: dict[tuple[str, bool], list[Demand]] = {}
    for demand in demands:
        pieces.setdefault((demand.piece, demand.face_down), []).append(demand)
    return tuple(_template(same, lines.get(same[0].piece), labels) for same in pieces.values())


def _template(same: list[Demand], line: CurvedRegion | None, labels: Mapping[str, str]) -> Template:
    first = same[0]
    mirrored = first.face_down
    x, y, _, _ = bounds(transformed(first.outline, 0.0, mirrored, 0.0, 0.0))
    counts: dict[str, int] = {}
    for demand in same:
        label = labels.get(demand.fabric) or demand.fabric
        counts[label] = counts.get(label, 0) + demand.copies
    return Template(
        piece=first.piece,
        design=first.design,
        cut=transformed(first.outline, 0.0, mirrored, -x, -y),
        line=transformed(line, 0.0, mirrored, -x, -y) if line else None,
        counts=tuple(counts.items()),
        face_down=mirrored,
        base=first.base,
    )
