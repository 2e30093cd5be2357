"""Dealing: which copies of which piece are cut from which fabric."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Final

from piecewright.cutting.mats.values import Demand

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from piecewright.cutting.mats.values import Order
    from piecewright.cutting.outlines import CutOutline
    from piecewright.cutting.rules import DealingRules

BASE_LAYER: Final = "base layer"
"""Name of the fabric of base layers where the rules give none: batting never shares a sheet with fabric."""


def deal(orders: Sequence[Order], rules: DealingRules) -> tuple[Demand, ...]:
    """Say which copies of which piece are cut from which fabric.

    The nearest rule wins: the piece's letter, then the block of its placement line, then its thread,
    then the fabrics dealt over the copies in turn. A base layer takes the base fabric unless its letter
    is named.

    A twin keeps its own id and its place in the design, so that each piece can be traced; its outline is
    already that of the piece it equals, turned or turned over, so that the two are cut alike.

    Args:
        orders: The designs of the job.
        rules: Copies and fabrics.

    Returns:
        Pieces in the order of the designs, fabrics in the order in which they are first dealt.
    """
    return tuple(demand for order in orders for demand in _deal_design(order, rules))


def _deal_design(order: Order, rules: DealingRules) -> Iterator[Demand]:
    """The demands of one design; dealing in turn begins anew with each, so that its copies are alike."""
    copies = rules.copies * order.copies
    for outline in order.outlines:
        for fabric, count in Counter(_fabrics(outline, order, rules, copies)).items():
            base = outline.piece.kind == "base"
            yield Demand(
                piece=outline.piece.id,
                design=order.design,
                outline=outline.curve,
                fabric=fabric,
                copies=count,
                face_down=rules.fusible_back and not base,
                base=base,
            )


def _fabrics(outline: CutOutline, order: Order, rules: DealingRules, copies: int) -> Iterable[str]:
    """The fabric of each copy of one piece."""
    piece = outline.piece
    named = rules.by_piece.get(piece.id, rules.by_piece.get(piece.letter))
    if named is None and piece.kind == "base":
        named = rules.base_fabric or BASE_LAYER
    if named is None:
        named = rules.by_block.get(order.blocks.get(piece.id, 0))
    if named is None:
        named = _by_thread(order.threads.get(piece.id, ()), rules)
    if named is not None:
        return [named] * copies
    turns = rules.fabrics or ("",)
    return [turns[copy % len(turns)] for copy in range(copies)]


def _by_thread(thread: tuple[str, ...], rules: DealingRules) -> str | None:
    """The fabric that the rules give a thread.

    Where fabrics go by thread and a thread is not listed, its own name keeps its pieces apart from
    others, unless there are fabrics to deal in turn.
    """
    listed = {_plain(key): fabric for key, fabric in rules.by_thread.items()}
    for word in thread:
        if _plain(word) in listed:
            return listed[_plain(word)]
    if rules.by_thread and not rules.fabrics and thread:
        return thread[-1]
    return None


def _plain(word: str) -> str:
    """A colour or name without what people write differently."""
    return " ".join(word.casefold().removeprefix("#").split())
