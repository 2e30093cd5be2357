"""What makes a line surer or less sure, and that it is said."""

from __future__ import annotations

from dataclasses import fields, replace

import pytest

from piecewright.cutting.pieces.confidence import confidence, log_odds, sentences
from piecewright.cutting.pieces.evidence import Evidence
from piecewright.cutting.pieces.words import Hint

NOTHING = {"float": 0.0, "int": 0, "bool": False, "tuple[int, ...]": (), "Hint | None": None}
MUCH = {"float": 1.0, "int": 9, "bool": True}
CLOSE_GAP_MM = 2.0

COVERED = Evidence(
    **{
        **{field.name: NOTHING[str(field.type)] for field in fields(Evidence)},  # type: ignore[arg-type]  # each of its own type
        "repeated": 1.0,
        "held": 1.0,
        "covered": 1.0,
        "alone": 1.0,
        "blocks": (2, 3),
        "bridged": True,
        "finer": 1.0,
        "length_mm": 100.0,
    }
)
"""A line as they should be: held in block 2 and covered in block 3."""

BARE = replace(COVERED, covered=0.0)
SIGNS = [str(field.name) for field in fields(Evidence) if str(field.type) in MUCH]


def with_much(evidence: Evidence, sign: str) -> Evidence:
    """The same line with one sign seen wholly, or not at all if it was."""
    (kind,) = (str(field.type) for field in fields(Evidence) if field.name == sign)
    much = 8.0 if sign.endswith("_mm") else MUCH[kind]
    changed = {sign: NOTHING[kind] if getattr(evidence, sign) == much else much}
    return replace(evidence, **changed)  # type: ignore[arg-type]  # each of its own type


def sure(evidence: Evidence) -> float:
    return confidence(evidence, CLOSE_GAP_MM)


def test_a_line_that_is_held_and_covered_is_nearly_certain_and_one_that_nothing_follows_is_none() -> None:
    assert sure(COVERED) > 0.99
    assert 0.5 < sure(BARE) < sure(COVERED)
    assert sure(replace(BARE, repeated=0.0, held=0.0, blocks=())) < 0.05
    assert not [told for told in sentences(COVERED) if told.startswith("but")]


@pytest.mark.parametrize("line", [COVERED, BARE], ids=["covered", "bare"])
@pytest.mark.parametrize("sign", SIGNS)
def test_whatever_speaks_against_a_line_by_more_than_a_little_is_said(line: Evidence, sign: str) -> None:
    changed = with_much(line, sign)
    lost = log_odds(line, CLOSE_GAP_MM) - log_odds(changed, CLOSE_GAP_MM)
    said = set(sentences(changed)) ^ set(sentences(line))
    assert said or lost < 1.5


@pytest.mark.parametrize("hint", list(Hint))
def test_what_the_thread_is_named_makes_a_line_surer_and_is_said(hint: Hint) -> None:
    named = replace(BARE, hint=hint)
    assert sure(named) > sure(BARE)
    assert f"named like {hint.value}" in "\n".join(sentences(named))


@pytest.mark.parametrize(
    "sign",
    [
        "filled_before",
        "filled_after",
        "covered_before",
        "redrawn",
        "missing",
        "tangled",
        "beyond",
        "spread_mm",
        "crowded",
        "tacks",
        "barred",
        "bean",
        "zigzag",
        "drawn_beside",
    ],
)
def test_a_sign_against_a_line_counts_and_is_told_as_one_covered_or_not(sign: str) -> None:
    for line in (COVERED, BARE):
        changed = with_much(line, sign)
        assert sure(changed) < sure(line)
        (told,) = set(sentences(changed)) - set(sentences(line))
        assert told.startswith("but ")


@pytest.mark.parametrize("sign", ["echoed", "outside_mm", "wound", "moved_mm", "rows", "inset_mm"])
def test_what_makes_quilting_of_a_bare_line_counts_most_where_nothing_covers_it(sign: str) -> None:
    def lost(line: Evidence) -> float:
        with_sign = replace(with_much(line, sign), inset_mm=8.0 if sign in {"echoed", "inset_mm"} else 0.0)
        return log_odds(line, CLOSE_GAP_MM) - log_odds(with_sign, CLOSE_GAP_MM)

    assert lost(BARE) > max(lost(COVERED), 1.5)


def test_a_gap_that_later_passes_leave_too_is_no_gap() -> None:
    open_line = replace(COVERED, widest_gap_mm=CLOSE_GAP_MM + 0.1, bridged=False)
    assert sure(open_line) < sure(COVERED)
    assert sure(replace(open_line, bridged=True)) == sure(COVERED)
    assert sure(replace(open_line, widest_gap_mm=CLOSE_GAP_MM)) == sure(COVERED)


def test_a_zigzag_sewn_over_once_is_less_likely_a_placement_line_than_one_that_is_held_and_covered() -> None:
    once = replace(COVERED, zigzag=True, blocks=(2,))
    assert sure(once) < sure(replace(COVERED, zigzag=True))
    assert log_odds(replace(COVERED, blocks=(2,)), 2.0) - log_odds(once, 2.0) > 6.0
