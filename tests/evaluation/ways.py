"""Ways to tack a piece down and to cover its edge, as each author does it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from tests.evaluation import library, stitching

if TYPE_CHECKING:
    from collections.abc import Iterator

    from piecewright.cutting.geometry import FloatArray
    from tests.evaluation.authors import Author
    from tests.evaluation.lines import Line

Tack = Literal["run", "double", "bean", "zigzag", "blanket", "meander"]
Underlay = Literal["none", "centre", "edge", "zigzag"]


@dataclass(frozen=True)
class Cover:
    """How an edge is covered; lengths in mm.

    Attributes:
        kind: How it is stitched.
        underlay: What is sewn below it in the same go.
        width: If not the author's own.
        bias: How far its middle lies outside the line.
        columns: In how many separate parts it is sewn round.
        longest: Longer stitches are broken by penetrations.
        tails: How far it runs off the line at its ends.
        holds: Whether it is also what holds the piece.
    """

    kind: Literal["satin", "zigzag", "blanket"] = "satin"
    underlay: Underlay = "none"
    width: float | None = None
    bias: float = 0.0
    columns: int = 1
    longest: float = stitching.LONGEST_STITCH_MM
    tails: float = 0.0
    holds: bool = False


SATIN = Cover()


def tacked(
    path: Line, kind: Tack, length: float, inward: float, author: Author, rng: np.random.Generator
) -> FloatArray:
    """Needle points of a tack-down along a path; ``inward`` is +1 where the piece lies to the left."""
    if kind == "double":
        return _double(path, length, author)
    if kind == "bean":
        return stitching.bean(path, length, author.division)
    if kind == "zigzag":
        width = min(2.0, path.length / 12)
        own = author.name != "library"
        spacing = float(rng.uniform(1.2, 2.2))
        return stitching.zigzag(path, width, spacing) if own else library.zigzag_along(path, width, 1.6)
    if kind == "blanket":
        return stitching.blanket(path, min(2.0, path.length / 14), 2.5, inward)
    return running(path, length, author)


def running(path: Line, length: float, author: Author) -> FloatArray:
    """The author's running stitch."""
    if author.name == "library":
        return library.run(path, length)
    return stitching.run(path, length, author.division)


def _double(path: Line, length: float, author: Author) -> FloatArray:
    if author.name == "south":
        return stitching.there_and_back(path, length, "corners")
    return np.vstack([running(path, length, author), running(path.reversed(), length * 1.07, author)[1:]])


def underlaid(path: Line, kind: Underlay, width: float, length: float) -> Iterator[FloatArray]:
    """Runs of needle points below a cover of this width."""
    if kind == "centre":
        yield stitching.run(path, length, "even")
    elif kind == "zigzag":
        yield stitching.zigzag(path, width * 0.7, 1.8)
    else:
        where = stitching.divided(path, length, "even")
        for side in (1.0, -1.0):
            yield path.at(where) + path.normals(where) * side * (width / 2 - 0.6)


def covered(
    path: Line, cover: Cover, width: float, inward: float, author: Author, rng: np.random.Generator
) -> FloatArray:
    """Needle points of a cover along a path; ``inward`` is +1 where the piece lies to the left."""
    if cover.kind == "blanket":
        return _blanket(path, inward, author, rng)
    points = _from_side_to_side(path, cover, width, -inward * (cover.bias + author.outward), author, rng)
    if cover.tails:
        points = _with_tails(points, path, cover.tails)
    return stitching.split(points, cover.longest, rng)


def _blanket(path: Line, inward: float, author: Author, rng: np.random.Generator) -> FloatArray:
    bite = min(3.0, path.length / 14)
    if author.name == "library":
        return library.blanket_along(path, bite, 3.0, inward)
    return stitching.blanket(path, bite, float(rng.uniform(2, 3)), inward)


def _from_side_to_side(
    path: Line, cover: Cover, width: float, bias: float, author: Author, rng: np.random.Generator
) -> FloatArray:
    if cover.kind == "zigzag":
        return stitching.zigzag(path, width, float(rng.uniform(0.9, 1.4)), bias)
    if author.name == "library":
        return library.satin_along(path, width, author.satin_spacing)
    if author.straight:
        return stitching.straight_satin(path, width, author.satin_spacing * 1.2, bias)
    return stitching.zigzag(path, width, author.satin_spacing, bias)


def _with_tails(points: FloatArray, path: Line, tails: float) -> FloatArray:
    """A cover that runs on straight past both ends of its path."""
    out = path.points[-1] - path.points[-8]
    out /= max(float(np.linalg.norm(out)), 1e-9)
    into = path.points[0] - path.points[7]
    into /= max(float(np.linalg.norm(into)), 1e-9)
    n = max(4, int(tails / 0.25) * 2)
    after = points[-n:][::-1] * 0 + points[-1]
    steps = np.linspace(0, tails, n)[:, None]
    flip = np.where(np.arange(n) % 2 == 0, 0, 1)[:, None]
    across = points[-2] - points[-1]
    after = after + out * steps + across * (1 - flip)
    before = points[0] + into * steps[::-1] + (points[1] - points[0]) * flip
    return np.vstack([before, points, after])
