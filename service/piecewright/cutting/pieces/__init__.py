"""Stage 3, pieces: what each pass is for, and the regions to be cut from fabric.

Terms: a *placement line* shows where a piece goes; the *tack-down* holds it; the *cover* hides its
raw edge; a *base layer* is batting, backing or ground cloth placed and tacked for the whole hoop.
"""

from piecewright.cutting.pieces.stage import find_pieces
from piecewright.cutting.pieces.values import Piece, Understanding

__all__ = ["Piece", "Understanding", "find_pieces"]
