"""The values that geometry works on: arrays that cannot be changed, and parts of the plane."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

FloatArray: TypeAlias = npt.NDArray[np.float64]
BoolArray: TypeAlias = npt.NDArray[np.bool_]
IntArray: TypeAlias = npt.NDArray[np.int64]


def frozen(values: npt.ArrayLike) -> FloatArray:
    """A read-only copy of numbers, whatever their shape."""
    array = np.array(values, dtype=np.float64)
    array.setflags(write=False)
    return array


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, weakref_slot=True)
class Region:
    """A part of the plane: one ring, less its holes.

    Attributes:
        exterior: (n, 2) mm, read-only.
        holes: Rings (n, 2) mm, read-only, inside the exterior.
    """

    exterior: FloatArray
    holes: tuple[FloatArray, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CurvedRegion:
    """A part of the plane bounded by curves, as a blade follows them.

    Attributes:
        exterior: (m, 4, 2) mm, read-only: start, two control points, end of each cubic.
        holes: The same for each hole.
    """

    exterior: FloatArray
    holes: tuple[FloatArray, ...] = ()
