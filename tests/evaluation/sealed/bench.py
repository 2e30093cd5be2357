"""The digitizer's bench: pieces are placed, held and covered on it, and the truth is written down."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from piecewright.cutting.passes import Role
from tests.evaluation.pen import Meaning
from tests.evaluation.sealed import areas, edges, threads
from tests.evaluation.sealed.curves import Curve, curve, divide, inset, rings
from tests.evaluation.sealed.edges import Piece, widest_cover
from tests.evaluation.sealed.figures import whole
from tests.evaluation.sealed.tape import Move, Tape

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from tests.evaluation.sealed.curves import FloatArray
    from tests.evaluation.sealed.edges import Cover, Kind, Tack
    from tests.evaluation.sealed.hands import Hand

Spans = "Sequence[tuple[float, float]]"
WHOLE = ((0.0, 1.0),)

DRAWING = frozenset({Role.QUILTING, Role.DETAIL})
ORNAMENT = frozenset({Role.FILL, Role.DETAIL})


@dataclass
class Bench:
    """One design in the making."""

    hand: Hand
    rng: np.random.Generator
    tape: Tape = field(default_factory=Tape)
    pieces: list[Piece] = field(default_factory=list)
    matrix: FloatArray = field(default_factory=lambda: np.eye(2))
    mishaps: list[Callable[[Tape], Tape]] = field(default_factory=list)

    def turned(self, degrees: float, scale: float = 1.0, *, mirrored: bool = False) -> None:
        """The finished design turned, resized, mirrored by the shop."""
        c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
        self.matrix = scale * np.array([[c, -s], [s, c]]) @ np.diag([-1.0 if mirrored else 1.0, 1.0])

    def halt(self, shade: int | None = None, name: str = "") -> None:
        """The machine stops."""
        self.tape.halt(shade, name)

    def sew(
        self, points: FloatArray, meaning: Meaning | None, *, on: bool = False, lock: bool = True
    ) -> None:
        """Sew points; ``on`` sews on without a travel from where the needle is."""
        move: Move = "stitch" if on else "trim" if self.hand.cuts else "jump"
        noise = self.rng.normal(0, self.hand.noise, points.shape) if self.hand.noise else 0.0
        ends = threads.locked(points + noise, self.hand.lock, self.hand.lock_mm) if lock else points + noise
        self.tape.sew(ends, meaning, move)

    def piece(self, region: Polygon, kind: Kind = "applique", *, optional: bool = False) -> int:
        """Draw a piece; its number is what the passes over it are told."""
        lines = rings(region)
        self.pieces.append(Piece(region, kind, optional, lines, [self._begin(line) for line in lines]))
        return len(self.pieces) - 1

    def _begin(self, line: Curve) -> float:
        if self.hand.begin == "corner" and len(line.corners):
            return float(line.corners[self.rng.integers(len(line.corners))])
        if self.hand.begin == "anywhere":
            return float(self.rng.uniform(0, line.length))
        side = line.points[:, 0 if self.hand.begin == "left" else 1]
        return float(line.along[int(np.argmin(side))])

    def line(
        self,
        one: Curve,
        start: float,
        stitch: float | None = None,
        spans: Sequence[tuple[float, float]] = WHOLE,
        lap: float = 0.0,
    ) -> list[FloatArray]:
        """Running stitches along parts of a curve; a whole lap runs on by ``lap`` mm."""
        way = -1.0 if self.hand.clockwise else 1.0
        out = []
        for a, b in spans:
            more = max(lap, -0.1 * one.length) if (a, b) == (0.0, 1.0) else 0.0
            ends = start + way * a * one.length, start + way * (b * one.length + more)
            out.append(one.at(divide(one, *ends, self._stitch(one, stitch), self.hand.division)))
        return out

    def place(
        self,
        k: int,
        *,
        laps: int = 1,
        spans: Sequence[tuple[float, float]] = WHOLE,
        also: Sequence[Role] = (),
        strands: int = 1,
    ) -> None:
        """The placement line of a piece, and those of its holes."""
        piece = self.pieces[k]
        meaning = Meaning(Role.PLACEMENT, frozenset(also), k)
        outlines = []
        for n, (one, start) in enumerate(zip(piece.curves, piece.start, strict=True)):
            parts = spans if n == 0 else WHOLE
            runs = self.line(one, start, None, parts, self.hand.lap + (laps - 1) * one.length)
            for run in runs:
                self.sew(threads.bean(run, strands) if strands > 1 else run, meaning)
            outlines.append(self._once(one, start, laps) if tuple(parts) == WHOLE else np.vstack(runs))
        shell, *holes = [line for line in outlines if len(line) > 3]
        piece.sewn = whole(shapely.make_valid(Polygon(shell, holes)))

    def _once(self, one: Curve, start: float, laps: int) -> FloatArray:
        """The needle points of one lap, and the author's curve where they leave a gap."""
        way = -1.0 if self.hand.clockwise else 1.0
        reach = laps * one.length + max(self.hand.lap, -0.1 * one.length)
        sewn = divide(one, start, start + way * reach, self._stitch(one, None), self.hand.division)
        lap = sewn[np.abs(sewn - start) <= one.length]
        gap = np.arange(abs(lap[-1] - start), one.length, 0.2)
        return np.vstack([one.at(lap), one.at(start + way * gap)])

    def tack(
        self,
        k: int,
        how: Tack = "run",
        *,
        by: float = 0.0,
        spans: Sequence[tuple[float, float]] = WHOLE,
        on: bool = False,
        width: float = 2.5,
    ) -> None:
        """Hold a piece, ``by`` mm inside its line."""
        piece = self.pieces[k]
        piece.held = True
        meaning = Meaning(Role.TACK_DOWN, frozenset({Role.UNDERLAY} if on else ()), k)
        if how == "wander":
            for one in areas.wander(piece.region, 5.0, self.rng):
                self.sew(self.line_open(one), meaning)
            return
        lines = rings(inset(piece.region, by)) if by else piece.curves
        for one, start in zip(lines, piece.start, strict=False):
            begin = self._begin(one) if by else start
            for a, b in spans:
                (points,) = self.line(one, begin, None, [(a, b)], max(self.hand.lap, 0.0))
                seam = one, self.ends(one, begin, (a, b))
                self.sew(edges.held(points, seam, how, width, self.rng), meaning, on=on)

    def ends(self, one: Curve, begin: float, span: tuple[float, float]) -> tuple[float, float]:
        """A span in lengths."""
        way = -1.0 if self.hand.clockwise else 1.0
        return begin + way * span[0] * one.length, begin + way * span[1] * one.length

    def outside(self, k: int, over: Polygon, more: float = 3.0) -> list[tuple[float, float]]:
        """The part of a piece's line that another region leaves free, and ``more`` mm under it."""
        piece = self.pieces[k]
        one = piece.curves[0]
        share = np.arange(0.0, 1.0, 0.0025)
        way = -1.0 if self.hand.clockwise else 1.0
        hidden = shapely.contains_xy(over, one.at(piece.start[0] + way * share * one.length))
        first = int(np.flatnonzero(~hidden & np.roll(hidden, 1))[0])
        free = int(np.roll(hidden, -first).argmax())
        piece.start[0] += way * float(share[first]) * one.length
        return [(-more / one.length, free * 0.0025 + more / one.length)]

    def line_open(self, one: Curve, stitch: float | None = None) -> FloatArray:
        """Running stitches along the whole of a curve, from its first point."""
        return one.at(divide(one, 0.0, one.length, self._stitch(one, stitch), self.hand.division))

    def _stitch(self, one: Curve, asked: float | None) -> float:
        """The stitch length: nobody sews a dot with fewer than eight stitches."""
        return min(asked or self.hand.stitch, one.length / 8 if one.closed else 99.0)

    def cover(
        self,
        k: int,
        how: Cover = "satin",
        *,
        spans: Sequence[tuple[float, float]] = WHOLE,
        on: bool = False,
        width: float = 0.0,
    ) -> None:
        """Cover the raw edge of a piece."""
        piece = self.pieces[k]
        for one, start in zip(piece.curves, piece.start, strict=True):
            for a, b in spans:
                lap = 0.02 if (a, b) == (0.0, 1.0) else 0.0
                self.edge(one, self.ends(one, start, (a, b + lap)), how, k, on=on, width=width)

    def edge(
        self,
        one: Curve,
        ends: tuple[float, float],
        how: Cover,
        k: int | None,
        *,
        on: bool = False,
        width: float = 0.0,
    ) -> None:
        """Cover a stretch of a curve."""
        under = Meaning(Role.UNDERLAY, frozenset({Role.COVER, Role.TACK_DOWN}), k)
        holds = k is not None and not self.pieces[k].held
        over = Meaning(Role.COVER, frozenset({Role.TACK_DOWN} if holds else ()), k)
        w = width or (
            self.hand.satin if k is None else min(self.hand.satin, widest_cover(self.pieces[k].region))
        )
        shift = w * (0.5 - self.hand.inside)
        if how == "zigzag+satin":
            self.sew(threads.column(one, ends, w * 0.6, 2.2, shift), under, on=on, lock=False)
        if how == "run+satin":
            self.sew(one.at(divide(one, *ends, self.hand.stitch, "even")), under, on=on, lock=False)
        self.sew(edges.covered((one, ends), how, w, self.hand, self.rng), over, on=on or "+" in how)

    def draw(
        self, points: FloatArray, *, on: bool = False, role: Role = Role.DETAIL, lock: bool = True
    ) -> None:
        """A line that belongs to no piece."""
        self.sew(points, Meaning(role, DRAWING), on=on, lock=lock)

    def ornament(self, points: FloatArray, *, on: bool = False, role: Role = Role.DETAIL) -> None:
        """Satin or fill that covers no edge."""
        self.sew(points, Meaning(role, ORNAMENT), on=on)

    def fill(self, region: Polygon, *, gap: float = 0.45, stitch: float = 3.5, angle: float = 0.0) -> None:
        """Fill an area with rows."""
        for arm in areas.rows(region, gap, stitch, angle):
            self.ornament(arm, role=Role.FILL)

    def word(self, x: float, y: float, width: float) -> None:
        """A line of small satin lettering: strokes side by side."""
        n = int(width / 4)
        for k in range(n):
            left = x + k * 4.0
            stroke = LineString([(left, y), (left + 0.5, y + 5.0), (left + 2.2, y + (0.5 if k % 2 else 4.5))])
            one = curve(np.array(stroke.coords), closed=False)
            self.ornament(threads.column(one, (0.0, one.length), 1.0, 0.5), on=bool(k) and not self.hand.cuts)
