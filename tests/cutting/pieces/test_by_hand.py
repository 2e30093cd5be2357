"""Block numbers in the rules are the last word, and the report proposes them where the finder is unsure."""

from __future__ import annotations

import numpy as np
import yaml

from piecewright.cutting.passes import Role
from piecewright.cutting.pieces.by_hand import lines_for_pieces, lines_for_rules
from piecewright.cutting.rules import BlocksByHand, PassRules
from tests.cutting import sewing as sew
from tests.cutting.pieces.support import assert_cut, codes, region, roles, understood

CIRCLE, BESIDE = sew.circle(25.0), sew.circle(18.0, (70.0, 0.0))
DRAWING = sew.design(sew.bean(CIRCLE), sew.bean(CIRCLE), sew.satin(BESIDE))


def test_a_line_named_in_the_rules_is_cut_whatever_it_looks_like() -> None:
    assert_cut(understood(DRAWING, PassRules(confidence=0.95)))
    named = PassRules(confidence=0.95, by_hand=(BlocksByHand(placement=(1,), tack_down=(2,)),))
    found = understood(DRAWING, named)
    assert_cut(found, CIRCLE)
    assert roles(found)[:2] == [(1, Role.PLACEMENT), (2, Role.TACK_DOWN)]
    assert found.pieces[0].confidence == 1.0


def test_what_the_rules_do_not_name_is_not_cut_from_that_design() -> None:
    both = sew.design(sew.run(CIRCLE), sew.run(CIRCLE), sew.run(BESIDE), sew.run(BESIDE))
    assert_cut(understood(both), CIRCLE, BESIDE)
    assert_cut(understood(both, PassRules(by_hand=(BlocksByHand(placement=(3,)),))), BESIDE)


def test_an_ignored_block_places_nothing() -> None:
    both = sew.design(sew.run(CIRCLE), sew.run(CIRCLE), sew.run(BESIDE), sew.run(BESIDE))
    assert_cut(understood(both, PassRules(by_hand=(BlocksByHand(placement=(), ignore=(1, 2)),))), BESIDE)


def test_a_rule_is_for_the_files_that_it_names() -> None:
    other = PassRules(by_hand=(BlocksByHand(files="other*", placement=(3,)),))
    both = sew.design(sew.run(CIRCLE), sew.run(CIRCLE), sew.run(BESIDE), sew.run(BESIDE))
    assert_cut(understood(both, other), CIRCLE, BESIDE)


def test_a_base_layer_named_in_the_rules_is_one() -> None:
    found = understood(DRAWING, PassRules(by_hand=(BlocksByHand(placement=(), base=(1,)),)))
    assert [piece.kind for piece in found.pieces] == ["base"]


def test_a_named_block_without_a_closed_line_is_a_finding() -> None:
    assert "no-line-in-block" in codes(
        understood(DRAWING, PassRules(by_hand=(BlocksByHand(placement=(7,)),)))
    )


def test_an_unsure_piece_comes_with_the_lines_that_have_it_cut() -> None:
    design = sew.design(sew.run(CIRCLE, 3.0), sew.run(CIRCLE))
    strict = PassRules(confidence=0.99)
    found = understood(design, strict)
    (finding,) = [each for each in found.findings if each.code == "unsure-piece"]
    assert not found.pieces[0].cut
    pasted = yaml.safe_load(finding.advice.partition("\n")[2])
    rules = PassRules.model_validate({"confidence": strict.confidence, **pasted["passes"]})
    assert_cut(understood(design, rules), CIRCLE)


def test_the_lines_for_an_unsure_piece_keep_those_that_are_sure() -> None:
    line, beside = sew.bean(BESIDE), sew.bean(sew.circle(15.5, (70.0, 0.0)))
    design = sew.design(sew.run(CIRCLE), sew.run(CIRCLE), sew.satin(CIRCLE), line, beside)
    strict = PassRules(confidence=0.9)
    found = understood(design, strict)
    (finding,) = [each for each in found.findings if each.code == "unsure-piece"]
    assert [piece.cut for piece in found.pieces] == [True, False]
    pasted = yaml.safe_load(finding.advice.partition("\n")[2])
    rules = PassRules.model_validate({"confidence": strict.confidence, **pasted["passes"]})
    assert_cut(understood(design, rules), CIRCLE, BESIDE)


