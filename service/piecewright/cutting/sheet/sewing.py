"""The sewing order in plain words, halt by halt.

Terms: a *step* is what the machine sews before it halts, and what the sewer's hands do at the halt;
blocks in a row that say the same and ask nothing of the hands but a new thread make one step.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING, Final

from piecewright.cutting.colours import is_colour
from piecewright.cutting.passes import TRAITS
from piecewright.cutting.plaintext import listing
from piecewright.cutting.sheet import words
from piecewright.cutting.sheet.matpicture import has_grain, turned_over
from piecewright.cutting.units import format_length

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from piecewright.cutting.design import Block, Design, Thread
    from piecewright.cutting.report import PassEntry, PieceEntry, Report
    from piecewright.cutting.rules import JobRules
    from piecewright.cutting.sheet.matpicture import Look

_HOLDING: Final = frozenset({"tack-down", "underlay", "cover"})
"""Roles whose stitches need the piece to lie there already."""

_STITCH_NAMES: Final = {stitch.value: one.words for stitch, one in TRAITS.items()}


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
    lay_after, cover_after = _halts_for_laying(passes, pieces), _halts_for_cloth(passes, pieces)
    own_step = lay_after.keys() | cover_after.keys()
    blocks = [block for block in design.blocks if len(block.points)]
    sewn = [_sews([p for p in passes if p.block == b.number], rules) for b in blocks]
    told = zip(blocks, sewn, strict=True)
    made = []
    for _, group in groupby(told, key=lambda one: (one[0].number,) if one[0].number in own_step else one[1]):
        members = list(group)
        first = members[0][0].number
        laid, cloth = lay_after.get(first, []), cover_after.get(first, [])
        hands = (*_lay(laid, report, looks, rules), *cloth)
        halt = _halt(laid, passes) if hands else ""
        made.append(_step([block for block, _ in members], members[0][1], halt, hands))
    return made


def thread_name(thread: Thread) -> str:
    """What to call a thread: its own name, or its colour in a word or two."""
    return thread.name or words.colour_name(thread.colour or "") or thread.catalog or ""


def _step(
    blocks: Sequence[Block],
    sews: tuple[str, ...],
    halt: str,
    hands: tuple[str, ...],
) -> Step:
    first = blocks[0]
    same = all(block.thread == first.thread for block in blocks)
    colour = first.thread.colour or ""
    return Step(
        title=_title([block.number for block in blocks]),
        thread=thread_name(first.thread) if same else "several threads",
        colour=colour if same and is_colour(colour) else "",
        sews=sews,
        halt=halt,
        hands=hands,
    )


def _title(numbers: Sequence[int]) -> str:
    """``Block 1``, ``Blocks 1 and 2``, ``Blocks 1 to 5``."""
    if len(numbers) <= 2:  # noqa: PLR2004 - two have nothing between them
        return f"Block{'s' * (len(numbers) - 1)} {listing(map(str, numbers))}"
    return f"Blocks {numbers[0]} to {numbers[-1]}"


def _halt(laid: Sequence[PieceEntry], passes: Sequence[PassEntry]) -> str:
    if any(_is_held_without_a_halt(piece, passes) for piece in laid):
        return "Stop the machine by hand when the placement line is sewn:"
    return "When the machine stops:"


def _is_held_without_a_halt(piece: PieceEntry, passes: Sequence[PassEntry]) -> bool:
    return any(piece.id in p.piece and _of_piece(p) in _HOLDING and p.block == piece.block for p in passes)


def _of_piece(one: PassEntry) -> str:
    """What a pass is for if its piece is one."""
    return one.in_doubt or one.role


def _halts_for_laying(
    passes: Sequence[PassEntry], pieces: Sequence[PieceEntry]
) -> dict[int, list[PieceEntry]]:
    """After which block each piece is laid: at the last halt before anything holds or covers it."""
    after: dict[int, list[PieceEntry]] = {}
    for piece in pieces:
        holding = [p.block for p in passes if piece.id in p.piece and _of_piece(p) in _HOLDING]
        block = max(piece.block, min(holding) - 1) if holding else piece.block
        after.setdefault(block, []).append(piece)
    return after


def _halts_for_cloth(passes: Sequence[PassEntry], pieces: Sequence[PieceEntry]) -> dict[int, list[str]]:
    """After which block cloth may have to go over a base layer: where it is held, and will be held again."""
    after: dict[int, list[str]] = {}
    for piece in pieces:
        held = sorted({p.block for p in passes if piece.id in p.piece and _of_piece(p) == "tack-down"})
        if piece.kind == "base" and len(held) > 1:
            said = f"Block {held[1]} sews {piece.id} down once more: if cloth goes over it, lay it now."
            after.setdefault(held[0], []).append(said)
    return after


def _sews(passes: Sequence[PassEntry], rules: JobRules) -> tuple[str, ...]:
    """What one block sews, in its order; passes that say the same of several pieces are one sentence."""
    alike: dict[tuple[str, str], list[str]] = {}
    for one in passes:
        stitch = "" if one.role == "underlay" else _stitch_words(one.stitch, one.width_mm, rules)
        role = f"perhaps {one.in_doubt}" if one.in_doubt else one.role
        alike.setdefault((role, stitch), []).extend(one.piece)
    said = (_sentence(role, stitch, list(dict.fromkeys(ids))) for (role, stitch), ids in alike.items())
    return tuple(dict.fromkeys(said))


def _stitch_words(stitch: str, width_mm: float, rules: JobRules) -> str:
    name = _STITCH_NAMES.get(stitch, stitch)
    wide = f"{format_length(width_mm, rules.show)} wide" if width_mm > 0 and stitch != "meander" else ""
    text = ", ".join(part for part in (name, wide) if part)
    return f" ({text})" if text else ""


def _sentence(role: str, stitch: str, ids: Sequence[str]) -> str:
    of = f" of {listing(ids)}" if ids else ""
    says = {
        "placement": f"Placement line{of}{stitch}: it shows where the fabric goes.",
        "tack-down": f"Tack-down{of}{stitch}: it holds the fabric.",
        "cover": f"Cover over the raw edge{of}{stitch}.",
        "underlay": f"Underlay below the cover{of}.",
        "fill": "Filled areas.",
        "quilting": "Quilting through all layers.",
        "perhaps placement": f"Lines and details, or the placement line{of}{stitch}, if it is a piece.",
        "perhaps tack-down": f"Lines and details, or the tack-down{of}{stitch}, if it is a piece.",
        "perhaps cover": f"Lines and details, or the cover{of}{stitch}, if it is a piece.",
    }
    return says.get(role, "Lines and details.")


def _fabric_words(piece: PieceEntry, report: Report, looks: Mapping[str, Look]) -> str:
    """The fabric of a piece, or that it differs from copy to copy."""
    keys = _fabrics(piece, report)
    return f" from {looks[keys[0]].label}" if len(keys) == 1 else " from the fabric of this copy"


def _fabrics(piece: PieceEntry, report: Report) -> tuple[str, ...]:
    laid = (laid for mat in report.mats for laid in mat.laid)
    return tuple(dict.fromkeys(one.fabric for one in laid if one.piece == piece.id))


def _lay(
    laid: Sequence[PieceEntry], report: Report, looks: Mapping[str, Look], rules: JobRules
) -> Iterable[str]:
    """What the hands do at one halt; pieces that are laid alike are told in one sentence."""
    ready = [piece for piece in laid if piece.cut is not None and piece.copies]
    alike: dict[tuple[str, str, str], list[PieceEntry]] = {}
    for piece in ready:
        edge = _edge_words(piece.offset_mm or 0.0, many=False, rules=rules)
        alike.setdefault((piece.kind, edge, _fabric_words(piece, report, looks)), []).append(piece)
    for (kind, _, fabric), some in alike.items():
        ids = [piece.id for piece in some]
        yield _lay_alike(kind, some[0].offset_mm or 0.0, fabric, ids, rules)
    yield from _turned_over(ready, report, rules)
    yield from (_twin(piece, report, rules) for piece in ready if piece.twin)
    yield from (_lay_uncut(piece, rules) for piece in laid if piece not in ready)


def _turned_over(laid: Sequence[PieceEntry], report: Report, rules: JobRules) -> Iterable[str]:
    """Which pieces were cut with their other side up, some copies or all."""
    over = turned_over(report, rules)
    pieces = {one.piece for mat in report.mats for one in mat.laid if one.id in over}
    ids = [piece.id for piece in laid if piece.id in pieces]
    if ids:
        yield f"Turn those of {listing(ids)} over that have a star on the mat."


def _lay_alike(kind: str, offset_mm: float, fabric: str, ids: Sequence[str], rules: JobRules) -> str:
    what, side = ("base layer", "") if kind == "base" else ("piece", ", right side up")
    many = "s" if len(ids) > 1 else ""
    edge = _edge_words(offset_mm, many=len(ids) > 1, rules=rules)
    return f"Lay {what}{many} {listing(ids)}{fabric}{side}, so that {edge} all round."


def _twin(piece: PieceEntry, report: Report, rules: JobRules) -> str:
    """Whether it matters which of two pieces of one shape is laid."""
    if piece.twin is None:
        return ""
    how = words.turn(piece.twin.turned_deg, mirrored=piece.twin.mirrored)
    said = f"{piece.id} has the shape of {piece.twin_of}{f', {how}' if how else ''}"
    if piece.twin.mirrored:
        return f"{said}: lay one that was cut as {piece.id}."
    if round(piece.twin.turned_deg) % 180 and any(has_grain(key, rules) for key in _fabrics(piece, report)):
        return f"{said}: lay one that was cut as {piece.id}, so that the grain runs right."
    return f"{said}; either will do."


def _edge_words(offset_mm: float, *, many: bool, rules: JobRules) -> str:
    edge, line = ("their edges", "their sewn lines") if many else ("its edge", "the sewn line")
    if not offset_mm:
        return f"{edge} {'meet' if many else 'meets'} {line}"
    side = "outside" if offset_mm > 0 else "inside"
    return f"{edge} {'lie' if many else 'lies'} {format_length(abs(offset_mm), rules.show)} {side} {line}"


def _lay_uncut(piece: PieceEntry, rules: JobRules) -> str:
    by_hand = "fabric well over the line, and trim it close to the stitches after the tack-down"
    if piece.kind == "base":
        return f"Base layer {piece.id} was not cut beforehand: lay {by_hand}."
    if piece.confidence < rules.product.passes.confidence:
        return f"{piece.id} may be a piece, and was not cut. If it is one, lay {by_hand}."
    return f"Piece {piece.id} was not cut beforehand: lay {by_hand}."
