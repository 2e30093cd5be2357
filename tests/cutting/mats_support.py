"""Demands and rules for the tests of laying."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from piecewright.cutting.geometry import Region, curved
from piecewright.cutting.mats import Demand
from piecewright.cutting.rules import JobRules

if TYPE_CHECKING:
    from collections.abc import Iterable

Points = "Iterable[tuple[float, float]]"


def rectangle(width: float, height: float) -> list[tuple[float, float]]:
    return [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)]


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
    fabrics: dict[str, dict[str, Any]] | None = None,
    patches: dict[str, str] | None = None,
    **laying: Any,  # noqa: ANN401 - any option of laying
) -> JobRules:
    if patches is not None:
        laying["patches"] = patches
    return JobRules.model_validate(
        {
            "mats": {"small": mat or {"width": "305 mm", "height": "305 mm", "margin": "5 mm"}},
            "fabrics": fabrics or {},
            "product": {"name": "leaves", "laying": laying},
        }
    )
