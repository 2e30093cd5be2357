"""Stage 5, mats: copies dealt over fabrics and laid on the cutter's mats.

Terms: a *mat* is the cutter's carrier sheet; its *bed* is the part that may be cut on; a *laid piece*
is a piece with its position on a mat; a *patch* is a rough-cut rectangle of fabric that carries one
piece; *dealing* says which copies are cut from which fabric; the *gap* is the least distance between
cut outlines; *face down* is cut mirrored, because the back of the fabric lies up on the mat.

Positions are in mm from the mat's upper left corner, y down. The grain of the fabric runs along y, a
bolt's width along x, so that a layout that is short along y takes little of the bolt.
"""

from piecewright.cutting.mats.dealing import deal
from piecewright.cutting.mats.laying import lay
from piecewright.cutting.mats.needs import fabric_needs
from piecewright.cutting.mats.values import Demand, FabricNeed, LaidPiece, Layout, MatLayout, Order

__all__ = ["Demand", "FabricNeed", "LaidPiece", "Layout", "MatLayout", "Order", "deal", "fabric_needs", "lay"]
