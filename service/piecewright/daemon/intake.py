"""The intake: what lies in the inbox, what of it may be claimed now, and why the rest waits."""

from __future__ import annotations

import contextlib
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final, NamedTuple

from piecewright.daemon.obstacles import obstacle
from piecewright.daemon.sweep import Lying, Settling, Sighting, sweep
from piecewright.daemon.turns import Turns

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator
    from pathlib import Path

    from piecewright.cutting.rules import Product
    from piecewright.daemon.rulebook import Rulebook

_REST: Final = 10
"""After a sweep the next one hinted at by events waits this many times as long as the sweep took: a copy
of thousands of files makes thousands of events, and no folder is worth more than a tenth of a core."""
_LEAST_REST_S: Final = 0.2
"""One sweep serves the handful of events that a single file makes."""


class Candidate(NamedTuple):
    """Entries that may be claimed as one job."""

    sightings: tuple[Sighting, ...]
    product: Product


@dataclass(slots=True, kw_only=True)
class Intake:
    """Sweeps the inbox and knows what is ripe.

    Attributes:
        inbox: The inbox.
        clock: Monotonic seconds.
        gathers: Whether trays wait for their orders to grow, as their products say.
        lying: What the last sweep found.
        waiting: Reasons of entries that have settled and stay, by path.
        last_sweep: Monotonic time of the last sweep.
    """

    inbox: Path
    clock: Callable[[], float]
    gathers: bool = True
    lying: Lying = field(default_factory=Lying.nothing)
    waiting: dict[str, str] = field(default_factory=dict)
    last_sweep: float | None = None
    _hinted: bool = True
    _rest_until: float = 0.0
    _turns: Turns = field(default_factory=Turns)
    _rulebook: Rulebook | None = None
    _not_before: dict[str, float] = field(default_factory=dict)

    def hint(self) -> None:
        """Something has happened in the inbox; may be called from other threads."""
        self._hinted = True

    def sweep_if_due(self, rulebook: Rulebook) -> bool:
        """Look through the inbox if it is time, or if there is a hint that something has changed.

        Raises:
            OSError: If the inbox is gone.
        """
        now = self.clock()
        if now < self.next_sweep(rulebook):
            return False
        self._hinted = False
        if rulebook is not self._rulebook:
            self._rulebook, self.waiting = rulebook, {}
            self.lying.unwanted.clear()
        trays = trays_of(rulebook)
        make_trays(self.inbox, trays)
        self.lying = sweep(self.inbox, trays, self.lying, now)
        for path in self.waiting.keys() - self.lying.settling.keys() - self.lying.unwanted:
            del self.waiting[path]
        for path in self._not_before.keys() - self.lying.settling.keys():
            del self._not_before[path]
        self.last_sweep = self.clock()
        self._rest_until = self.last_sweep + max(_LEAST_REST_S, _REST * (self.last_sweep - now))
        return True

    def next_sweep(self, rulebook: Rulebook) -> float:
        """Monotonic time of the next sweep."""
        if self.last_sweep is None:
            return 0.0
        regular = self.last_sweep + rulebook.inbox.sweep
        return min(regular, self._rest_until) if self._hinted else regular

    def next_ripe(self, rulebook: Rulebook) -> float | None:
        """Monotonic time at which the next entry will have settled; None if none is settling."""
        now = self.clock()
        times = (
            settled.since + quiet_for(settled.sighting, rulebook) for settled in self.lying.settling.values()
        )
        return min((time for time in times if time > now), default=None)

    def candidates(self, rulebook: Rulebook) -> Iterator[Candidate]:
        """What may be claimed now, the next first; asks each entry for obstacles only when it comes up."""
        now = self.clock()
        ripe = [
            settled
            for path, settled in self.lying.settling.items()
            if now - settled.since >= quiet_for(settled.sighting, rulebook)
            and now >= self._not_before.get(path, 0.0)
        ]
        orders: set[str] = set()
        for settled in self._turns.in_order(ripe):
            product = self._product_for(settled, rulebook)
            if product is None:
                continue
            if product.gather > 0 and settled.sighting.tray:
                if settled.sighting.tray not in orders:
                    orders.add(settled.sighting.tray)
                    yield from self._order(settled.sighting.tray, product, ripe)
            elif self._is_free(settled.sighting):
                yield Candidate((settled.sighting,), product)

    def claimed(self, candidate: Candidate) -> None:
        """These entries have left the inbox."""
        self._turns.claimed(candidate.sightings[0].tray)
        for sighting in candidate.sightings:
            self.lying.settling.pop(sighting.path, None)
            self.waiting.pop(sighting.path, None)
            self._not_before.pop(sighting.path, None)

    def stays(self, candidate: Candidate, reason: str, *, pause: float = 0.0) -> None:
        """These entries could not be claimed, and are no candidates for so many seconds."""
        for sighting in candidate.sightings:
            self.waiting[sighting.path] = reason
            self._not_before[sighting.path] = self.clock() + pause

    def _product_for(self, settled: Settling, rulebook: Rulebook) -> Product | None:
        sighting = settled.sighting
        product = rulebook.product_for(sighting.name, tray=sighting.tray)
        if product is None:
            self.lying.settling.pop(sighting.path, None)
            self.lying.unwanted.add(sighting.path)
            self.waiting[sighting.path] = "No product of the rules takes it; add one that matches its name."
        return product

    def _is_free(self, sighting: Sighting) -> bool:
        reason = obstacle(sighting)
        if reason:
            self.waiting[sighting.path] = reason
        else:
            self.waiting.pop(sighting.path, None)
        return not reason

    def _held_up(self, drops: list[Settling]) -> list[Settling]:
        """Those that an obstacle holds; every one is asked, so that each reason is known."""
        return [settled for settled in drops if not self._is_free(settled.sighting)]

    def _order(self, tray: str, product: Product, ripe: list[Settling]) -> Iterator[Candidate]:
        """All that a tray has gathered, once its time is over and nothing in it is under way any more."""
        mine = [settled for settled in ripe if settled.sighting.tray == tray]
        lying = [settled for settled in self.lying.settling.values() if settled.sighting.tray == tray]
        over = not self.gathers or self.clock() - min(settled.since for settled in mine) >= product.gather
        if not over:
            for settled in mine:
                self.waiting[settled.sighting.path] = "The tray still gathers its order."
            return
        if len(lying) == len(mine) and not self._held_up(mine):
            sightings = sorted((settled.sighting for settled in mine), key=lambda s: s.name)
            yield Candidate(tuple(sightings), product)


def trays_of(rulebook: Rulebook) -> tuple[str, ...]:
    """The standing folders of the inbox."""
    return tuple(dict.fromkeys(product.tray for product in rulebook.products if product.tray))


def make_trays(inbox: Path, trays: Iterable[str]) -> None:
    """Make those standing folders that are missing and can be made; the sweep tells which cannot."""
    for tray in trays:
        with contextlib.suppress(OSError):
            (inbox / tray).mkdir(exist_ok=True)


def quiet_for(sighting: Sighting, rulebook: Rulebook) -> float:
    """How long an entry must stay the same: folders and shares show changes late and in pieces."""
    rules = rulebook.inbox
    slow = rules.share or sighting.signature.kind == "folder"
    return rules.settle_slow if slow else rules.settle
