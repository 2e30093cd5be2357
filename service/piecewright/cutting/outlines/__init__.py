"""Stage 4, cut outlines: the closed curve that the blade follows around each piece.

Terms: the *offset* is how far the cut outline lies outside (+) or inside (-) the line it follows;
a *twin* is a piece congruent to another, turned or turned over; the *reach* is how far fabric lies
beyond the tack-down; the *cover over the edge* is how far stitches of the cover lie beyond it.
"""

from piecewright.cutting.outlines.stage import cut_outlines
from piecewright.cutting.outlines.values import CutOutline, EdgeCheck, Outlines, Twin

__all__ = ["CutOutline", "EdgeCheck", "Outlines", "Twin", "cut_outlines"]
