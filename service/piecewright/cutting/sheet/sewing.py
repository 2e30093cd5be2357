"""The sewing order in plain words, halt by halt.

Terms: a *step* is what the machine sews before it halts, and what the sewer's hands do at the halt;
blocks in a row that say the same and ask nothing of the hands but a new thread make one step.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING, Final

from piecewright.cutting.sheet import words

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from piecewright.cutting.design import Block, Design, Thread
    from piecewright.cutting.report import PassEntry, PieceEntry, Report
    from piecewright.cutting.rules import JobRules
    from piecewright.cutting.sheet.matpicture import Look

_HOLDING: Final = frozenset({"tack-down", "underlay", "cover"})
"""Roles whose stitches need the piece to lie there already."""

_STITCH_NAMES: Final = {
    "single run": "a single run",
    "double run": "a double run",
    "bean": "bean stitch",
    "satin": "satin stitch",
    "blanket": "blanket stitch",
    "motif": "a motif stitch",
    "meander": "a meander over the whole piece",
    "unclear": "",
}
_HEX: Final = re.compile(r"#[0-9a-fA-F]{6}")
_MOST_FABRICS_NAMED: Final = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """What is sewn between two times at which hands are needed.

    Attributes:
        title: Which blocks it is.
        thread: Name of the thread, "" if the file does not say or there are several.
        colour: ``#rrggbb`` or "".
        sews: Sentences on what the machine sews.
        halt: When the hands are needed, "" if they are not.
        hands: Sentences on what they do.
    """

    title: str
    thread: str
    colour: str
    sews: tuple[str, ...]
    halt: str
    hands: tuple[str, ...]


def steps(
    design: Design, number: int, report: Report, looks: Mapping[str, Look], rules: JobRules
) -> list[Step]:
    """The sewing order of one design.

    Args:
        design: Its blocks and threads.
        number: Which of the report's designs it is, from 1.
        report: Passes and pieces.
        looks: Names of the fabrics that are cut.
        rules: For the shop's unit and what it cuts.
    """
    passes = [one for one in report.passes if one.design == number]
    pieces = [piece for piece in report.pieces if piece.design == number]
    lay_after = _halts_for_laying(passes, pieces)
    blocks = [block for block in design.blocks if len(block.points)]
    sewn = [tuple(_sews([p for p in passes if p.block == b.number], rules)) for b in blocks]
    told = zip(blocks, sewn, strict=True)
    made = []
    for _, group in groupby(told, key=lambda one: (one[0].number,) if one[0].number in lay_after else one[1]):
        members = list(group)
        laid = lay_after.get(members[0][0].number, [])
        hands = tuple(_lay(piece, _fabric_words(piece, report, looks), rules) for piece in laid)
        made.append(_step([block for block, _ in members], members[0][1], laid, passes, hands))
    return made


def thread_name(thread: Thread) -> str:
    """What to call a thread: its own name, or its colour in a word or two."""
    return thread.name or words.colour_name(thread.colour or "") or thread.catalog or ""


def _step(
    blocks: Sequence[Block],
    sews: tuple[str, ...],
    laid: Sequence[PieceEntry],
    passes: Sequence[PassEntry],
    hands: tuple[str, ...],
) -> Step:
    first, last = blocks[0], blocks[-1]
    same = all(block.thread == first.thread for block in blocks)
    colour = first.thread.colour or ""
    return Step(
        title=f"Block {first.number}" if first is last else f"Blocks {first.number} to {last.number}",
        thread=thread_name(first.thread) if same else "several threads",
        colour=colour if same and _HEX.fullmatch(colour) else "",
        sews=sews,
        halt=_halt(laid, passes),
        hands=hands,
    )


def _halt(laid: Sequence[PieceEntry], passes: Sequence[PassEntry]) -> str:
    if not laid:
        return ""
    if any(_is_held_without_a_halt(piece, passes) for piece in laid):
        return "Stop the machine by hand when the placement line is sewn:"
    return "When the machine stops:"


def _is_held_without_a_halt(piece: PieceEntry, passes: Sequence[PassEntry]) -> bool:
    return any(piece.id in p.piece and p.role in _HOLDING and p.block == piece.block for p in passes)


def _halts_for_laying(
    passes: Sequence[PassEntry], pieces: Sequence[PieceEntry]
) -> dict[int, list[PieceEntry]]:
    """After which block each piece is laid: at the last halt before anything holds or covers it."""
    after: dict[int, list[PieceEntry]] = {}
    for piece in pieces:
        holding = [p.block for p in passes if piece.id in p.piece and p.role in _HOLDING]
        block = max(piece.block, min(holding) - 1) if holding else piece.block
        after.setdefault(block, []).append(piece)
    return after


def _sews(passes: Sequence[PassEntry], rules: JobRules) -> Iterable[str]:
    """What one block sews; passes of the same kind are told in one sentence."""
    for (role, stitch), group in groupby(passes, key=lambda p: (p.role, p.stitch)):
        members = list(group)
        ids = list(dict.fromkeys(i for p in members for i in p.piece))
        width = max(p.width_mm for p in members)
        yield _sentence(role, _stitch_words(stitch, width, rules), ids)


def _stitch_words(stitch: str, width_mm: float, rules: JobRules) -> str:
    name = _STITCH_NAMES.get(stitch, stitch)
    wide = f"{words.length(width_mm, rules.show)} wide" if width_mm > 0 and stitch != "meander" else ""
    text = ", ".join(part for part in (name, wide) if part)
    return f" ({text})" if text else ""


def _sentence(role: str, stitch: str, ids: Sequence[str]) -> str:
    of = f" of {words.listing(ids)}" if ids else ""
    says = {
        "placement": f"Placement line{of}{stitch}: it shows where the fabric goes.",
        "tack-down": f"Tack-down{of}{stitch}: it holds the fabric.",
        "cover": f"Cover over the raw edge{of}{stitch}.",
        "underlay": f"Underlay below the cover{of}.",
        "fill": "Filled areas.",
        "quilting": "Quilting through all layers.",
    }
    return says.get(role, "Lines and details.")


def _fabric_words(piece: PieceEntry, report: Report, looks: Mapping[str, Look]) -> str:
    """The fabrics of a piece's copies, in brackets; "" if they are too many to name."""
    keys = dict.fromkeys(laid.fabric for mat in report.mats for laid in mat.laid if laid.piece == piece.id)
    labels = [looks[key].label for key in keys]
    if not labels or len(labels) > _MOST_FABRICS_NAMED:
        return ""
    *head, last = labels
    return f" ({', '.join(head)} or {last})" if head else f" ({last})"


