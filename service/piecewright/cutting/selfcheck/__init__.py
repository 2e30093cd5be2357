"""Stage 7, the self-check: the files about to leave are read back and compared with the layout.

Terms: a *line* is one closed curve of a file, a piece's outline or a hole; a file *says* the layout if
its lines, in their order, lie where the layout has them, as large and as many.

The readers know nothing of the writers, so a fault of one does not hide in the other.
"""

from piecewright.cutting.selfcheck.lines import AGREE_MM
from piecewright.cutting.selfcheck.stage import check

__all__ = ["AGREE_MM", "check"]
