"""Blade: what a blade or a hand cannot do with an outline.

Terms: a *neck* is where a piece is narrower than the limit between two wider parts; a *spike* is a
tongue narrower than the limit; an *island* is a piece, or a part that falls off one.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.findings import Finding
from piecewright.cutting.geometry import (
    CurvedRegion,
    FloatArray,
    Region,
    area,
    difference,
    distances_to_edge,
    flatten,
    flattened,
    grow,
    nearest_points,
    ring_is_simple,
    spaced,
)

if TYPE_CHECKING:
    from piecewright.cutting.rules import OutlineRules

COARSE_MM: Final = 0.02
"""To how much curves are flattened here: widths are asked for to a tenth of a millimetre."""

CROSSING_MM: Final = 0.005
"""The same where edges might cross."""

SPIKE_WIDTHS: Final = 1.5
"""A tongue is a spike if it is longer than this many limits: the tip of a 29 degree corner."""

MIDDLE_STEP_MM: Final = 1.0
"""How far apart the points are that make up the middle of a ring."""

Place = tuple[float, float]


def blade_findings(piece: str, cut: CurvedRegion, rules: OutlineRules) -> list[Finding]:
    """Look for what cannot be cut or would not survive lifting.

    Args:
        piece: Id of the piece.
        cut: Its cut outline.
        rules: Least width, least area and sharpest corner.
    """
    region = flattened(cut, COARSE_MM)
    return [
        *_crossings(piece, cut),
        *_small(piece, region, rules.least_area),
        *_narrow(piece, region, rules.least_width),
        *_sharp(piece, cut, rules.least_corner_deg),
    ]


def falls_apart(piece: str, offset_mm: float, parts: tuple[Region, ...]) -> list[Finding]:
    """The finding for a piece that the offset cuts in two; the largest part is kept."""
    if len(parts) < 2:  # noqa: PLR2004 - in one piece
        return []
    lost = sum(map(area, parts[1:]))
    return [
        Finding(
            code="piece-falls-apart",
            says="With an offset of {offset_mm:g} {piece} falls into {parts} parts; only the largest is cut, "
            "{lost_mm2:.0f} mm2 are left out.",
            values={"offset_mm": offset_mm, "parts": len(parts), "lost_mm2": lost},
            advice="Set a larger offset, or let the placement line not cross itself.",
            piece=piece,
            place=_middle(parts[1].exterior),
        )
    ]


def closed_holes(piece: str, offset_mm: float, line: Region, cut: Region) -> list[Finding]:
    """The finding for holes that the offset fills."""
    filled = [
        hole
        for hole in line.holes
        if not any(distances_to_edge(Region(exterior=hole), left).max() > 0 for left in cut.holes)
    ]
    return [
        Finding(
            code="hole-closes",
            says="With an offset of {offset_mm:g} a hole of {piece} closes; it is not cut.",
            values={"offset_mm": offset_mm},
            advice="Set a smaller offset if the hole must stay open.",
            piece=piece,
            place=_middle(hole),
        )
        for hole in filled
    ]


def vanished(piece: str, offset_mm: float) -> Finding:
    """The finding for a piece of which nothing is left."""
    return Finding(
        code="piece-vanishes",
        says="Nothing is left of {piece} with an offset of {offset_mm:g}.",
        values={"offset_mm": offset_mm},
        advice="Set a larger offset for this product, or leave the piece out by block number.",
        piece=piece,
    )


def _crossings(piece: str, cut: CurvedRegion) -> list[Finding]:
    """An outline that crosses itself or another of the piece."""
    rings = [flatten(curve, CROSSING_MM) for curve in (cut.exterior, *cut.holes)]
    outer = Region(exterior=rings[0])
    outside = [hole for hole in rings[1:] if distances_to_edge(outer, hole).min() < 0]
    if all(map(ring_is_simple, rings)) and not outside:
        return []
    return [
        Finding(
            code="outline-crosses",
            says="The cut outline of {piece} crosses itself.",
            advice="Look at the picture; set a smaller offset, or mend the placement line in the design.",
            piece=piece,
        )
    ]


def _small(piece: str, region: Region, least_mm2: float) -> list[Finding]:
    """A piece too small to lift."""
    size = area(region)
    if size >= least_mm2:
        return []
    return [
        Finding(
            code="piece-small",
            says="{Piece} has only {area_mm2:.0f} mm2; it tears or is lost when it is lifted.",
            values={"area_mm2": size},
            advice="Set a larger offset, cut it by hand, or leave it out by block number.",
            piece=piece,
            place=_middle(region.exterior),
        )
    ]


def _narrow(piece: str, region: Region, least_mm: float) -> list[Finding]:
    """Necks and spikes, or a piece that is narrow all over."""
    if least_mm <= 0:
        return []
    cores = grow(region, -least_mm / 2)
    if not cores:
        return [_narrow_finding("narrow", piece, "is nowhere wider than", least_mm, _middle(region.exterior))]
    findings = [
        _narrow_finding("neck", piece, "has a neck narrower than", least_mm, place)
        for place in _necks(region, cores)
    ]
    necks = [finding.place for finding in findings if finding.place]
    spikes = [
        _narrow_finding("spike", piece, "has a spike narrower than", least_mm, place)
        for place in _spikes(region, cores, least_mm)
        if all(np.hypot(place[0] - x, place[1] - y) > 2 * least_mm for x, y in necks)
    ]
    return findings + spikes


def _necks(region: Region, cores: tuple[Region, ...]) -> list[Place]:
    """Where the parts that are left inside come nearest to each other; or a hole to another edge."""
    between = [nearest_points(cores[0], core).mean(axis=0) for core in cores[1:]]
    if len(cores) == 1 and len(cores[0].holes) < len(region.holes):
        between += _thin_walls(region)
    return [_place(point) for point in between]


def _thin_walls(region: Region) -> list[FloatArray]:
    """The thinnest place between a hole and the exterior or another hole."""
    rings = [Region(exterior=hole) for hole in region.holes]
    pairs = [_wall(region.exterior, hole.exterior) for hole in rings]
    pairs += [nearest_points(a, b) for k, a in enumerate(rings) for b in rings[k + 1 :]]
    thinnest = min(pairs, key=lambda pair: float(np.hypot(*(pair[1] - pair[0]))))
    return [np.asarray(thinnest.mean(axis=0))]


def _wall(outer: FloatArray, inner: FloatArray) -> FloatArray:
    """The shortest way from a ring to a ring around it, (2, 2) mm."""
    depth = distances_to_edge(Region(exterior=outer), inner)
    deepest = inner[int(np.argmin(depth))]
    far = outer[int(np.argmin(((outer - deepest) ** 2).sum(axis=1)))]
    return np.stack([deepest, far])


def _spikes(region: Region, cores: tuple[Region, ...], least_mm: float) -> list[Place]:
    """Tips of tongues that a disc as wide as the limit does not enter."""
    opened = tuple(part for core in cores for part in grow(core, least_mm / 2 + COARSE_MM))
    places = []
    for tongue in difference(region, opened):
        if np.ptp(tongue.exterior, axis=0).max() < least_mm:
            continue
        out = -distances_to_edge(opened, tongue.exterior)
        tip = int(np.argmax(out))
        if out[tip] > SPIKE_WIDTHS * least_mm:
            places.append(_place(tongue.exterior[tip]))
    return places


def _narrow_finding(what: str, piece: str, verb: str, least_mm: float, place: Place) -> Finding:
    """A finding about width."""
    return Finding(
        code=what,
        says=f"{{Piece}} {verb} {{least_mm:g}}.",
        values={"least_mm": least_mm},
        advice="Fabric tears there when the piece is lifted: set a larger offset, or cut the place by hand.",
        piece=piece,
        place=place,
    )


def _sharp(piece: str, cut: CurvedRegion, least_deg: float) -> list[Finding]:
    """Corners at which a blade drags instead of turning."""
    findings = []
    for curve in (cut.exterior, *cut.holes):
        arrive, leave = curve[:, 3] - curve[:, 2], np.roll(curve[:, 1] - curve[:, 0], -1, axis=0)
        cross = arrive[:, 0] * leave[:, 1] - arrive[:, 1] * leave[:, 0]
        angle = 180.0 - np.abs(np.degrees(np.arctan2(cross, (arrive * leave).sum(axis=1))))
        findings += [
            Finding(
                code="corner-sharp",
                says="{Piece} has a corner of {corner_deg:.0f} degrees, at which a blade drags.",
                values={"corner_deg": float(angle[k])},
                advice="Round the corner in the design, or set corner_ease or a larger offset.",
                piece=piece,
                place=_place(curve[k, 3]),
            )
            for k in np.flatnonzero(angle < least_deg)
        ]
    return findings


def _middle(ring: FloatArray) -> Place:
    """About the middle of a ring, however its points are spread."""
    return _place(spaced(ring, MIDDLE_STEP_MM).mean(axis=0))


def _place(point: FloatArray) -> Place:
    """A point for a finding."""
    return (round(float(point[0]), 2), round(float(point[1]), 2))