def _lay(piece: PieceEntry, fabric: str, rules: JobRules) -> str:
    if piece.cut is None or not piece.copies:
        return _lay_uncut(piece, rules)
    same = ""
    if piece.twin_of and piece.twin:
        how = words.turn(piece.twin.turned_deg, over=piece.twin.mirrored)
        same = f", a twin of {piece.twin_of}{f' {how}' if how else ''}"
    what = "base layer" if piece.kind == "base" else "piece"
    side = "" if piece.kind == "base" else " right side up"
    return f"Lay {what} {piece.id}{fabric}{same},{side} {_edge_words(piece.offset_mm or 0.0, rules)}."


def _edge_words(offset_mm: float, rules: JobRules) -> str:
    if not offset_mm:
        return "so that its edge meets the sewn line all round"
    beyond = words.length(abs(offset_mm), rules.show)
    return (
        f"so that its edge lies {beyond} {'outside' if offset_mm > 0 else 'inside'} the sewn line all round"
    )


def _lay_uncut(piece: PieceEntry, rules: JobRules) -> str:
    by_hand = "fabric well over the line, and trim it close to the stitches after the tack-down"
    if piece.kind == "base":
        return f"Base layer {piece.id} was not cut beforehand: lay {by_hand}."
    if piece.confidence < rules.product.passes.confidence:
        return f"{piece.id} may be a piece, and was not cut. If it is one, lay {by_hand}."
    return f"Piece {piece.id} was not cut beforehand: lay {by_hand}."
