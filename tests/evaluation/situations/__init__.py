"""The situations: ways in which designs are made, each a function that sews one design."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.evaluation.situations.edges import EDGES
from tests.evaluation.situations.hard import HARD
from tests.evaluation.situations.layers import LAYERS
from tests.evaluation.situations.lines import LINES
from tests.evaluation.situations.mixtures import MIXTURES
from tests.evaluation.situations.more_negatives import MORE_NEGATIVES
from tests.evaluation.situations.narrow import NARROW
from tests.evaluation.situations.negatives import NEGATIVES
from tests.evaluation.situations.odd import ODD
from tests.evaluation.situations.only_scored import ONLY_SCORED
from tests.evaluation.situations.ornaments import ORNAMENTS
from tests.evaluation.situations.plain import PLAIN
from tests.evaluation.situations.rare_stitches import RARE_STITCHES
from tests.evaluation.situations.redrawn import REDRAWN
from tests.evaluation.situations.shared_borders import SHARED_BORDERS
from tests.evaluation.situations.trade import TRADE

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from tests.evaluation.studio import Studio

SCORED_ONLY: frozenset[str] = frozenset(function.__name__.replace("_", "-") for function in ONLY_SCORED)
"""Names of the situations that the development part does not have."""

# New situations go to the end: a situation's place decides on authors and formats of its designs.

SITUATIONS: Mapping[str, Callable[[Studio], None]] = {
    function.__name__.replace("_", "-"): function
    for function in (
        *PLAIN,
        *LINES,
        *EDGES,
        *LAYERS,
        *HARD,
        *NEGATIVES,
        *MORE_NEGATIVES,
        *MIXTURES,
        *ODD,
        *ONLY_SCORED,
        *ORNAMENTS,
        *TRADE,
        *REDRAWN,
        *SHARED_BORDERS,
        *NARROW,
        *RARE_STITCHES,
    )
}
