"""The sewing order in plain words, halt by halt.

Terms: a *step* is what the machine sews before it halts, and what the sewer's hands do at the halt;
blocks in a row that ask nothing of the hands but a new thread make one step.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING, Final

from piecewright.cutting.sheet import words
from piecewright.cutting.sheet.cuttinglist import shape_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from piecewright.cutting.design import Design, Thread
    from piecewright.cutting.report import PassEntry, PieceEntry, Report
    from piecewright.cutting.rules import JobRules

_LINE_STITCHES: Final = {"single run": "a single run", "double run": "a double run", "bean": "a bean stitch"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """What is sewn between two times at which hands are needed.

    Attributes:
        first: Number of the first block.
        last: Number of the last block.
        thread: Name of the thread, "" if the file does not say or there are several.
        colour: ``#rrggbb`` or "".
        sews: Sentences on what the machine sews.
        hands: Sentences on what to do when it halts, before the next block.
    """

    first: int
    last: int
    thread: str
    colour: str
    sews: tuple[str, ...]
    hands: tuple[str, ...]


def steps(design: Design, number: int, report: Report, rules: JobRules) -> tuple[Step, ...]:
    """The sewing order of one design.

    Args:
        design: Its blocks and threads.
        number: Which of the report's designs it is, from 1.
        report: Passes and pieces.
        rules: For the shop's unit and the fabrics.
    """
    passes = [one for one in report.passes if one.design == number]
    pieces = [piece for piece in report.pieces if piece.design == number]
    lay_after = _halts_for_laying(passes, pieces)
    made = [
        Step(
            first=block.number,
            last=block.number,
            thread=thread_name(block.thread),
            colour=block.thread.colour or "",
            sews=tuple(_sews([p for p in passes if p.block == block.number], pieces, rules)),
            hands=tuple(_lay(piece, rules) for piece in lay_after.get(block.number, ())),
        )
        for block in design.blocks
        if len(block.points)
    ]
    return tuple(_merged(made))


def thread_name(thread: Thread) -> str:
    """What to call a thread: its own name, or its colour in a word or two."""
    return thread.name or words.colour_name(thread.colour or "") or (thread.catalog or "")


def _halts_for_laying(
    passes: Sequence[PassEntry], pieces: Sequence[PieceEntry]
) -> dict[int, list[PieceEntry]]:
    """After which block each piece is laid: the last halt before anything holds or covers it."""
    after: dict[int, list[PieceEntry]] = {}
    for piece in pieces:
        holding = [
            p.block
            for p in passes
            if piece.id in p.piece and p.role in {"tack-down", "cover", "underlay"} and p.block > piece.block
        ]
        after.setdefault(min(holding) - 1 if holding else piece.block, []).append(piece)
    return after


def _sews(passes: Sequence[PassEntry], pieces: Sequence[PieceEntry], rules: JobRules) -> Iterable[str]:
    known = {piece.id: piece for piece in pieces}
    for (role, stitch), group in groupby(passes, key=lambda p: (p.role, p.stitch)):
        members = list(group)
        ids = [i for i in dict.fromkeys(i for p in members for i in p.piece) if i in known]
        width = max(p.width_mm for p in members)
        yield _sentence(role, _stitch_words(stitch, width, rules), ids)


def _stitch_words(stitch: str, width_mm: float, rules: JobRules) -> str:
    if stitch in _LINE_STITCHES:
        return _LINE_STITCHES[stitch]
    name = {"unclear": "stitches", "satin": "satin stitch", "blanket": "blanket stitch"}.get(stitch, stitch)
    return f"{name}, {words.length(width_mm, rules.show)} wide" if width_mm > 0 else name


def _sentence(role: str, stitch: str, ids: Sequence[str]) -> str:
    of = f" of {words.listing(ids)}" if ids else ""
    says = {
        "placement": f"Placement line{of} ({stitch}): it shows where the fabric goes.",
        "tack-down": f"Tack-down{of} ({stitch}): it holds the fabric.",
        "cover": f"Cover over the raw edge{of} ({stitch}).",
        "underlay": f"Underlay below the cover{of}.",
        "fill": "Filled areas.",
        "quilting": "Quilting.",
    }
    return says.get(role, "Other stitching.")


def _lay(piece: PieceEntry, rules: JobRules) -> str:
    if piece.cut is None:
        return (
            f"Lay fabric for {piece.id} well over its placement line: this piece was not cut beforehand. "
            "After the tack-down, trim it close to the stitches."
        )
    twin = ""
    if shape_of(piece) != piece.id and piece.twin:
        how = words.turn(piece.twin.turned_deg, over=piece.twin.mirrored)
        twin = f" (cut as {piece.twin_of}{', ' + how if how else ''})"
    offset = piece.offset_mm or 0.0
    beyond = words.length(abs(offset), rules.show)
    edge = (
        "so that its edge meets the sewn line all round"
        if not offset
        else f"so that its edge lies {beyond} {'outside' if offset > 0 else 'inside'} the sewn line all round"
    )
    side = "" if piece.kind == "base" else " right side up"
    return f"Lay piece {piece.id}{twin}{side}, {edge}."


def _merged(made: Sequence[Step]) -> Iterable[Step]:
    """Steps in a row that say the same and need no hands are told as one."""
    for _, group in groupby(made, key=lambda s: (s.sews if not s.hands else s.first, bool(s.hands))):
        members = list(group)
        head, tail = members[0], members[-1]
        same = all(s.thread == head.thread and s.colour == head.colour for s in members)
        yield Step(
            first=head.first,
            last=tail.last,
            thread=head.thread if same else "",
            colour=head.colour if same else "",
            sews=head.sews,
            hands=head.hands,
        )
