"""From evidence to a number between 0 and 1, and to sentences.

The number is a logistic sum: each piece of evidence adds its weight in log-odds, so that evidence adds
up and no single sign decides.
"""

from __future__ import annotations

from math import exp
from typing import TYPE_CHECKING, Final

from piecewright.cutting.pieces.words import Hint
from piecewright.cutting.plaintext import listing, per_cent

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piecewright.cutting.pieces.evidence import Evidence

START: Final = -4.0
"""Most closed lines are no placement lines."""


WHOLLY_ALONE: Final = 0.95
"""All but ties."""

Ramp = tuple[float, float]
"""From where on a measure counts at all, and from where on it counts wholly."""

REPEATED: Final[Ramp] = (0.3, 0.85)
COVERED: Final[Ramp] = (0.3, 0.8)
HELD: Final[Ramp] = (0.3, 0.8)
FILLED: Final[Ramp] = (0.15, 0.6)
FILLED_AFTER: Final[Ramp] = (0.25, 0.7)
OVER: Final[Ramp] = (0.5, 0.85)
REDRAWN: Final[Ramp] = (0.02, 0.2)
SPREAD_MM: Final[Ramp] = (1.6, 2.2)
CROWDED: Final[Ramp] = (0.5, 0.8)
TACKS: Final[Ramp] = (0.45, 0.7)
INSET_MM: Final[Ramp] = (1.5, 3.0)
BESIDE_MM: Final[Ramp] = (1.7, 2.2)
ROWS: Final[Ramp] = (0.4, 0.7)
DRAWN_BESIDE: Final[Ramp] = (0.4, 0.7)
OUTSIDE_MM: Final[Ramp] = (0.25, 0.55)
WOUND: Final[Ramp] = (2.0, 4.0)
MOVED_MM: Final[Ramp] = (0.4, 0.7)
BARRED: Final[Ramp] = (0.15, 0.4)
DETAILS: Final[Ramp] = (0.15, 0.3)
HIDDEN: Final[Ramp] = (0.6, 1.5)
TANGLES: Final[Ramp] = (0.25, 0.5)
ECHOES: Final[Ramp] = (1.0, 2.0)


WEIGHTS: Final = {
    # for
    "sewn again": 4.0,
    "covered": 1.6,
    "held": 0.8,
    "in several blocks": 1.0,
    "meandered only": 4.2,
    "meandered too": 0.6,
    "alone": 0.8,
    "finer later": 0.4,
    "named placement": 3.0,
    "named as a piece": 2.5,
    "named tack-down": 0.5,
    # against
    "filled before": -5.0,
    "filled later": -4.0,
    "on an underlay": -4.0,
    "redrawn, covered": -3.0,
    "redrawn, bare": -4.0,
    "not sewn": -6.0,
    "open": -2.5,
    "crosses itself": -4.0,
    "bean": -1.5,
    "bean in turn": -0.5,
    "zigzag": -2.0,
    "zigzag, sewn over once": -4.5,
    "beyond": -2.0,
    "drifting": -3.0,
    "crowded": -3.0,
    "well inside": -0.8,
    "drawn beside": -3.5,
    "counter of a fill": -3.5,
    "tacks another": -2.8,
    "barred": -4.0,
    "details before it is held": -4.0,
    "hides lines": -4.0,
    "edge run of a satin": -4.0,
    "one of echoes": -4.5,
    "rows, covered": -1.0,
    "rows before, covered": -2.5,
    # against, if nothing covers it
    "echoed": -2.0,
    "beside": -1.8,
    "beside, held to last": -0.2,
    "outside": -2.0,
    "rows, bare": -3.5,
    "wound": -2.5,
    "moved aside": -3.0,
}
"""What each sign adds to the sum of evidence where it counts wholly."""

SLOPE: Final = 1.83
SHIFT: Final = -0.48
"""From the sum of the weights to log-odds, as designs with known truth show it (DEVELOPERS.md)."""


def confidence(e: Evidence, close_gap_mm: float) -> float:
    """How sure it is that a ring is a placement line, 0 to 1."""
    return 1 / (1 + exp(-log_odds(e, close_gap_mm)))


