"""Paper templates at 100 % for those who cut by hand.

Terms: a *template* is one piece on paper, its cut line solid, its sewing line dashed; a *cell* is the
room that a template takes with its caption; a template larger than the paper is printed on *tiles*,
sheets that overlap and are joined at numbered crosses; a *window* is the part of a template that one
tile shows.
"""

from piecewright.cutting.formats.pdf.canvas import load_library
from piecewright.cutting.formats.pdf.reader import Shown, read_back
from piecewright.cutting.formats.pdf.values import Paper, Template, templates_of
from piecewright.cutting.formats.pdf.writer import write

__all__ = ["Paper", "Shown", "Template", "load_library", "read_back", "templates_of", "write"]
