"""The same stitches made by stitch-generator, a library that knows nothing of this project."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from stitch_generator.collection.stitch_effects.decorative_stitches import e_stitch
from stitch_generator.framework import Path
from stitch_generator.functions import constant
from stitch_generator.stitch_effects.path_effects import meander, satin, zigzag
from stitch_generator.stitch_effects.shape_effects import running_stitch
from stitch_generator.subdivision import add_start, alternate_direction, regular

if TYPE_CHECKING:
    from piecewright.cutting.geometry import FloatArray
    from tests.evaluation.lines import Line


def _path(line: Line, width: float, alignment: float = 0.5) -> Path:
    def shape(t: object) -> FloatArray:
        return line.at(np.atleast_1d(np.asarray(t, dtype=float)) * line.length)

    def direction(t: object) -> FloatArray:
        return line.normals(np.atleast_1d(np.asarray(t, dtype=float)) * line.length)

    return Path(shape, direction, constant(width), constant(alignment))


def run(line: Line, length: float) -> FloatArray:
    """A running stitch."""
    return np.asarray(running_stitch(length)(_path(line, 0.0)))


def zigzag_along(line: Line, width: float, spacing: float) -> FloatArray:
    """A zigzag across the line."""
    return np.asarray(zigzag(regular(spacing))(_path(line, width)))


def satin_along(line: Line, width: float, spacing: float, longest: float = 100.0) -> FloatArray:
    """A satin across the line; stitches over ``longest`` are broken by penetrations."""
    across = add_start(alternate_direction(regular(longest)))
    return np.asarray(satin(regular(spacing), across)(_path(line, width)))


def blanket_along(line: Line, bite: float, spacing: float, inward: float) -> FloatArray:
    """Bites to one side at each step along the line."""
    return np.asarray(e_stitch(spacing, bite, 3.0, 0.0 if inward > 0 else 180.0)(_path(line, 1.0)))


def meander_across(line: Line, width: float, spacing: float, length: float) -> FloatArray:
    """Rows to and fro over a band about a line."""
    return np.asarray(meander(regular(spacing), regular(length))(_path(line, width)))
