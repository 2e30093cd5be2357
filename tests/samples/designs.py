"""The sample designs: what a small shop sews on runners, quilt blocks, patches and pillows.

All places are mm from the middle of the hoop, y down. Threads are invented.
"""

from __future__ import annotations

from tests.samples.sewing import Sewing
from tests.samples.shapes import (
    bird,
    circle,
    crescent,
    drawn,
    fish,
    heart,
    hull,
    leaf,
    petal,
    rounded_square,
    sail,
    star,
)
from tests.samples.stitching import bean, blanket, double, inset, line, satin, there_and_back, wave, zigzag

LINE = ("Line", "#b0b0b0")
TACK = ("Tack", "#808080")
MOSS = ("Moss", "#6b7f45")
RUST = ("Rust", "#a4502c")
GOLD = ("Gold", "#c79a2b")
PLUM = ("Plum", "#6d3b5e")
NIGHT = ("Night", "#28324a")
SKY = ("Sky", "#7fa3b5")
BARK = ("Bark", "#5a4632")


def runner_leaves() -> Sewing:
    """Five leaves, placed, tacked and covered together: four turned twins and a larger one."""
    leaves = [leaf(46, 24).moved(x, y, turn=t) for x, y, t in
              ((-52, -18, 60), (-30, 20, 120), (30, -20, -60), (52, 18, -120))]  # fmt: skip
    leaves.append(leaf(58, 30))
    sewing = Sewing("Leaves")
    sewing.colour(*LINE, *(line(c, start=0.1 + 0.15 * k) for k, c in enumerate(leaves)))
    sewing.colour(*TACK, *(zigzag(c, start=0.4) for c in leaves))
    sewing.colour(*MOSS, *(satin(c, start=0.3) for c in leaves))
    veins = [drawn(((0, 15), (0, -15)), closed=False).moved(x, y, turn=t) for x, y, t in
             ((-52, -18, 60), (-30, 20, 120), (30, -20, -60), (52, 18, -120), (0, 0, 0))]  # fmt: skip
    sewing.colour(*BARK, *(there_and_back(v.points) for v in veins))
    return sewing


def hearts() -> Sewing:
    """Two hearts with raw edges: placed one after the other, held by a bean line, no cover."""
    sewing = Sewing("Hearts")
    for start, middle, turn in ((0.2, (-30, 0), -12), (0.5, (30, 4), 12)):
        piece = heart(48).moved(*middle, turn=turn)
        sewing.colour(*LINE, line(piece, 2.8, start=start))
        sewing.colour(*RUST, bean(inset(piece, 2.0), 2.6))
    return sewing


def quilt_tulip() -> Sewing:
    """A block with batting: placed and tacked, ground cloth tacked over it, then a tulip and quilting."""
    field = rounded_square(150, 10)
    petals = [petal(52, 26).moved(0, 8, turn=t) for t in (-38, 38)]
    middle = petal(58, 30).moved(0, 12)
    leaves = [leaf(44, 18).moved(26 * s, 38, turn=38 * s) for s in (1, -1)]
    sewing = Sewing("Tulip")
    sewing.colour("Batting line", "#d0d0d0", line(field, 3.0, start=0.05))
    sewing.colour("Batting tack", "#c0c0c0", zigzag(field, 3.0, 2.4, start=0.55))
    sewing.colour("Cloth tack", "#a0a0a0", line(rounded_square(152, 11), 4.0, start=0.3))
    sewing.colour("Leaf line", "#909090", *(line(c) for c in leaves))
    sewing.colour("Leaf tack", "#808080", *(double(c) for c in leaves))
    sewing.colour("Leaf cover", MOSS[1], *(satin(c) for c in leaves))
    sewing.colour("Petal line", "#909090", *(line(c, start=0.5) for c in petals))
    sewing.colour("Petal tack", "#808080", *(double(c) for c in petals))
    sewing.colour("Petal cover", PLUM[1], *(satin(c, 4.0, start=0.05) for c in petals))
    sewing.colour("Middle line", "#909090", line(middle, start=0.4))
    sewing.colour("Middle tack", "#808080", double(middle))
    sewing.colour("Middle cover", RUST[1], satin(middle, 4.0))
    waves = [wave((-66, y), (66, y), 2.5, 7) for y in (-66, -58, 66)]
    sewing.colour("Quilting", "#e0d8c8", *waves)
    return sewing


