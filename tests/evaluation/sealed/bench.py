"""The digitizer's bench: pieces are placed, held and covered on it, and the truth is written down."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from piecewright.cutting.passes import Role
from tests.evaluation.pen import Meaning
from tests.evaluation.sealed import areas, threads
from tests.evaluation.sealed.curves import Curve, curve, divide, inset, rings
from tests.evaluation.sealed.figures import whole
from tests.evaluation.sealed.tape import Move, Tape

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from tests.evaluation.sealed.curves import FloatArray
    from tests.evaluation.sealed.hands import Hand

Kind = Literal["applique", "base", "either"]
Tack = Literal["run", "twice", "back", "bean", "zigzag", "comb", "wander"]
Cover = Literal["satin", "zigzag", "comb", "motif", "bean", "split", "zigzag+satin", "run+satin", "out-comb"]
Spans = "Sequence[tuple[float, float]]"
WHOLE = ((0.0, 1.0),)

DRAWING = frozenset({Role.QUILTING, Role.DETAIL})
ORNAMENT = frozenset({Role.FILL, Role.DETAIL})
TRIANGLES = ((0.0, 0.0), (0.35, 0.0), (0.5, 1.8), (0.65, 0.0), (1.0, 0.0))
LOOPS = ((0.0, 0.0), (0.6, 0.2), (0.8, 1.0), (0.5, 1.5), (0.2, 1.0), (0.4, 0.2), (1.0, 0.0))


@dataclass
class Piece:
    """A piece as its author means it.

    Attributes:
        region: What he drew, holes included.
        kind: Appliqué piece or base layer, or either.
        optional: Whether it is right to cut it and right to leave it.
        curves: Its outer curve and those of its holes.
        start: Where closed lines begin, lengths.
        sewn: Inside the needle points that place it; empty before that.
        held: Whether it is tacked down; if not, its cover holds it as well.
    """

    region: Polygon
    kind: Kind
    optional: bool
    curves: list[Curve]
    start: list[float]
    sewn: Polygon = field(default_factory=Polygon)
    held: bool = False


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
                self.sew(self._held(one, begin, (a, b), how, width), meaning, on=on)

    def _held(
        self, one: Curve, begin: float, span: tuple[float, float], how: Tack, width: float
    ) -> FloatArray:
        (points,) = self.line(one, begin, None, [span], max(self.hand.lap, 0.0))
        ends = self.ends(one, begin, span)
        if how == "zigzag":
            return threads.column(one, ends, width, float(self.rng.uniform(2.0, 3.5)), shift=-width / 2 + 0.3)
        if how == "comb":
            return threads.comb(one, ends, width, float(self.rng.uniform(2.5, 4.0)))
        if how == "twice":
            return np.vstack([points, points])
        return (
            threads.bean(points)
            if how == "bean"
            else threads.there_and_back(points)
            if how == "back"
            else points
        )

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
        w = width or (self.hand.satin if k is None else min(self.hand.satin, _widest(self.pieces[k].region)))
        shift = w * (0.5 - self.hand.inside)
        if how == "zigzag+satin":
            self.sew(threads.column(one, ends, w * 0.6, 2.2, shift), under, on=on, lock=False)
        if how == "run+satin":
            self.sew(one.at(divide(one, *ends, self.hand.stitch, "even")), under, on=on, lock=False)
        self.sew(self._edge(one, ends, how, w, shift), over, on=on or "+" in how)

    def _edge(self, one: Curve, ends: tuple[float, float], how: Cover, w: float, shift: float) -> FloatArray:
        if how == "zigzag":
            return threads.column(one, ends, w, 1.4, shift)
        if how in {"comb", "out-comb"}:
            return threads.comb(one, ends, w if how == "comb" else -w, float(self.rng.uniform(2.0, 4.0)))
        if how == "motif":
            return threads.motif(one, ends, TRIANGLES, 3.5)
        if how == "bean":
            return threads.bean(one.at(divide(one, *ends, self.hand.stitch, self.hand.division)))
        return threads.column(one, ends, w, self.hand.dense, shift, split=w * 0.6 if how == "split" else 99.0)

    def draw(self, points: FloatArray, *, on: bool = False, role: Role = Role.DETAIL) -> None:
        """A line that belongs to no piece."""
        self.sew(points, Meaning(role, DRAWING), on=on)

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


def _widest(region: Polygon) -> float:
    """The widest satin that leaves something of the fabric to be seen."""
    return max(1.3, 0.45 * 2 * region.area / region.length)
