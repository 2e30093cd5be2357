"""Findings of laying: pieces that go on no mat, patches that no fabric gives, layouts simpler than wanted."""

from __future__ import annotations

from dataclasses import replace
from math import inf
from typing import TYPE_CHECKING, Final

from piecewright.cutting.findings import Finding
from piecewright.cutting.geometry import transformed_points
from piecewright.cutting.mats.copies import ROOM_MM, best_turn, box_of
from piecewright.cutting.mats.dealing import BASE_LAYER
from piecewright.cutting.mats.patches import patch_of
from piecewright.cutting.rules import turn_limit
from piecewright.cutting.units import format_ruled

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from piecewright.cutting.mats.bench import Bench
    from piecewright.cutting.mats.copies import Copy
    from piecewright.cutting.mats.enginefaults import EngineError
    from piecewright.cutting.mats.values import Demand, MatLayout
    from piecewright.cutting.rules import Fabric, JobRules

SIMPLE: Final = "Pieces that it did not lay are laid by their boxes, which takes more fabric."


def unlisted_threads(demands: Sequence[Demand], rules: JobRules) -> Iterator[Finding]:
    """A finding for each thread that dealing made a fabric of its own, because the rules list none for it."""
    dealing = rules.product.dealing
    if not dealing.by_thread:
        return
    named = {BASE_LAYER, dealing.base_fabric, *dealing.fabrics, *dealing.by_thread.values()}
    named.update(dealing.by_block.values(), dealing.by_piece.values())
    threads: dict[str, list[str]] = {}
    for demand in demands:
        if demand.fabric and demand.fabric not in named:
            threads.setdefault(demand.fabric, []).append(demand.piece)
    for thread, pieces in threads.items():
        yield Finding(
            code="thread-not-listed",
            says="The rules list no fabric for the thread {thread}, so that what it sews has mats of its "
            "own: {pieces}.",
            values={"thread": thread, "pieces": ", ".join(dict.fromkeys(pieces))},
            advice=f'Add "{thread}" to by_thread under dealing, or name fabrics there for all other threads.',
            piece=pieces[0],
        )


def larger_than_mat(left_out: Sequence[Copy], bench: Bench) -> Iterator[Finding]:
    """A finding for each piece that goes on no mat, with the size of mat that it takes."""
    pieces: dict[tuple[str, str], Copy] = {}
    for copy in left_out:
        pieces.setdefault((copy.demand.piece, copy.demand.fabric), copy)
    for copy in pieces.values():
        yield Finding(
            code="larger-than-mat",
            says="{Piece} does not go on {place}; it is not cut.",
            values={"place": _what_is_there(copy, bench)},
            advice=_what_to_do(copy, bench),
            piece=copy.demand.piece,
        )


def patches_beyond_fabric(mats: Sequence[MatLayout], bench: Bench) -> Iterator[Finding]:
    """A finding for each piece whose patch is larger than the fabric that it is cut from."""
    pieces = {
        (piece.piece, piece.fabric): piece.patch[2:]
        for mat in mats
        for piece in mat.laid
        if piece.patch is not None
    }
    for (piece, fabric), patch in pieces.items():
        kept = bench.rules.fabrics.get(fabric)
        if kept is not None and not _gives(kept, patch, quarter=_quarter(kept, bench)):
            yield Finding(
                code="patch-beyond-fabric",
                says="{Piece} takes a rectangle of {size}, which is larger than {fabric}.",
                values={"size": _size(patch, bench, at_least=True), "fabric": kept.label or fabric},
                advice="Cut the rectangle smaller, as long as it covers the piece in the picture of the mat, "
                "or set a smaller laying.patches.ruler_step or handling_margin.",
                piece=piece,
            )


def _gives(fabric: Fabric, patch: tuple[float, float], *, quarter: bool) -> bool:
    """Whether a rectangle can be cut from a fabric at all; one of no known size gives everything."""
    ways = (patch, patch[::-1]) if quarter else (patch,)
    width, height = fabric.width or inf, fabric.height or inf
    return any(w <= width + ROOM_MM and h <= height + ROOM_MM for w, h in ways)


def _quarter(fabric: Fabric, bench: Bench) -> bool:
    """Whether a rectangle may lie on the fabric turned by a quarter."""
    return turn_limit(bench.laying.turning, fabric.grain) in {"quarter", "free"}


def engine_doubt(error: EngineError) -> Finding:
    """Why the layout is a simple one."""
    return Finding(code=error.code, says=f"{error.message} {SIMPLE}", advice=error.advice)


def _what_is_there(copy: Copy, bench: Bench) -> str:
    """The mat, or the fabric where that is smaller."""
    bed = bench.bed(copy.demand.fabric if bench.laying.way == "sheet" else None).grown(bench.mat.margin)
    size = _size((bed.width_mm, bed.height_mm), bench)
    if (bed.width_mm, bed.height_mm) != (bench.mat.width, bench.mat.height):
        return f"its fabric, of which {size} lies on the mat"
    return f"the mat of {size}"


def _what_to_do(copy: Copy, bench: Bench) -> str:
    needed = f"It takes {_size(_needed(copy, bench), bench, at_least=True)}, margins included"
    if copy.turning != "free" and bench.takes(_turned_freely(copy, bench)):
        return f"{needed}; it would fit if it might be turned freely (turning, grain)."
    larger = [
        name for name, mat in bench.rules.mats.items() if replace(bench, name=name, mat=mat).takes(copy)
    ]
    if larger:
        return f"{needed}; the mat {larger[0]} takes it."
    return f"{needed}; use a larger mat or cut it by hand from the paper template."


def _turned_freely(copy: Copy, bench: Bench) -> Copy:
    """The copy if nothing limited how it is turned."""
    bed = bench.bed(copy.demand.fabric if bench.laying.way == "sheet" else None)
    seen = transformed_points(copy.ring, 0.0, copy.sides[0], 0.0, 0.0)
    return replace(copy, turning="free", turn_deg=best_turn(seen, "free", bed))


def _needed(copy: Copy, bench: Bench) -> tuple[float, float]:
    """Width and height of the least mat for a copy."""
    margins = 2 * bench.mat.margin
    if bench.laying.way == "patches":
        patch = patch_of(copy, bench.bed(None), bench.whole, bench.laying.patches)
        over = max(0.0, margins / 2 - patch.slack)
        return (patch.width + 2 * over, patch.height + 2 * over)
    _, _, width, height = box_of(copy, copy.turn_deg, copy.sides[0])
    return (width + margins, height + margins)


def _size(size: tuple[float, float], bench: Bench, *, at_least: bool = False) -> str:
    width, height = (format_ruled(side, bench.rules.show, at_least=at_least) for side in size)
    return f"{width} by {height}"
