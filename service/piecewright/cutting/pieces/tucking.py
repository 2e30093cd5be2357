"""Open lines of pieces that are tucked under a later one: ears under a head, stalks under a flower.

Their designer leaves out what nobody will see. Terms: the *front* is the later line that goes round both
ends of an open line; there the line is closed straight, as the cloth reaches under the front.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.geometry import Region, distances_to_edge
from piecewright.cutting.pieces.boxes import box_of
from piecewright.cutting.pieces.chains import Gap
from piecewright.cutting.pieces.paths import SHORTEST_LOOP_MM

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.geometry import FloatArray
    from piecewright.cutting.pieces.chains import Chain
    from piecewright.cutting.pieces.rings import Ring

SHORT_OF_MM: Final = 3.5
"""An open line may end this far short of its front: the front's cover hides the rest."""

LEAST_SEWN: Final = 1.0
"""An open line shorter than its gap is no outline of a piece."""

MOST_INSIDE: Final = 0.5
"""An open line of which more lies inside another line is drawn on that, not tucked under it."""

MOST_ALONG: Final = 0.8
"""An open line that runs along another nearly all its way is held or covered by it ..."""

ALONG_MM: Final = 3.5
"""... if it lies as near as what holds or covers a piece."""

MOST_FRONTS: Final = 400
"""Later lines looked at for each open line; a design with more of them is no layered picture."""


def tucked_under(chain: Chain, block: int, fronts: Sequence[Ring]) -> Chain | None:
    """The open line closed straight under a later line that goes round both its ends; None without one.

    Args:
        chain: The line.
        block: In which it is sewn.
        fronts: Closed lines of the design.
    """
    gap = Gap(start=_point(chain, -1), end=_point(chain, 0), hidden=True)
    if chain.sewn_mm < max(LEAST_SEWN * gap.width_mm, SHORTEST_LOOP_MM):
        return None
    if not _is_hidden(gap, chain.path, block, fronts):
        return None
    return replace(chain, path=np.vstack([chain.path, gap.straight()]), gaps=(*chain.gaps, gap))


def with_hidden_gaps(ring: Ring, fronts: Sequence[Ring]) -> Ring:
    """The ring, of whose gaps it is known which lie under a later line that goes round them."""
    gaps = tuple(
        replace(gap, hidden=True) if _is_hidden(gap, ring.points, ring.block, fronts) else gap
        for gap in ring.gaps
    )
    return replace(ring, gaps=gaps) if gaps != ring.gaps else ring


def _is_hidden(gap: Gap, path: FloatArray, block: int, fronts: Sequence[Ring]) -> bool:
    across = np.vstack([gap.start, gap.straight(), gap.end])
    box = box_of(across)
    later = [front for front in fronts if front.block > block and front.box.holds(box, SHORT_OF_MM)]
    return any(_hides(front, across, path) for front in later[:MOST_FRONTS])


def _hides(front: Ring, across: FloatArray, path: FloatArray) -> bool:
    """Whether a line goes round a gap, but not round the line that has it, nor along it."""
    region = Region(exterior=front.points)
    if distances_to_edge(region, across).min() < -SHORT_OF_MM:
        return False
    inside = distances_to_edge(region, path)
    along = np.abs(inside) <= ALONG_MM
    return bool((inside > 0).mean() < MOST_INSIDE and along.mean() < MOST_ALONG)


def _point(chain: Chain, index: int) -> tuple[float, float]:
    x, y = chain.path[index].tolist()
    return (x, y)