def log_odds(e: Evidence, close_gap_mm: float) -> float:
    """Sum of the weights of all evidence, stretched to what it has meant."""
    seen = signs(e, close_gap_mm)
    return SLOPE * (START + sum(WEIGHTS[name] * value for name, value in seen.items())) + SHIFT


def signs(e: Evidence, close_gap_mm: float) -> dict[str, float]:
    """How much of each sign is seen, 0 to 1; signs that are not there may be left out."""
    bare = e.covered < COVERED[0]
    return {**_for(e), **_against(e, close_gap_mm), **(_bare(e) if bare else _covered(e))}


def _for(e: Evidence) -> dict[str, float]:
    only = e.meandered and e.repeated < REPEATED[0]
    return {
        "sewn again": _ramp(e.repeated, *REPEATED),
        "covered": _ramp(e.covered, *COVERED),
        "held": _ramp(e.held, *HELD),
        "in several blocks": float(len(e.blocks) > 1),
        "meandered only": float(only),
        "meandered too": float(e.meandered and not only),
        "alone": e.alone,
        "finer later": float(e.finer > 1.15),  # noqa: PLR2004 - more than noise
        "named placement": float(e.hint is Hint.PLACEMENT),
        "named as a piece": float(e.hint in {Hint.APPLIQUE, Hint.BASE}),
        "named tack-down": float(e.hint is Hint.TACK_DOWN),
    }


def _against(e: Evidence, close_gap_mm: float) -> dict[str, float]:
    return {
        "filled before": _ramp(e.filled_before, *FILLED),
        "filled later": _ramp(e.filled_after, *FILLED_AFTER),
        "on an underlay": _ramp(e.covered_before, *OVER),
        "not sewn": e.missing,
        "open": float(e.widest_gap_mm > close_gap_mm and not e.bridged),
        "crosses itself": max(e.tangled, _ramp(e.tangles, *TANGLES)),
        "bean": float(e.bean and not e.in_turn),
        "bean in turn": float(e.bean and e.in_turn),
        "zigzag" if len(e.blocks) > 1 else "zigzag, sewn over once": float(e.zigzag),
        "beyond": float(e.beyond),
        "drifting": _ramp(e.spread_mm, *SPREAD_MM),
        "crowded": _ramp(e.crowded, *CROWDED),
        "well inside": _ramp(e.inset_mm, *INSET_MM),
        "drawn beside": _ramp(e.drawn_beside, *DRAWN_BESIDE),
        "counter of a fill": float(e.counter),
        "tacks another": _ramp(e.tacks, *TACKS),
        "barred": _ramp(e.barred, *BARRED),
        "details before it is held": 0.0 if e.meandered else _ramp(e.details, *DETAILS),
        "hides lines": _ramp(e.hidden, *HIDDEN),
        "edge run of a satin": float(e.edge_run),
        "one of echoes": _ramp(e.echoes, *ECHOES),
        "redrawn, covered" if e.covered > COVERED[0] else "redrawn, bare": _ramp(e.redrawn, *REDRAWN),
    }


def _covered(e: Evidence) -> dict[str, float]:
    """Against a line that is covered later: what was sewn in rows before it is only bordered."""
    return {"rows, covered": _ramp(e.rows, *ROWS), "rows before, covered": _ramp(e.rows_before, *ROWS)}


def _bare(e: Evidence) -> dict[str, float]:
    """Against a line that nothing covers later: what is sewn so may be quilting or a drawing."""
    meant = e.firm or e.in_turn or e.carries
    beside = "echoed" if e.echoed else "beside, held to last" if meant else "beside"
    return {
        beside: _ramp(e.inset_mm, *BESIDE_MM),
        "outside": _ramp(e.outside_mm, *OUTSIDE_MM),
        "rows, bare": _ramp(e.rows, *ROWS),
        "wound": _ramp(e.wound, *WOUND),
        "moved aside": _ramp(e.moved_mm, *MOVED_MM),
    }


def _ramp(value: float, none: float, full: float) -> float:
    """0 up to one value, 1 from another on, straight between."""
    return min(max((value - none) / (full - none), 0.0), 1.0)