def patch_moon() -> Sewing:
    """A round patch, a moon on it and a star beside: pieces layered on a piece.

    The star's line is left open by one stitch; the border's satin comes last.
    """
    disc, moon = circle(36), crescent(24).moved(-4, 2)
    spark = star(11, 5.2).moved(14, -8, turn=10)
    sewing = Sewing("Moon")
    sewing.colour(*LINE, line(disc, start=0.9))
    sewing.colour(*TACK, double(disc))
    for name, piece, lap in (("Moon", moon, 2), ("Star", spark, -1)):
        sewing.colour(f"{name} line", "#b8b8b8", line(piece, 2.2, start=0.4, lap=lap))
        sewing.colour(f"{name} tack", "#888888", zigzag(piece, 1.6, 1.4))
    sewing.colour(*GOLD, satin(moon, 3.0), satin(spark, 2.4))
    sewing.colour(*NIGHT, satin(disc, 4.0))
    return sewing


def patch_ring() -> Sewing:
    """A ring with a hole: both lines placed in one block, tacked in one, covered in one."""
    outer, inner = rounded_square(76, 26), circle(17)
    sewing = Sewing("Ring")
    sewing.colour(*LINE, line(outer, start=0.12), line(inner, start=0.8))
    sewing.colour(*TACK, zigzag(outer, 1.2), zigzag(inner, 1.2))
    sewing.colour(*RUST, satin(inner, 4.0), satin(outer, 4.0))
    return sewing


def bird_blanket() -> Sewing:
    """A wren and its wing, layered, with blanket stitch over the edges; eye and legs as detail."""
    body = bird()
    wing = petal(30, 15).moved(9, 2, turn=-105)
    sewing = Sewing("Wren")
    sewing.colour(*LINE, line(body, start=0.35))
    sewing.colour(*TACK, line(inset(body, 1.4), 3.0, start=0.7))
    sewing.colour(*BARK, blanket(body))
    sewing.colour("Wing line", "#b8b8b8", line(wing, start=0.5))
    sewing.colour("Wing tack", "#888888", line(inset(wing, 1.4), 3.0, start=0.2))
    sewing.colour(*SKY, blanket(wing, bite=2.4, spacing=2.4))
    legs = [drawn(((x, 11), (x - 1, 22)), closed=False) for x in (2, 8)]
    sewing.colour(*NIGHT, satin(circle(0.9).moved(23, -12), 1.2), *(there_and_back(v.points) for v in legs))
    return sewing


def boat(scale: float = 1.0) -> Sewing:
    """A sailing boat whose pieces are placed, tacked and covered one after the other."""
    parts = (
        ("Hull", PLUM, hull().moved(0, 14)),
        ("Mainsail", GOLD, sail(30, 52).moved(2, 8)),
        ("Jib", SKY, sail(22, 40).moved(-2, 8, mirror=True)),
    )
    sewing = Sewing("Boat")
    for name, thread, shape in parts:
        piece = shape.scaled(scale)
        sewing.colour(f"{name} line", "#b8b8b8", line(piece, start=0.3))
        sewing.colour(f"{name} tack", "#888888", zigzag(piece, 2.0, 1.8))
        sewing.colour(*thread, satin(piece, 4.2))
    return sewing


def two_fish() -> Sewing:
    """Two fish that meet, each the other turned over."""
    pair = [fish().moved(-30, 0), fish().moved(30, 3, mirror=True)]
    sewing = Sewing("Fish")
    sewing.colour(*LINE, *(line(c, start=0.4) for c in pair))
    sewing.colour(*TACK, *(double(c) for c in pair))
    sewing.colour(*SKY, *(satin(c, 4.0, start=0.6) for c in pair))
    sewing.colour(*NIGHT, *(satin(circle(0.9).moved(x, -3), 1.2) for x in (-12, 12)))
    return sewing


def sprig() -> Sewing:
    """Nothing to cut: a stem sewn twice, satin berries, a line drawing of leaves."""
    stem = drawn(((-40, 20), (-20, -10), (10, 22), (40, -18)), closed=False)
    leaves = [leaf(18, 9).moved(x, y, turn=t) for x, y, t in ((-18, -4, 40), (2, 16, 150), (22, -10, 20))]
    berries = [circle(1.6).moved(x, y) for x, y in ((40, -20), (43, -16), (37, -22))]
    sewing = Sewing("Sprig")
    sewing.colour(*MOSS, there_and_back(stem.points), *(bean(c, 2.0) for c in leaves))
    sewing.colour(*RUST, *(satin(c, 2.6) for c in berries))
    return sewing
