r"""Mats laid by hand, of shapes whose size and area are known without the program.

rectangle     ring          leaf           star
+------+     .-"-.        .--.           /\
|      |    ( (_) )      <    >       --<  >--
+------+     '-.-'        '--'           \/
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.geometry import CurvedRegion, Region, curved, frozen, transformed
from piecewright.cutting.mats import Demand, LaidPiece, Layout, MatLayout
from piecewright.cutting.rules import Fabric, JobRules, Mat, Product, WritingRules

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.geometry import FloatArray
    from piecewright.cutting.rules import Writable

KAPPA: Final = 4 / 3 * (math.sqrt(2) - 1)
"""Control distance of the usual circle of four cubics, at most 0.0273 % too large."""

HOSTILE: Final = (
    '"><script>alert(1)</script>&amp;',
    "a\x00b\x07c\x1b[31m\nPU;PD0,0;\r\n  0\nENDSEC",
    ") Tj ET 0 0 100 100 re f BT (",
    "..\\..\\CON.txt  ",
    "../../etc/passwd",
    "\u202eexe.gvs",
    "青い綿 · Хлопок · قطن · 🧵🪡 · ſ ﬀ",
    "\ud800 half a pair",
    "x" * 5000,
    "",
)
"""Names that somebody might type, or might type to do harm."""


def circle(radius: float, x: float = 0.0, y: float = 0.0) -> FloatArray:
    quarter = np.array([(1, 0), (1, KAPPA), (KAPPA, 1), (0, 1)]) * radius
    turns = [np.array([[c, s], [-s, c]]) for c, s in ((1, 0), (0, 1), (-1, 0), (0, -1))]
    return frozen(np.stack([quarter @ turn for turn in turns]) + np.array([x, y]))


def polygon(*corners: tuple[float, float]) -> CurvedRegion:
    return curved(Region(exterior=frozen(corners)))


def rectangle(width: float, height: float, x: float = 0.0, y: float = 0.0) -> CurvedRegion:
    return polygon((x, y), (x + width, y), (x + width, y + height), (x, y + height))


def ring(outer: float, inner: float, x: float = 0.0, y: float = 0.0) -> CurvedRegion:
    return CurvedRegion(exterior=circle(outer, x, y), holes=(frozen(circle(inner, x, y)[::-1, ::-1]),))


def leaf(length: float, x: float = 0.0, y: float = 0.0) -> CurvedRegion:
    """Two cubics with sharp tips."""
    half = length * 0.35
    upper = [(0, 0), (length * 0.3, -half), (length * 0.7, -half), (length, 0)]
    lower = [(length, 0), (length * 0.7, half), (length * 0.3, half), (0, 0)]
    return CurvedRegion(exterior=frozen(np.array([upper, lower]) + np.array([x, y])))


def star(radius: float, x: float = 0.0, y: float = 0.0) -> CurvedRegion:
    """Five points, the inner corners at two fifths of the radius."""
    turns = np.arange(10) * math.pi / 5
    reach = np.where(np.arange(10) % 2, 0.4, 1.0) * radius
    corners = np.stack([x + reach * np.sin(turns), y - reach * np.cos(turns)], axis=1)
    return polygon(*map(tuple, corners.tolist()))


def laid(
    curve: CurvedRegion, piece: str = "A", *, copy: int = 1, fabric: str = "moss", design: str = "bed.dst"
) -> LaidPiece:
    return LaidPiece(
        id=f"{piece}-{copy}",
        piece=piece,
        design=design,
        curve=curve,
        x_mm=0.0,
        y_mm=0.0,
        turned_deg=0.0,
        mirrored=False,
        patch=None,
        fabric=fabric,
    )


def mat(
    *pieces: LaidPiece, size: tuple[float, float] = (305.0, 305.0), fabric: str = "moss", number: int = 1
) -> MatLayout:
    return MatLayout(
        number=number,
        mat="plain",
        width_mm=size[0],
        height_mm=size[1],
        fabric=fabric,
        laid=pieces,
        fill_ratio=0.5,
        cut_mm=100.0,
        travel_mm=10.0,
        seconds=5.0,
    )


def layout(*mats: MatLayout) -> Layout:
    return Layout(mats=mats, fabrics=(), findings=())


def sampler() -> MatLayout:
    """All four shapes on one mat, one of them turned, from two fabrics."""
    turned = transformed(leaf(60.0), 33.0, True, 200.0, 180.0)
    return mat(
        laid(rectangle(50.8, 25.4, 20.0, 30.0), "A"),
        laid(ring(30.0, 10.0, 150.0, 70.0), "B"),
        laid(turned, "C", fabric="rust"),
        laid(star(25.0, 60.0, 200.0), "D", fabric="rust"),
    )


def demand(
    outline: CurvedRegion, piece: str = "A", *, fabric: str = "moss", copies: int = 1, face_down: bool = False
) -> Demand:
    return Demand(
        piece=piece,
        design="bed.dst",
        outline=outline,
        fabric=fabric,
        copies=copies,
        face_down=face_down,
        base=False,
    )


def rules(
    *, formats: Sequence[Writable] = ("svg",), pen_labels: bool = False, product: str = "Herb bed"
) -> JobRules:
    return JobRules(
        mats={"plain": Mat(width="305 mm", height="305 mm")},
        fabrics={"moss": Fabric(label="Moss linen"), "rust": Fabric()},
        product=Product(name=product, writing=WritingRules(formats=tuple(formats), pen_labels=pen_labels)),
    )
