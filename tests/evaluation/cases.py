"""The cases: every situation by several authors in several formats, in two parts."""

from __future__ import annotations

import zlib
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
from shapely.affinity import translate

from tests.evaluation import shapes
from tests.evaluation.authors import drawn
from tests.evaluation.pen import MEMORY, design_of
from tests.evaluation.situations import SCORED_ONLY, SITUATIONS
from tests.evaluation.studio import Studio

if TYPE_CHECKING:
    from collections.abc import Iterator

    from shapely.geometry import Polygon

    from piecewright.cutting.design import Design
    from tests.evaluation.authors import AuthorName
    from tests.evaluation.pen import Stretch
    from tests.evaluation.studio import Kind

Part = Literal["development", "scored"]

VARIANTS = {"mixed-applique": 24, "mixed-picture": 16}
"""Designs of a situation in each part, if not ``USUAL``."""

USUAL = 5

AUTHORS: dict[Part, tuple[AuthorName, ...]] = {
    "development": ("north", "south", "west", "library"),
    "scored": ("north", "east", "south", "library"),
}
FORMATS = ("DST", "PES", MEMORY, "JEF", "EXP", "DST", "PES", "VP3", "XXX", "U01", "JEF")
"""As often as shops meet them, more or less."""


@dataclass(frozen=True)
class TruePiece:
    """A piece as its author meant it.

    Attributes:
        drawn: Inside the author's curve.
        sewn: Inside the needle points of the placement line, which on small pieces is less; empty if
            no stitches of its own place it.
        kind: Appliqué piece or base layer, or either.
        optional: Whether it is right to cut it and right to leave it.
    """

    drawn: Polygon
    sewn: Polygon
    kind: Kind
    optional: bool


@dataclass(frozen=True)
class Case:
    """One design with its truth.

    Attributes:
        name: Unique, says part, situation, author, format and number.
        situation: What it is an example of.
        negative: Whether nothing is to be cut.
        design: As the project reads it.
        data: The file; None for designs in memory.
        pieces: The truth's pieces.
        stretches: The truth's passes.
    """

    name: str
    situation: str
    negative: bool
    design: Design
    data: bytes | None
    pieces: tuple[TruePiece, ...]
    stretches: tuple[Stretch, ...]


def cases(part: Part, situation: str = "") -> Iterator[Case]:
    """Every case of a part, or of one situation in it."""
    for number, name in enumerate(SITUATIONS):
        if situation not in name or (part == "development" and name in SCORED_ONLY):
            continue
        for variant in range(VARIANTS.get(name, USUAL)):
            yield _case(part, name, variant, number)


def _case(part: Part, situation: str, variant: int, number: int) -> Case:
    rng = np.random.default_rng(zlib.crc32(f"{part}/{situation}/{variant}".encode()))
    author_name = AUTHORS[part][(variant + number) % len(AUTHORS[part])]
    form = FORMATS[(variant * 4 + number + (part == "scored")) % len(FORMATS)]
    name = f"{part[:3]}-{situation}-{variant + 1}-{author_name}"
    drawn_from = shapes.COMMON + (shapes.SCORED_ONLY if part == "scored" else ())
    studio = Studio(drawn(author_name, form, rng), rng, drawn_from)
    SITUATIONS[situation](studio)
    design, data = design_of(studio.pen, name, form)
    dx, dy = _shift(studio, design)
    return Case(
        name=f"{name}.{form.lower()}",
        situation=situation,
        negative=all(piece.optional for piece in studio.pieces),
        design=design,
        data=data,
        pieces=tuple(
            TruePiece(translate(p.drawn, dx, dy), translate(p.sewn, dx, dy), p.kind, p.optional)
            for p in studio.pieces
        ),
        stretches=_same_blocks(studio, design, name),
    )


def _shift(studio: Studio, design: Design) -> tuple[float, float]:
    """How far the file's origin lies from the author's."""
    x0, y0, *_ = design.bounds_mm
    every = np.array([(x, y) for block in studio.pen.blocks for x, y, _ in block])
    low = every.min(axis=0)
    return float(x0 - low[0]), float(y0 - low[1])


def _same_blocks(studio: Studio, design: Design, name: str) -> tuple[Stretch, ...]:
    """The truth's stretches, once it is sure that the file holds the blocks that were sewn."""
    sewn = [len(block) for block in studio.pen.blocks if block]
    read = [len(block.points) for block in design.blocks if len(block.points)]
    if sewn != read:
        msg = f"{name}: sewn {sewn}, read {read}"
        raise ValueError(msg)
    return tuple(studio.pen.stretches)
