"""The author's table: pieces are drawn, placed, tacked and covered on it, and the truth is written down."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely
from shapely.geometry import LineString, Point, Polygon

from piecewright.cutting.passes import Role
from tests.evaluation import stitching, ways
from tests.evaluation.lines import Line, dense, largest
from tests.evaluation.pen import Meaning, Pen
from tests.evaluation.shapes import COMMON
from tests.evaluation.ways import SATIN

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.geometry import FloatArray
    from tests.evaluation.authors import Author
    from tests.evaluation.pen import Move
    from tests.evaluation.shapes import Shape
    from tests.evaluation.ways import Cover, Tack

Kind = Literal["applique", "base", "either"]
Span = tuple[float, float]
"""Where on a closed line something is sewn, as shares of its length; may pass 1, and run backwards."""

SHADES = (0x1F5FA8, 0xB4432C, 0x3E8A4B, 0x8D5BB0, 0xC79A1B, 0x2B2B2B, 0x9C4A64, 0x3D7F7A)


@dataclass
class Drawn:
    """A piece as its author drew it.

    Attributes:
        line: The outer line, closed.
        holes: Lines of its holes.
        kind: Appliqué piece or base layer, or where a sewer could say both.
        optional: Whether it is right to cut it and right to leave it.
        sewn: The region inside the needle points of the placement, once round, with the author's curve
            where it leaves a gap.
        start: Where passes begin for authors who always begin at the same place.
    """

    line: Line
    holes: tuple[Line, ...]
    kind: Kind
    start: float
    optional: bool = False
    sewn: Polygon = field(default_factory=Polygon)

    @property
    def drawn(self) -> Polygon:
        """The region inside the author's curve."""
        return Polygon(self.line.points, [hole.points for hole in self.holes]).buffer(0)


