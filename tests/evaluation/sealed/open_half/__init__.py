"""The open half: situations that may be looked at and worked on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.evaluation.sealed.open_half.coloured_drawings import COLOURED_DRAWINGS
from tests.evaluation.sealed.open_half.drawings import DRAWINGS
from tests.evaluation.sealed.open_half.exports import EXPORTS
from tests.evaluation.sealed.open_half.letters import LETTERS
from tests.evaluation.sealed.open_half.more_drawings import MORE_DRAWINGS
from tests.evaluation.sealed.open_half.pictures import PICTURES_SEWN
from tests.evaluation.sealed.open_half.projects import PROJECTS
from tests.evaluation.sealed.open_half.samplers import SAMPLERS
from tests.evaluation.sealed.open_half.still_more_drawings import STILL_MORE_DRAWINGS
from tests.evaluation.sealed.open_half.trade import TRADE

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from tests.evaluation.sealed.bench import Bench

SITUATIONS: Mapping[str, Callable[[Bench], None]] = {
    one.__name__.replace("_", "-"): one
    for one in (
        *LETTERS,
        *PICTURES_SEWN,
        *PROJECTS,
        *EXPORTS,
        *DRAWINGS,
        *TRADE,
        *MORE_DRAWINGS,
        *SAMPLERS,
        *STILL_MORE_DRAWINGS,
        *COLOURED_DRAWINGS,
    )
}
