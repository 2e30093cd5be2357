"""Offset: the line moved out or in, and what the rules do to its corners and edges.

Terms: *ease* is how much the tip of a sharp outside corner is cut off, so that less fabric bunches
under the cover; a *notch* is a small cut into the edge that shows which way round a piece lies; an
*under-lap* is the part of an edge that a later piece hides.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.geometry import (
    FloatArray,
    Region,
    common,
    difference,
    frozen,
    grow,
    largest,
    ring_area,
    ring_length,
    union,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.outlines.line import Corners, Line
    from piecewright.cutting.rules import OutlineRules

SHARP_TURN_DEG: Final = 96.0
"""Outside corners of 84 degrees and more (that turn by 96 and less) may stay sharp: their tip then
lies within 1.5 offsets of the line, and still under the cover."""

EASE_TURN_DEG: Final = 60.0
"""Fabric bunches at outside corners of 120 degrees and less (common practice, no source)."""

UNDER_LAP_INSIDE_MM: Final = 1.0
"""A longer under-lap ends this far inside the piece that hides it."""

SLIT_MM: Final = 0.05
"""Arcs drawn about different middles leave slits between parts that meet, a thousandth of a millimetre wide;
no hole of a design is narrower than this."""

NOTCH_WIDTH: Final = 1.0
"""Width of a notch at the edge, in depths."""


def offset_region(
    line: Line, offset_mm: float, rules: OutlineRules, hidden_under: Sequence[Region] = ()
) -> tuple[Region, ...]:
    """Move the line of a piece by its offset and shape the corners as the rules say.

    Args:
        line: The smooth line.
        offset_mm: Outside (+) or inside (-).
        rules: Corners, ease, under-lap.
        hidden_under: What lies over the piece later.

    Returns:
        What is to be cut, largest first; more than one part if the piece falls apart, none if it
        vanishes.
    """
    parts = grow(line.region, offset_mm) if offset_mm else union([line.region])
    if rules.corners == "sharp" and offset_mm > 0:
        parts = union([*parts, *_sharp_tips(line.corners, offset_mm)])
    if rules.under_lap > 0 and hidden_under:
        parts = _lapped(parts, line, offset_mm + rules.under_lap, hidden_under)
    if rules.corner_ease > 0:
        parts = _without(parts, _eased(line.corners, offset_mm, rules))
    return parts


def notched(region: Region, depth_mm: float, places: FloatArray) -> Region:
    """Cut notches into the exterior of a region.

    Args:
        region: What is cut out.
        depth_mm: How deep.
        places: Near which points of the edge, (k, 2) mm.
    """
    ring = region.exterior
    wedges = []
    for place in places:
        k = int(np.argmin(((ring - place) ** 2).sum(axis=1)))
        ahead = ring[(k + 1) % len(ring)] - ring[k - 1]
        ahead /= np.hypot(*ahead)
        inwards = np.array([-ahead[1], ahead[0]])
        half = ahead * depth_mm * NOTCH_WIDTH / 2
        back = inwards * depth_mm
        wedges.append(
            Region(exterior=frozen([ring[k] - 2 * half - back, ring[k] + 2 * half - back, ring[k] + back]))
        )
    return largest(_without((region,), wedges)) or region


def top_of(region: Region) -> FloatArray:
    """The point of a region's edge that lies highest on the page, (1, 2) mm."""
    return region.exterior[[int(np.argmin(region.exterior[:, 1]))]]


def _sharp_tips(corners: Corners, offset_mm: float) -> list[Region]:
    """What a sharp corner has beyond a rounded one, for the outside corners that may stay sharp."""
    chosen = (corners.turns_deg > 0) & (corners.turns_deg <= SHARP_TURN_DEG)
    tips = corners.tips[chosen]
    first, last = _outwards(corners.before[chosen]), _outwards(corners.after[chosen])
    far = (first + last) / (1 + (first * last).sum(axis=1))[:, None]
    quads = np.stack(
        [tips, tips + offset_mm * first, tips + offset_mm * far, tips + offset_mm * last], axis=1
    )
    return [Region(exterior=frozen(quad)) for quad in quads]


def _eased(corners: Corners, offset_mm: float, rules: OutlineRules) -> list[Region]:
    """What is cut off at outside corners."""
    ease = rules.corner_ease
    wedges = []
    for k in np.flatnonzero(corners.turns_deg >= EASE_TURN_DEG):
        first, last = _outwards(corners.before[[k]])[0], _outwards(corners.after[[k]])[0]
        middle = (first + last) / np.hypot(*(first + last))
        sharp = rules.corners == "sharp" and corners.turns_deg[k] <= SHARP_TURN_DEG
        reach = offset_mm / float(middle @ first) if sharp else offset_mm
        side = np.array([-middle[1], middle[0]]) * 2 * (ease + abs(offset_mm))
        low, high = corners.tips[k] + middle * (reach - ease), corners.tips[k] + middle * (reach + ease)
        wedges.append(Region(exterior=frozen([low - side, low + side, high + side, high - side])))
    return wedges


def _outwards(ahead: FloatArray) -> FloatArray:
    """Unit normals that point away from the fabric, which lies on the right hand, (k, 2)."""
    return np.stack([ahead[:, 1], -ahead[:, 0]], axis=1)


def _lapped(
    parts: tuple[Region, ...], line: Line, offset_mm: float, hidden_under: Sequence[Region]
) -> tuple[Region, ...]:
    """The parts, reaching farther where a later piece hides them."""
    farther = grow(line.region, offset_mm)
    deep = [inner for region in hidden_under for inner in grow(region, -UNDER_LAP_INSIDE_MM)]
    return tuple(
        _without_slits(part)
        for part in union([*parts, *(bit for far in farther for over in deep for bit in common(far, over))])
    )


def _without_slits(part: Region) -> Region:
    holes = tuple(hole for hole in part.holes if not _is_slit(hole))
    return part if len(holes) == len(part.holes) else Region(exterior=part.exterior, holes=holes)


def _is_slit(hole: FloatArray) -> bool:
    """Whether a hole has no width worth the name."""
    return 2 * abs(ring_area(hole)) < SLIT_MM * ring_length(hole)


def _without(parts: Sequence[Region], wedges: Sequence[Region]) -> tuple[Region, ...]:
    """The parts less all wedges."""
    for wedge in wedges:
        parts = [bit for part in parts for bit in difference(part, wedge)]
    return tuple(parts)
