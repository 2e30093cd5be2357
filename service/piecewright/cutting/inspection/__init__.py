"""A design looked at before anything is cut: what each block sews, which pieces were seen, and why.

Terms: a *row* is what one block sews for one purpose; the *picture* is a page with the whole design, its
pieces lettered, and a *panel* for each block in sewing order; a *look* is the line style by which a role
is told apart, in print and by colour-blind eyes too.
"""

from piecewright.cutting.inspection.rows import Row, table
from piecewright.cutting.inspection.stage import Inspection, inspect

__all__ = ["Inspection", "Row", "inspect", "table"]
