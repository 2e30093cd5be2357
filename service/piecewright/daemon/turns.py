"""Whose turn it is: fair between trays, and small drops not stuck behind big ones.

Terms: *ripe* drops have settled and nothing keeps them from being claimed.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from piecewright.daemon.sweep import Settling


@dataclass(slots=True)
class Turns:
    """Trays take turns; within a tray the oldest and the smallest drop take turns."""

    _served: dict[str, int] = field(default_factory=dict)
    _count: int = 0

    def in_order(self, ripe: Sequence[Settling]) -> list[Settling]:
        """All ripe drops, the next to be claimed first."""
        by_tray: dict[str, list[Settling]] = {}
        for settled in ripe:
            by_tray.setdefault(settled.sighting.tray, []).append(settled)
        trays = sorted(by_tray, key=lambda tray: (self._served.get(tray, -1), tray))
        queues = {tray: self._alternate(by_tray[tray]) for tray in trays}
        return _round_robin(queues)

    def claimed(self, tray: str) -> None:
        """A drop of this tray was claimed; the others come first now."""
        self._count += 1
        self._served[tray] = self._count

    def _alternate(self, drops: Sequence[Settling]) -> list[Settling]:
        """Oldest, smallest, oldest, smallest ...; which of the two begins changes with each claim."""
        oldest = sorted(drops, key=lambda s: (s.since, s.sighting.path))
        smallest = sorted(drops, key=lambda s: (s.sighting.signature.size, s.since, s.sighting.path))
        first, second = (oldest, smallest) if self._count % 2 == 0 else (smallest, oldest)
        mixed = [drop for pair in zip(first, second, strict=True) for drop in pair]
        return list({drop.sighting.path: drop for drop in mixed}.values())


def _round_robin(queues: Mapping[str, list[Settling]]) -> list[Settling]:
    longest = max((len(queue) for queue in queues.values()), default=0)
    return [queue[place] for place in range(longest) for queue in queues.values() if place < len(queue)]
