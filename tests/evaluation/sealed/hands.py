"""Hands: the habits by which somebody digitizes, drawn anew for every design."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    import numpy as np

    from tests.evaluation.sealed.curves import Division
    from tests.evaluation.sealed.threads import Lock

Half = Literal["open", "sealed"]
Begin = Literal["corner", "top", "left", "anywhere"]

LOCKS: dict[Half, tuple[Lock, ...]] = {
    "open": ("none", "dots", "back", "cross"),
    "sealed": ("none", "dots", "star", "long", "back"),
}
FORMATS: dict[Half, tuple[str, ...]] = {
    "open": ("DST", "PES", "JEF", "VP3", "EXP", "DST", "PES", "XXX"),
    "sealed": ("PES", "DST", "JEF", "EXP", "VP3", "U01", "PEC", "TBF", "DST", "PES"),
}


@dataclass(frozen=True)
class Hand:
    """The habits of one design.

    Attributes:
        stitch: Length of a running stitch, mm.
        division: How a length is broken into stitches.
        lock: How ends are secured.
        lock_mm: Size of the lock.
        begin: Where a closed line begins.
        lap: How far a line runs on past its beginning, mm; less than 0 leaves a gap.
        clockwise: Which way round.
        noise: Scatter of the needle points, mm.
        satin: Width of a satin, mm.
        dense: Distance of its points on one side, mm.
        inside: Share of a cover's width that lies inside the placement line.
        cuts: Whether the thread is cut on the way to the next object, or only carried.
        form: The file's format.
    """

    stitch: float
    division: Division
    lock: Lock
    lock_mm: float
    begin: Begin
    lap: float
    clockwise: bool
    noise: float
    satin: float
    dense: float
    inside: float
    cuts: bool
    form: str


def hand(rng: np.random.Generator, half: Half, number: int) -> Hand:
    """Somebody's habits; formats go round with the number of the design."""
    forms = FORMATS[half]
    return Hand(
        stitch=float(rng.uniform(1.2, 2.2) if rng.random() < 0.3 else rng.uniform(2.0, 4.5)),
        division=("even", "march", "chord")[rng.choice(3, p=(0.5, 0.2, 0.3))],
        lock=LOCKS[half][rng.integers(len(LOCKS[half]))],
        lock_mm=float(rng.uniform(0.3, 0.9)),
        begin=("corner", "top", "left", "anywhere")[rng.integers(4)],
        lap=float(rng.choice([0.0, 0.0, rng.uniform(1, 8), rng.uniform(-3, -0.5)])),
        clockwise=bool(rng.random() < 0.5),
        noise=float(rng.choice([0.0, 0.0, 0.05])),
        satin=float(rng.uniform(2.2, 5.0)),
        dense=float(rng.uniform(0.34, 0.6)),
        inside=float(rng.uniform(0.4, 0.75)),
        cuts=bool(rng.random() < 0.75),
        form=forms[number % len(forms)],
    )
