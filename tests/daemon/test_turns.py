"""Whose turn it is."""

from __future__ import annotations

import stat

from piecewright.daemon.sweep import Settling, Sighting, Signature
from piecewright.daemon.turns import Turns


def _drop(name: str, *, tray: str = "", size: int = 1, since: float = 0.0) -> Settling:
    signature = Signature(stat.S_IFREG, size, 1, name)
    return Settling(Sighting(name, tray, f"{tray}/{name}", signature, ""), since)


def _served(turns: Turns, waiting: list[Settling], count: int) -> list[str]:
    served = []
    for _ in range(count):
        drop = turns.in_order(waiting)[0]
        turns.claimed(drop.sighting.tray)
        waiting.remove(drop)
        served.append(drop.sighting.name)
    return served


def test_a_tray_with_few_drops_is_not_stuck_behind_one_with_many() -> None:
    waiting = [_drop(f"many-{n}", tray="a") for n in range(100)] + [
        _drop("few-1", tray="b"),
        _drop("few-2", tray="b"),
    ]
    served = _served(Turns(), waiting, 4)
    assert [name[:3] for name in served] == ["man", "few", "man", "few"]


def test_small_drops_are_not_stuck_behind_big_ones_nor_old_ones_behind_small_ones() -> None:
    waiting = [_drop(f"big-{n}", size=1000, since=n) for n in range(5)]
    waiting += [_drop(f"small-{n}", size=1, since=10.0 + n) for n in range(5)]
    assert _served(Turns(), waiting, 6) == ["big-0", "small-0", "big-1", "small-1", "big-2", "small-2"]


def test_every_drop_has_its_turn_exactly_once() -> None:
    waiting = [_drop(f"{n}", tray="ab"[n % 2], size=n % 5, since=n % 7) for n in range(40)]
    ordered = [drop.sighting.name for drop in Turns().in_order(waiting)]
    assert sorted(ordered) == sorted(str(n) for n in range(40))
