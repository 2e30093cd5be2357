"""Pieces and passes put together by hand, so that outlines are tested without the finder of pieces."""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING, Literal

import numpy as np

from piecewright.cutting.geometry import FloatArray, Region, frozen
from piecewright.cutting.passes import Pass, Role, Run, Stitch
from piecewright.cutting.pieces import Piece, Understanding
from piecewright.cutting.rules import OutlineRules

if TYPE_CHECKING:
    from collections.abc import Sequence

Points = FloatArray | list[FloatArray]


class Bench:
    """Collects pieces in the order in which they are placed, and their passes."""

    def __init__(self) -> None:
        """Begin without any."""
        self.passes: list[Pass] = []
        self.pieces: list[Piece] = []

    def add(  # noqa: PLR0913 - every part of a piece is named where it is added
        self,
        line: FloatArray,
        *,
        holes: Sequence[FloatArray] = (),
        tack: Points | None = None,
        tack_stitch: Stitch = Stitch.SINGLE_RUN,
        cover: Points | None = None,
        cover_stitch: Stitch = Stitch.SATIN,
        spacing_mm: float = 0.4,
        kind: Literal["applique", "base"] = "applique",
        cut: bool = True,
    ) -> Piece:
        """Add a piece with its stitches."""
        name = chr(ord("A") + len(self.pieces))
        piece = Piece(
            id=name,
            kind=kind,
            line=Region(exterior=rounded(open_ring(line)), holes=tuple(rounded(open_ring(h)) for h in holes)),
            placement=(self.sew(line, Role.PLACEMENT, Stitch.SINGLE_RUN, (name,)),),
            tack_down=() if tack is None else (self.sew(tack, Role.TACK_DOWN, tack_stitch, (name,)),),
            cover=() if cover is None else (self.sew(cover, Role.COVER, cover_stitch, (name,), spacing_mm),),
            confidence=0.9,
            evidence=(),
            cut=cut,
        )
        self.pieces.append(piece)
        return piece

    def sew(
        self, points: Points, role: Role, stitch: Stitch, pieces: tuple[str, ...], spacing_mm: float = 0.0
    ) -> int:
        """Add a pass and give its number."""
        number = len(self.passes) + 1
        runs = tuple(
            Run(
                block=number,
                first=0,
                last=len(each) - 1,
                points=rounded(each),
                stitch=stitch,
                width_mm=0.0,
                spacing_mm=spacing_mm,
                stitch_length_mm=2.0,
                closed=True,
            )
            for each in (points if isinstance(points, list) else [points])
        )
        self.passes.append(
            Pass(
                number=number,
                block=number,
                runs=runs,
                role=role,
                stitch=stitch,
                confidence=0.9,
                evidence=(),
                pieces=pieces,
            )
        )
        return number

    def hold_all(self, number: int) -> None:
        """Let one pass be the tack-down of every piece."""
        self.pieces = [dataclasses.replace(piece, tack_down=(number,)) for piece in self.pieces]

    def understanding(self) -> Understanding:
        """Everything collected."""
        return Understanding(passes=tuple(self.passes), pieces=tuple(self.pieces), findings=())


def rounded(points: FloatArray) -> FloatArray:
    """As a stitch file stores them."""
    return frozen(np.round(points, 1))


def open_ring(points: FloatArray) -> FloatArray:
    """A closed chain without its repeated end."""
    return points[:-1] if np.hypot(*(points[0] - points[-1])) < 0.2 else points


def rules(**options: object) -> OutlineRules:
    """Rules for outlines as the rulebook would read them."""
    return OutlineRules.model_validate(options)
