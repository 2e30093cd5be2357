"""Our own check of every layout before it leaves, whatever made it."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Final

from piecewright.cutting.geometry import bounds, distance, flattened, grow, intersects
from piecewright.cutting.mats.copies import STEPS_DEG
from piecewright.cutting.rules import turn_limit

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from piecewright.cutting.geometry import Region
    from piecewright.cutting.mats.bench import Bench
    from piecewright.cutting.mats.copies import Bed, Copy
    from piecewright.cutting.mats.values import Demand, LaidPiece, MatLayout

    Box = tuple[float, float, float, float]

CHECK_FLAT_MM: Final = 0.002
"""To how much curves are flattened for the check."""

CHECK_SLACK_MM: Final = 0.01
"""What a distance may lack: flattening and rounding of two pieces, far under what a cutter repeats."""


def faults(
    demands: Sequence[Demand], mats: Sequence[MatLayout], left_out: Sequence[Copy], bench: Bench
) -> list[str]:
    """What is wrong with the layout of a job.

    Looks at every piece: laid once for each copy asked for, turned and turned over only as allowed, on the
    bed, at least the gap from every other, and on its own patch where there are patches.

    Returns:
        A sentence for each fault; empty if the layout is sound.
    """
    wrong = _miscounted(demands, mats, left_out)
    face_down = {(demand.piece, demand.fabric): demand.face_down for demand in demands}
    for mat in mats:
        wrong += [
            f"{piece.id} lies as it must not"
            for piece in mat.laid
            if not _pose_allowed(piece, bench, face_down.get((piece.piece, piece.fabric), False))
        ]
        wrong += _misplaced(mat.laid, bench.bed(mat.fabric if bench.laying.way == "sheet" else None))
        wrong += _too_near(mat.laid, bench.laying.gap)
        wrong += _off_patch(mat.laid, bench)
    return wrong


def _miscounted(demands: Sequence[Demand], mats: Sequence[MatLayout], left_out: Sequence[Copy]) -> list[str]:
    """Pieces laid more or less often than asked for, those left out with a finding counted in."""
    asked: Counter[tuple[str, str]] = Counter()
    for demand in demands:
        asked[demand.piece, demand.fabric] += demand.copies
    pieces = [piece for mat in mats for piece in mat.laid]
    given = Counter((piece.piece, piece.fabric) for piece in pieces)
    given.update((copy.demand.piece, copy.demand.fabric) for copy in left_out)
    wrong = [f"{piece} is laid in the wrong number" for piece, _ in _differing(asked, given)]
    twice = [name for name, count in Counter(piece.id for piece in pieces).items() if count > 1]
    return wrong + [f"{name} is laid twice" for name in twice]


def _differing(asked: Counter[tuple[str, str]], given: Counter[tuple[str, str]]) -> list[tuple[str, str]]:
    return [key for key in asked | given if asked[key] != given[key]]


def _pose_allowed(piece: LaidPiece, bench: Bench, face_down: bool) -> bool:
    """Whether a piece is turned and turned over only as the product and its fabric allow."""
    fabric = bench.rules.fabrics.get(piece.fabric)
    turning = turn_limit(bench.laying.turning, fabric.grain if fabric else None)
    turned_well = turning == "free" or piece.turned_deg in STEPS_DEG[turning]
    return turned_well and (bench.laying.turn_over or piece.mirrored == face_down)


def _misplaced(pieces: Sequence[LaidPiece], bed: Bed) -> list[str]:
    room = bed.grown(CHECK_SLACK_MM)
    right, bottom = room.x_mm + room.width_mm, room.y_mm + room.height_mm
    return [
        f"{piece.id} is off the bed"
        for piece in pieces
        if not _within(bounds(piece.curve), (room.x_mm, room.y_mm, right, bottom))
    ]


def _too_near(pieces: Sequence[LaidPiece], gap_mm: float) -> list[str]:
    regions = [flattened(piece.curve, CHECK_FLAT_MM) for piece in pieces]
    pairs = _neighbours([bounds(region) for region in regions], gap_mm)
    return [
        f"{pieces[i].id} and {pieces[k].id} are nearer than the gap"
        for i, k in pairs
        if _near(regions[i], regions[k], gap_mm)
    ]


def _near(one: Region, other: Region, gap_mm: float) -> bool:
    """Whether two pieces are nearer than the gap; with no gap, whether they overlap."""
    if gap_mm > CHECK_SLACK_MM:
        return distance(one, other) < gap_mm - CHECK_SLACK_MM
    return any(intersects(core, other) for core in grow(one, -CHECK_SLACK_MM))


def _off_patch(pieces: Sequence[LaidPiece], bench: Bench) -> list[str]:
    """Pieces off their own patch or too near to its edge; patches off the mat or over each other."""
    margin = bench.laying.patches.handling_margin - CHECK_SLACK_MM
    mat = (
        -CHECK_SLACK_MM,
        -CHECK_SLACK_MM,
        bench.mat.width + CHECK_SLACK_MM,
        bench.mat.height + CHECK_SLACK_MM,
    )
    patches = [(piece, _corners(piece.patch)) for piece in pieces if piece.patch is not None]
    off = [
        f"{piece.id} is off its patch"
        for piece, (x0, y0, x1, y1) in patches
        if not _within(bounds(piece.curve), (x0 + margin, y0 + margin, x1 - margin, y1 - margin))
    ]
    out = [f"the patch of {piece.id} is off the mat" for piece, box in patches if not _within(box, mat)]
    over = [
        f"the patches of {patches[i][0].id} and {patches[k][0].id} overlap"
        for i, k in _neighbours([box for _, box in patches], -CHECK_SLACK_MM)
    ]
    return off + out + over


def _corners(patch: Box) -> Box:
    x, y, width, height = patch
    return (x, y, x + width, y + height)


def _within(box: Box, room: Box) -> bool:
    return box[0] >= room[0] and box[1] >= room[1] and box[2] <= room[2] and box[3] <= room[3]


def _neighbours(boxes: Sequence[Box], gap_mm: float) -> Iterator[tuple[int, int]]:
    """Pairs whose boxes are nearer than the gap; with a negative one, that overlap by more than it."""
    order = sorted(range(len(boxes)), key=lambda i: boxes[i][0])
    for n, i in enumerate(order):
        for k in order[n + 1 :]:
            if boxes[k][0] > boxes[i][2] + gap_mm:
                break
            if boxes[k][1] <= boxes[i][3] + gap_mm and boxes[i][1] <= boxes[k][3] + gap_mm:
                yield i, k
