"""Stage 2, passes: the runs of each block, told apart by how they are stitched.

Terms: a *run* is the stitches of a block between two cuts or travels of the thread; a *pass* is a
run, or some runs of a block, with its role; roles are given by the next stage (pieces), which
sees how passes repeat each other across halts.
"""

from piecewright.cutting.passes.stage import find_runs
from piecewright.cutting.passes.trace import SEWN_TRAVEL_MM
from piecewright.cutting.passes.traits import ACROSS, AREAS, COVERING, FIRM, LINES, PLACING, TRAITS
from piecewright.cutting.passes.values import Pass, Role, Run, Stitch

__all__ = [
    "ACROSS",
    "AREAS",
    "COVERING",
    "FIRM",
    "LINES",
    "PLACING",
    "SEWN_TRAVEL_MM",
    "TRAITS",
    "Pass",
    "Role",
    "Run",
    "Stitch",
    "find_runs",
]
