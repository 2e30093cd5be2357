"""Our own check of every layout before it leaves, whatever made it."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Final

from piecewright.cutting.geometry import bounds, distance, flattened

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from piecewright.cutting.mats.copies import Bed
    from piecewright.cutting.mats.values import Demand, LaidPiece

CHECK_FLAT_MM: Final = 0.002
"""To how much curves are flattened for the check."""

CHECK_SLACK_MM: Final = 0.01
"""What a distance may lack: flattening and rounding of both pieces, far under what a cutter repeats."""


def faults(pieces: Sequence[LaidPiece], bed: Bed, gap_mm: float) -> list[str]:
    """What is wrong with one mat: pieces off the bed, overlapping, or nearer than the gap.

    Args:
        pieces: All that lie on the mat.
        bed: Where they must lie.
        gap_mm: Least distance between them.

    Returns:
        A sentence for each fault; empty if the mat is sound.
    """
    regions = [flattened(piece.curve, CHECK_FLAT_MM) for piece in pieces]
    boxes = [bounds(region) for region in regions]
    off = [
        f"{piece.id} is off the bed" for piece, box in zip(pieces, boxes, strict=True) if not _on(box, bed)
    ]
    near = [
        f"{pieces[i].id} and {pieces[k].id} are nearer than the gap"
        for i, k in _neighbours(boxes, gap_mm)
        if distance(regions[i], regions[k]) < gap_mm - CHECK_SLACK_MM
    ]
    return off + near


def miscounted(demands: Sequence[Demand], pieces: Sequence[LaidPiece], left_out: Counter[str]) -> list[str]:
    """Pieces laid more or less often than asked for, those left out with a finding counted in."""
    asked: Counter[tuple[str, str]] = Counter()
    for demand in demands:
        asked[demand.piece, demand.fabric] += demand.copies
    given = Counter((piece.piece, piece.fabric) for piece in pieces)
    short = {key: asked[key] - given[key] for key in asked | given if asked[key] != given[key]}
    missing: Counter[str] = Counter()
    for (piece, _), count in short.items():
        missing[piece] += count
    wrong = [piece for piece in missing | left_out if missing[piece] != left_out[piece]]
    twice = [key for key, count in Counter(piece.id for piece in pieces).items() if count > 1]
    return [f"{piece} is laid in the wrong number" for piece in wrong] + [f"{i} is laid twice" for i in twice]


def _on(box: tuple[float, float, float, float], bed: Bed) -> bool:
    room = bed.grown(CHECK_SLACK_MM)
    return (
        box[0] >= room.x_mm
        and box[1] >= room.y_mm
        and box[2] <= room.x_mm + room.width_mm
        and box[3] <= room.y_mm + room.height_mm
    )


def _neighbours(
    boxes: Sequence[tuple[float, float, float, float]], gap_mm: float
) -> Iterator[tuple[int, int]]:
    """Pairs whose boxes are nearer than the gap."""
    order = sorted(range(len(boxes)), key=lambda i: boxes[i][0])
    for n, i in enumerate(order):
        for k in order[n + 1 :]:
            if boxes[k][0] > boxes[i][2] + gap_mm:
                break
            if boxes[k][1] <= boxes[i][3] + gap_mm and boxes[i][1] <= boxes[k][3] + gap_mm:
                yield i, k
