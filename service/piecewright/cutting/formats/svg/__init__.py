"""Mats as SVG: what is cut, and piece letters for a pen in a file of their own.

Terms: a *user unit* is the unit of the numbers in the file; the viewBox makes it one millimetre.
Width and height are given in mm, so that a program that reads units and one that counts 96 px to
the inch both show the mat at its true size.
"""

from piecewright.cutting.formats.svg.cuts import write
from piecewright.cutting.formats.svg.pen import write_pen
from piecewright.cutting.formats.svg.reader import read_back, read_pen

__all__ = ["read_back", "read_pen", "write", "write_pen"]