def by_hand(**blocks: tuple[int, ...]) -> PassRules:
    return PassRules(by_hand=(BlocksByHand.model_validate(blocks),))


def test_a_zigzag_named_as_placement_draws_its_line_along_its_middle() -> None:
    zigzags = sew.design(sew.zigzag(CIRCLE, 1.2), sew.zigzag(CIRCLE, 2.0), sew.satin(CIRCLE))
    found = understood(zigzags, by_hand(placement=(1,), tack_down=(2,), cover=(3,)))
    assert_cut(found, CIRCLE)


def test_an_open_line_named_in_the_rules_is_closed_straight() -> None:
    r"""An ear that ends under a head which is placed later.

     .--.
    |    |
    |    |   <- open for 20 mm
    """
    ear = np.array([(0.0, 0.0), (0.0, -30.0), (20.0, -30.0), (20.0, 0.0)])
    found = understood(sew.design(sew.run(ear), sew.run(ear)), by_hand(placement=(1,), tack_down=(2,)))
    assert_cut(found, sew.rectangle(0.0, -30.0, 20.0, 30.0))
    assert "gap-closed" in codes(found)


def test_beside_a_line_that_the_named_passes_follow_its_block_draws_no_other_pieces() -> None:
    drawn = sew.design([sew.run(CIRCLE), sew.CUT, sew.run(BESIDE)], sew.run(CIRCLE), sew.satin(CIRCLE))
    assert_cut(understood(drawn, by_hand(placement=(1,), tack_down=(2,), cover=(3,))), CIRCLE)
    assert_cut(understood(drawn, by_hand(placement=(1,))), CIRCLE, BESIDE)


def test_a_line_inside_one_that_the_named_passes_follow_is_a_hole() -> None:
    inner = sew.circle(9.0)
    ring = sew.design([sew.run(CIRCLE), sew.CUT, sew.run(inner)], sew.run(CIRCLE), sew.satin(CIRCLE))
    found = understood(ring, by_hand(placement=(1,), tack_down=(2,), cover=(3,)))
    assert_cut(found, region(CIRCLE, inner))


def test_block_numbers_become_lines_that_match_this_design_alone() -> None:
    lines = lines_for_rules("Rösé [1]*.pes", placement=[3, 1, 1], tack_down=[2])
    assert lines == (
        'passes:\n  by_hand:\n    - files: "Rösé [[]1][*].pes"\n'
        "      placement: [1, 3]\n      tack_down: [2]\n      cover: []"
    )
    assert lines_for_rules("a", base=[4]).endswith("cover: []\n      base: [4]")


def test_the_lines_for_pieces_name_every_block_that_makes_them() -> None:
    frame = sew.rectangle(-50.0, -50.0, 150.0, 150.0)
    batting = [sew.run(frame, 5.0), sew.zigzag(frame, 3.0)]
    found = understood(sew.design(*batting, sew.run(CIRCLE), sew.run(CIRCLE), sew.satin(CIRCLE)))
    assert [piece.kind for piece in found.pieces] == ["base", "applique"]
    assert lines_for_pieces("a", found.pieces, found.passes).splitlines()[3:] == [
        "      placement: [3]",
        "      tack_down: [2, 4]",
        "      cover: [5]",
        "      base: [1]",
    ]


def test_named_blocks_tell_tack_down_and_cover_apart() -> None:
    beans = sew.design(sew.run(CIRCLE), sew.bean(CIRCLE), sew.bean(CIRCLE))
    named = understood(beans, by_hand(placement=(1,), tack_down=(3,), cover=(2,)))
    assert roles(named)[1:] == [(2, Role.COVER), (3, Role.TACK_DOWN)]
