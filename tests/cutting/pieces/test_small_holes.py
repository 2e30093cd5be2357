"""Holes of letters, however small, keep what holds the fabric round them."""

from __future__ import annotations

import numpy as np
import pytest

from tests.cutting import sewing as sew
from tests.cutting.pieces.support import assert_cut, region, understood

#      /\
#     /  \       a letter 50 mm high with a three-cornered counter
#    / /\ \
#   / /--\ \
OUTER = sew.polygon((-25, 25), (0, -25), (25, 25))


@pytest.mark.parametrize("size", [5.0, 7.0, 10.0])
def test_a_zigzag_well_outside_a_small_hole_holds_the_fabric_round_it(size: float) -> None:
    corners = np.array([(-1.0, 1.0), (0.0, -1.0), (1.0, 1.0)])
    hole = sew.polygon(*(corners * size + (0.0, 10.0)))
    round_hole = sew.polygon(*(corners * (size + 3.4) + (0.0, 9.3)))
    inside = sew.polygon((-21.5, 23.0), (0, -20.5), (21.5, 23.0))
    held = [sew.zigzag(inside, 1.8, 1.0), sew.CUT, sew.zigzag(round_hole, 1.8, 1.0)]
    found = understood(sew.design([sew.run(OUTER), sew.CUT, sew.run(hole, 2.0)], held))
    assert_cut(found, region(OUTER, hole))
