"""Mats as DXF: closed polylines with arcs, one layer for each fabric.

Terms: a *bulge* is how DXF says that an edge of a polyline is an arc: the tangent of a quarter of
the angle that the arc sweeps, positive if it turns left (y up).

Splines would carry the curves as they are, but many programs read them as loose or open lines. An
arc polyline is one closed line everywhere; arcs meet without kinks and stray by less than a cutter
can tell.
"""

from piecewright.cutting.formats.dxf.reader import read_back
from piecewright.cutting.formats.dxf.writer import load_library, write

__all__ = ["load_library", "read_back", "write"]
