"""The job sheet: one page that says what was cut, how to lay it and what to look at first.

Terms: the *sheet* is a single HTML file without scripts or outside resources; a *look* is how one
fabric is shown in all pictures; a *step* is what is sewn between two times at which hands are needed.
"""

from piecewright.cutting.sheet.page import SHEET_NAME, write

__all__ = ["SHEET_NAME", "write"]