class Studio:
    """One design in the making."""

    def __init__(self, author: Author, rng: np.random.Generator, shapes: Sequence[Shape] = COMMON) -> None:
        """Lay out an empty table."""
        self.author, self.rng, self.shapes = author, rng, shapes
        self.pen = Pen()
        self.pieces: list[Drawn] = []
        self.pen.halt(SHADES[int(rng.integers(len(SHADES)))])

    # -- drawing ---------------------------------------------------------------------------------

    def shape(self, size: float, *among: Shape) -> Line:
        """A shape of this size about the origin."""
        choices = among or self.shapes
        return choices[int(self.rng.integers(len(choices)))](self.rng, size)

    def piece(
        self, line: Line, holes: Sequence[Line] = (), kind: Kind = "applique", *, optional: bool = False
    ) -> int:
        """Note a piece; it is not sewn yet."""
        corners = line.corners
        start = float(self.rng.choice(corners)) if len(corners) else float(self.rng.uniform(0, line.length))
        self.pieces.append(Drawn(line=line, holes=tuple(holes), kind=kind, start=start, optional=optional))
        return len(self.pieces) - 1

    def row(self, count: int, size: float, *among: Shape) -> list[int]:
        """Several pieces side by side without touching."""
        columns = int(np.ceil(np.sqrt(count)))
        step = size * 1.25 + 6
        return [
            self.piece(
                self.shape(size * self.rng.uniform(0.75, 1.0), *among).moved(
                    k % columns * step, k // columns * step
                )
            )
            for k in range(count)
        ]

    def cut_out(self, line: Line, box: tuple[float, float, float, float]) -> Line:
        """The part of a closed line's region inside a box."""
        part = line.region.buffer(0).intersection(shapely.box(*box))
        return dense(np.array(largest(part).exterior.coords))

    def span_outside(self, under: int, over: int) -> Span:
        """Where the line of the piece below is not hidden by the piece above, as the longest span."""
        line, above = self.pieces[under].line, self.pieces[over].line.region.buffer(-1.0)
        shares = np.linspace(0, 1, 721)[:-1]
        points = line.at(shares * line.length)
        outside = ~shapely.contains_xy(above, points[:, 0], points[:, 1])
        first = int(np.argmin(outside))
        rolled = np.roll(outside, -first)
        runs = np.flatnonzero(rolled)
        return ((first + runs[0]) / 720, (first + runs[-1]) / 720)

    # -- the machine -----------------------------------------------------------------------------

    def halt(self) -> None:
        """The machine stops for the sewer."""
        shade = SHADES[len(self.pen.blocks) % len(SHADES)] if self.author.colours else 0x444444
        self.pen.halt(shade, stop=self.author.stops)

    def sew(
        self, points: FloatArray, meaning: Meaning, move: Move | None = None, *, ties: bool = True
    ) -> FloatArray:
        """Sew needle points with the author's noise and ties, travelled to in the author's way.

        Returns:
            Where the needle really went down, without the ties.
        """
        sewn = np.round(stitching.noisy(points, self.author.noise, self.rng), 1)
        tied = sewn
        if ties:
            tied = stitching.tie(tied, self.author.tie_in, at_end=False)
            tied = stitching.tie(tied, self.author.tie_off, at_end=True)
        self.pen.sew(tied, meaning, move or self._move(tied[0]))
        return sewn

    def _move(self, to: FloatArray) -> Move:
        at = self.pen.last()
        if at is None:
            return "jump"
        far = float(np.hypot(to[0] - at[0], to[1] - at[1]))
        if far < 1.0 and self.pen.blocks[-1]:
            return "stitch"
        return "trim" if self.author.trims else "jump"

    # -- paths along a closed line ---------------------------------------------------------------

    def begin(self, line: Line, preferred: float | None = None) -> float:
        """Where this author begins a closed line."""
        if preferred is not None and self.author.start == "same":
            return preferred
        if self.author.start == "corner" and len(line.corners):
            return float(self.rng.choice(line.corners))
        return float(self.rng.uniform(0, line.length))

    def round(self, line: Line, preferred: float | None = None, lap: float | None = None) -> Line:
        """Once round a closed line, with the author's lap."""
        start = self.begin(line, preferred)
        over = self.author.lap if lap is None else lap
        over = min(over, line.length / 5)
        path = line.part(start, start + line.length + over)
        return path.reversed() if self.author.turns and self.rng.random() < 0.5 else path

    def stitch_for(self, line: Line, factor: float = 1.0) -> float:
        """Stitches get shorter on small lines, as digitisers do."""
        return float(max(min(self.author.stitch * factor, line.length / 13), 0.8))

    def running(self, path: Line, length: float) -> FloatArray:
        """The author's running stitch."""
        return ways.running(path, length, self.author)

    def wander(self, region: Polygon, spacing: float, meaning: Meaning) -> None:
        """Sew a meander over a region; where rows lie beyond a bay or a hole the thread is cut."""
        for points in stitching.meander(region, spacing, 2.3, self.rng):
            self.sew(points, meaning)

    # -- passes ----------------------------------------------------------------------------------

    def place(
        self,
        index: int,
        *paths: Sequence[Line],
        laps: int = 1,
        move: Move | None = None,
        joined: bool = False,
        stitch: float | None = None,
        bean: bool = False,
    ) -> None:
        """Sew the placement line of a piece: once round, or along these paths of its outer line.

        Args:
            index: Of the piece.
            paths: One sequence of paths for the outer line; each path is a run of its own.
            laps: How often it is sewn round.
            move: How the needle gets there, if not in the author's way.
            stitch: Its stitch length, if not the author's.
            bean: Whether each stitch is sewn forth, back and forth.
            joined: Whether the paths follow each other without a cut.
        """
        piece = self.pieces[index]
        meaning = Meaning(Role.PLACEMENT, piece=index)
        outer = paths[0] if paths else [self._laps(piece, laps)]
        length = stitch or self.stitch_for(piece.line)
        meant, sewn = [], []
        for k, path in enumerate(outer):
            meant.append(self.running(path, length))
            way: Move | None = move if k == 0 else "stitch" if joined else "trim"
            sewn.append(self._sew_line(meant[-1], meaning, way, bean=bean))
        exterior = _once_round(piece.line, meant, sewn)
        holes = []
        for hole in piece.holes:
            points = self.running(self.round(hole), self.stitch_for(hole))
            holes.append(_once_round(hole, [points], [self.sew(points, meaning)]))
        piece.sewn = largest(Polygon(exterior, holes).buffer(0))

    def _sew_line(self, points: FloatArray, meaning: Meaning, move: Move | None, *, bean: bool) -> FloatArray:
        """Sew a placement line, as a bean stitch if asked; where the needle first met each of its points."""
        if not bean:
            return self.sew(points, meaning, move)
        return self.sew(stitching.thrice(points), meaning, move)[np.r_[0, 1 : 3 * len(points) - 3 : 3]]

    def _laps(self, piece: Drawn, laps: int) -> Line:
        once = self.round(piece.line, piece.start)
        if laps == 1:
            return once
        start = self.begin(piece.line, piece.start)
        return piece.line.part(start, start + piece.line.length * laps)

    def _paths(self, index: int, spans: Sequence[Span] | None) -> list[Line]:
        piece = self.pieces[index]
        if spans:
            whole = piece.line.length
            parts = [piece.line.part(min(span) * whole, max(span) * whole) for span in spans]
            return [p if a < b else p.reversed() for p, (a, b) in zip(parts, spans, strict=True)]
        return [
            self.round(line, piece.start if line is piece.line else None)
            for line in (piece.line, *piece.holes)
        ]

    def tack(
        self, index: int, kind: Tack = "run", spans: Sequence[Span] | None = None, *, inset: float = 0.0
    ) -> None:
        """Hold a piece; ``inset`` moves the tack-down inside the line."""
        meaning = Meaning(Role.TACK_DOWN, frozenset(), index)
        piece = self.pieces[index]
        if kind == "meander":
            inner = largest(Polygon(piece.line.points, [h.points for h in piece.holes]).buffer(-1.5))
            spacing = min(5.0, float(np.sqrt(inner.area)) / 4)
            self.wander(inner, spacing, meaning)
            return
        paths = self._paths(index, spans)
        if inset:
            paths = [self.round(piece.line.grown(-inset)), *paths[1:]]
        for path in paths:
            self.sew(
                ways.tacked(
                    path, kind, self.stitch_for(path), self.inward(path, index), self.author, self.rng
                ),
                meaning,
            )

    def inward(self, path: Line, index: int) -> float:
        middle = path.length / 2
        point = path.at(np.array([middle]))[0] + 0.3 * path.normals(np.array([middle]))[0]
        piece = self.pieces[index]
        inside = Polygon(piece.line.points, [h.points for h in piece.holes]).buffer(0)
        return 1.0 if inside.intersects(LineString([point, point + 1e-6])) else -1.0

    def cover(self, index: int, cover: Cover = SATIN, spans: Sequence[Span] | None = None) -> None:
        """Cover the raw edge of a piece, all round or on these spans of it."""
        meaning = Meaning(Role.COVER, frozenset({Role.TACK_DOWN}) if cover.holds else frozenset(), index)
        for path in self._cover_paths(index, spans, cover.columns):
            width = min(cover.width or self.author.satin_width, path.length / 9)
            if cover.underlay != "none":
                also = frozenset({Role.COVER, Role.TACK_DOWN} if cover.holds else {Role.COVER})
                for points in ways.underlaid(path, cover.underlay, width, self.stitch_for(path, 0.9)):
                    self.sew(points, Meaning(Role.UNDERLAY, also, index))
            self.sew(
                ways.covered(path, cover, width, self.inward(path, index), self.author, self.rng), meaning
            )

    def _cover_paths(self, index: int, spans: Sequence[Span] | None, columns: int) -> list[Line]:
        if columns > 1:
            first = float(self.rng.uniform(0, 1))
            cuts = first + np.arange(columns + 1) / columns
            over = 0.6 / self.pieces[index].line.length
            spans = [(a, b + over) for a, b in pairwise(cuts.tolist())]
            if self.rng.random() < 0.5:
                spans = spans[::2] + spans[1::2]
        return self._paths(index, spans)


def _once_round(line: Line, meant: Sequence[FloatArray], sewn: Sequence[FloatArray]) -> FloatArray:
    """Where the needle went down on its first way round, in the line's own order, its curve in gaps."""
    steps = [np.linalg.norm(np.diff(part, axis=0, prepend=part[:1]), axis=1) for part in meant]
    first = np.cumsum(np.concatenate(steps)) < line.length - 0.3
    curve = LineString(line.points)
    where = np.array([curve.project(Point(x, y)) for x, y in np.vstack(meant)[first].tolist()])
    order = np.argsort(where, kind="stable")
    where, points = where[order], np.vstack(sewn)[first][order]
    typical = float(np.median(np.diff(where))) if len(where) > 3 else 1.0
    parts = []
    for here, a, b in zip(points, where, np.append(where[1:], where[0] + line.length), strict=True):
        parts.append(here[None])
        if b - a > max(2.5 * typical, 3.0):
            parts.append(line.at(np.arange(a + 0.2, b - 0.1, 0.2) % line.length))
    return np.vstack(parts)
