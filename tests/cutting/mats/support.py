"""Demands, rules and shapes for the tests and benchmarks of laying."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from piecewright.cutting.geometry import Region, curved
from piecewright.cutting.mats import Demand
from piecewright.cutting.rules import JobRules

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from piecewright.cutting.mats import Layout, MatLayout

Points = list[tuple[float, float]]


def rectangle(width: float, height: float, x: float = 0.0, y: float = 0.0) -> Points:
    return [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]


def ellipse(width: float, height: float, points: int = 72, x: float = 0.0, y: float = 0.0) -> Points:
    angles = np.arange(points) * 2 * np.pi / points
    return [(x + width / 2 * float(np.cos(a)), y + height / 2 * float(np.sin(a))) for a in angles]


def demand(
    points: Iterable[tuple[float, float]],
    piece: str = "A",
    *,
    holes: Iterable[Iterable[tuple[float, float]]] = (),
    copies: int = 1,
    fabric: str = "",
    face_down: bool = False,
) -> Demand:
    region = Region(
        exterior=np.array(list(points), dtype=float),
        holes=tuple(np.array(list(hole), dtype=float) for hole in holes),
    )
    return Demand(
        piece=piece,
        design="leaf.dst",
        outline=curved(region),
        fabric=fabric,
        copies=copies,
        face_down=face_down,
        base=False,
    )


def rules(
    *,
    mat: dict[str, str] | None = None,
    more_mats: dict[str, dict[str, str]] | None = None,
    fabrics: dict[str, dict[str, Any]] | None = None,
    show: str = "mm",
    on: str = "",
    **laying: Any,  # noqa: ANN401 - any option of laying
) -> JobRules:
    """Rules with a mat of 305 mm and a margin of 5 mm, laid by boxes unless an effort is given."""
    small = mat or {"width": "305 mm", "height": "305 mm", "margin": "5 mm"}
    return JobRules.model_validate(
        {
            "show": show,
            "mats": {"small": small, **(more_mats or {})},
            "fabrics": fabrics or {},
            "product": {"name": "leaves", "laying": {"effort": 0, "mat": on, **laying}},
        }
    )


def used_length(mat: MatLayout) -> float:
    """How far down the mat pieces reach, mm from its upper edge."""
    return max(float(piece.curve.exterior[..., 1].max()) for piece in mat.laid)


def laid_ids(layout: Layout) -> list[str]:
    return sorted(piece.id for mat in layout.mats for piece in mat.laid)


def poses(layout: Layout) -> list[tuple[object, ...]]:
    """Where each copy lies and how, in cutting order."""
    return [
        (mat.number, piece.id, piece.x_mm, piece.y_mm, piece.turned_deg, piece.mirrored)
        for mat in layout.mats
        for piece in mat.laid
    ]


def codes(layout: Layout) -> list[str]:
    return [finding.code for finding in layout.findings]


def mixed(count: int, seed: int, smallest: float = 35.0, largest: float = 75.0) -> Sequence[Demand]:
    """A named instance: so many pieces of eight kinds, sizes drawn evenly with a fixed seed."""
    sizes = np.random.default_rng(seed).uniform(smallest, largest, count)
    kinds = (_leaf, _heart, _star, _flower, _disc, _moon, _corner, _tee)
    return [demand(kinds[n % len(kinds)](float(size)), f"P{n}") for n, size in enumerate(sizes)]


def _closed(count: int = 90) -> np.ndarray[Any, np.dtype[np.float64]]:
    return np.arange(count) * 2 * np.pi / count


def _points(x: Any, y: Any) -> Points:  # noqa: ANN401 - arrays
    return [(float(a), float(b)) for a, b in zip(x, y, strict=True)]


def _leaf(size: float) -> Points:
    t = _closed()
    return _points(0.8 * size * np.cos(t), 0.35 * size * np.sin(t) * (1 - 0.25 * np.cos(t)))


def _heart(size: float) -> Points:
    t = _closed()
    y = 13 * np.cos(t) - 5 * np.cos(2 * t) - 2 * np.cos(3 * t) - np.cos(4 * t)
    return _points(size / 2 * np.sin(t) ** 3, -size / 32 * y)


def _star(size: float) -> Points:
    k = np.arange(10)
    radius = np.where(k % 2 == 0, 0.6 * size, 0.27 * size)
    return _points(radius * np.sin(k * np.pi / 5), -radius * np.cos(k * np.pi / 5))


def _flower(size: float) -> Points:
    t = _closed(150)
    radius = 0.55 * size * (0.8 + 0.2 * np.cos(5 * t))
    return _points(radius * np.cos(t), radius * np.sin(t))


def _disc(size: float) -> Points:
    return ellipse(size, size, 90)


def _moon(size: float) -> Points:
    outer = np.linspace(np.pi / 2, 3 * np.pi / 2, 50)
    inner = outer[::-1][1:-1]
    x = np.concatenate([0.6 * size * np.cos(outer), 0.315 * size * np.cos(inner)])
    y = np.concatenate([0.6 * size * np.sin(outer), 0.6 * size * np.sin(inner)])
    return _points(x, y)


def _corner(s: float) -> Points:
    return [(0, 0), (0.3 * s, 0), (0.3 * s, 0.7 * s), (0.8 * s, 0.7 * s), (0.8 * s, s), (0, s)]


def _tee(s: float) -> Points:
    stem = [(0.65 * s, 0.3 * s), (0.65 * s, s), (0.35 * s, s), (0.35 * s, 0.3 * s)]
    return [(0, 0), (s, 0), (s, 0.3 * s), *stem, (0, 0.3 * s)]