def sentences(e: Evidence) -> tuple[str, ...]:
    """The evidence in words that a sewer understands."""
    found = []
    if e.by_hand:
        found.append("the rules name its block")
    if e.blocks:
        found.append(
            f"sewn again in {blocks_named(e.blocks)} after a halt, along {_percent(e.repeated)} of the line"
        )
    if e.covered > COVERED[0]:
        found.append(f"satin, zigzag or blanket stitch runs along {_percent(e.covered)} of it later")
    found += [words for true, words in _in_favour(e) if true]
    return (*found, *(f"but {doubt}" for doubt in _doubts(e)))


def _in_favour(e: Evidence) -> list[tuple[bool, str]]:
    return [
        (e.meandered, "a later pass wanders all over its inside"),
        (e.alone > WHOLLY_ALONE, "nothing but closed lines is sewn in its block"),
        (e.in_turn, "it is sewn again before the next line is placed, piece by piece"),
        (e.carries and e.covered < COVERED[0], "pieces are placed inside it once it is held"),
        (e.hint is not None, f"the thread of its block is named like {e.hint.value if e.hint else ''}"),
    ]


def _doubts(e: Evidence) -> list[str]:
    return [words for true, words in (*_always(e), *_if_bare(e)) if true]


def _always(e: Evidence) -> list[tuple[bool, str]]:
    """What speaks against a line, from where its weight begins."""
    return [
        (not e.blocks and not e.meandered, "nothing follows the line after a halt"),
        (e.filled_before > FILLED[0], "its inside is filled before"),
        (e.filled_after > FILLED_AFTER[0], "its inside is filled later"),
        (e.covered_before > OVER[0], "stitches with a width lie along it before the halt, as on an underlay"),
        (e.redrawn > REDRAWN[0], "open lines of its block are sewn again as well, like a drawing"),
        (e.missing > 0.0, f"{_percent(e.missing)} of the line is not sewn"),
        (e.tangled > 0.0, "the line crosses itself"),
        (e.tangles > TANGLES[0], "lines of its block cross themselves, as in ornaments"),
        (e.beyond, "what is sewn later lies outside the line and would miss the fabric"),
        (e.spread_mm > SPREAD_MM[0], "what is sewn later does not keep its distance from it"),
        (e.crowded > CROWDED[0], "another line of its block crosses it and encloses much the same ground"),
        (e.tacks > TACKS[0], "it lies evenly inside a line sewn before, which it may only hold"),
        (e.counter, "it is the inner edge of what is filled, not of a piece"),
        (e.barred > BARRED[0], "open lines run across it that are sewn over too, as in lace"),
        (
            e.details > DETAILS[0] and not e.meandered,
            "details are sewn inside the lines of its block before anything could hold fabric there",
        ),
        (e.hidden > HIDDEN[0], "lines inside it are sewn before the halt, which fabric would hide"),
        (e.edge_run, "one satin covers it and another line of its block, as it covers its own edge runs"),
        (e.echoes > ECHOES[0], "it is one of several lines at even distances, sewn before any is sewn again"),
        (e.bean, "it is sewn as a bean, like a drawing"),
        (e.zigzag, "it is sewn as a zigzag, as few placement lines are"),
    ]


def _if_bare(e: Evidence) -> list[tuple[bool, str]]:
    """The same of a line that nothing covers."""
    bare = e.covered < COVERED[0]
    return [
        (bare and e.echoed, "lines follow each other at a distance, as in echo quilting"),
        (e.rows > ROWS[0], "rows of stitches fill its inside"),
        (not bare and e.rows_before > ROWS[0], "rows of stitches fill its inside before"),
        (bare and not e.echoed and e.inset_mm > BESIDE_MM[0], "what is sewn later lies well inside the line"),
        (e.drawn_beside > DRAWN_BESIDE[0], "other lines of its block only go round fills"),
        (bare and not e.beyond and e.outside_mm > OUTSIDE_MM[0], "what is sewn later lies outside the line"),
        (bare and e.moved_mm > MOVED_MM[0], "the same line is sewn again moved aside, like a shadow"),
        (bare and e.wound > WOUND[0], "the thread crosses the line again and again"),
    ]


def blocks_named(numbers: Sequence[int]) -> str:
    """Block numbers as people say them: "block 4", "blocks 2, 3 and 5"."""
    return f"{'block' if len(numbers) == 1 else 'blocks'} {listing(map(str, numbers))}"


def _percent(share: float) -> str:
    return "all" if share > 0.97 else per_cent(share)  # noqa: PLR2004 - but for the seam
