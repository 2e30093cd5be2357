"""An open line that is held and covered is never passed over in silence."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import yaml

from piecewright.cutting.rules import BlocksByHand, PassRules
from tests.cutting import sewing as sew
from tests.cutting.pieces.support import assert_cut, codes, region, understood

if TYPE_CHECKING:
    from piecewright.cutting.geometry import FloatArray

CIRCLE = sew.circle(18.0, (0.0, 60.0))


#     ________
#    |        |     a hill of 80 by 25 mm; its lower side is the seam of the block
#    |        |
def hill(inset: float = 0.0) -> FloatArray:
    x, y = 40.0 - inset, -25.0 + inset
    return sew.dense(np.array([(-x, 0.0), (-x, y), (x, y), (x, 0.0)]))


WHOLE = sew.rectangle(-40.0, -25.0, 80.0, 25.0)
TOP = sew.dense(np.array([(-40.0, -25.0), (40.0, -25.0)]))


def test_a_line_open_on_one_side_that_is_held_and_covered_is_a_finding() -> None:
    found = understood(sew.design(sew.run(hill()), sew.run(hill(1.0)), sew.satin(TOP)))
    assert found.pieces == ()
    assert codes(found) == ["open-line"]


def test_the_lines_that_it_proposes_close_it_straight_and_keep_the_other_pieces() -> None:
    design = sew.design(
        sew.run(hill()),
        sew.run(hill(1.0)),
        sew.satin(TOP),
        sew.run(CIRCLE),
        sew.run(CIRCLE),
        sew.satin(CIRCLE),
    )
    (finding,) = [one for one in understood(design).findings if one.code == "open-line"]
    pasted = yaml.safe_load(finding.advice.split("\n", 1)[1])["passes"]["by_hand"][0]
    assert_cut(
        understood(design, PassRules(by_hand=(BlocksByHand(**pasted),))), region(WHOLE), region(CIRCLE)
    )


def test_a_stem_drawn_and_covered_is_none() -> None:
    stem = sew.dense(np.array([(0.0, 0.0), (5.0, 30.0), (0.0, 60.0)]))
    found = understood(sew.design(sew.run(stem), sew.run(stem), sew.satin(stem)))
    assert "open-line" not in codes(found)


def test_an_open_line_that_is_only_drawn_again_is_none() -> None:
    assert "open-line" not in codes(understood(sew.design(sew.run(hill()), sew.bean(hill()))))
    assert "open-line" not in codes(understood(sew.design(sew.run(hill()), sew.satin(TOP))))


def test_what_holds_it_comes_before_what_covers_it() -> None:
    assert "open-line" not in codes(understood(sew.design(sew.run(hill()), sew.satin(TOP), sew.run(hill()))))
