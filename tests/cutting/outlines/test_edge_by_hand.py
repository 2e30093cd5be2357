"""The edge check on points and regions made by hand: sums, stretches, and what the findings say."""

from __future__ import annotations

import numpy as np
import pytest

from piecewright.cutting.geometry import FloatArray, Region, frozen
from piecewright.cutting.outlines.edge import (
    SHOWING,
    SPARE_MM,
    Margins,
    check_edge,
    edge_findings,
    hidden_stretches,
    without_slits,
)
from piecewright.cutting.outlines.values import EdgeCheck

SQUARE = Region(exterior=frozen([(0, 0), (40, 0), (40, 40), (0, 40)]))
NOTHING = np.zeros((0, 2))


def row(*marks: str) -> Margins:
    """Rings of points a millimetre apart, each ring a string: ``#`` hidden, ``.`` not."""
    points = [[(float(x), float(y)) for x in range(len(mark))] for y, mark in enumerate(marks)]
    return Margins(
        points=frozen(np.concatenate(points)),
        margin_mm=None,
        hidden=np.array([letter == "#" for mark in marks for letter in mark]),
        starts=tuple(int(k) for k in np.cumsum([0, *(len(mark) for mark in marks[:-1])])),
    )


def ends(*marks: str) -> list[tuple[list[float], list[float]]]:
    return [(each[0].tolist(), each[-1].tolist()) for each in hidden_stretches(row(*marks))]


def test_hidden_stretches_go_from_their_first_point_to_their_last() -> None:
    assert ends("..####..###.") == [([2.0, 0.0], [5.0, 0.0]), ([8.0, 0.0], [10.0, 0.0])]
    assert ends("##..") == [([0.0, 0.0], [1.0, 0.0])]


def test_a_stretch_over_the_beginning_of_the_ring_is_one() -> None:
    assert ends("##....##") == [([6.0, 0.0], [1.0, 0.0])]


def test_a_single_hidden_point_is_no_stretch_and_nothing_hidden_has_none() -> None:
    assert ends("..#..") == []
    assert ends(".....") == []


def test_a_ring_all_hidden_is_one_closed_stretch_and_rings_are_looked_at_one_by_one() -> None:
    whole, part = hidden_stretches(row("#####", ".###."))
    assert whole.tolist() == [[0, 0], [1, 0], [2, 0], [3, 0], [4, 0], [0, 0]]
    assert (part[0].tolist(), part[-1].tolist()) == ([1.0, 1.0], [3.0, 1.0])


def test_long_stretches_keep_every_fourth_point_and_their_last() -> None:
    (stretch,) = hidden_stretches(row("." + "#" * 11))
    assert stretch[:, 0].tolist() == [1, 5, 9, 11]


def judged(margins_mm: list[float], hidden: str, tack: FloatArray = NOTHING) -> EdgeCheck:
    points = frozen([(float(x), 0.0) for x in range(len(margins_mm))])
    flags = np.array([letter == "#" for letter in hidden])
    return check_edge(
        Margins(points=points, margin_mm=frozen(margins_mm), hidden=flags, starts=(0,)), SQUARE, tack
    )


def test_what_is_hidden_does_not_count_among_what_is_covered() -> None:
    edge = judged([1.0, -9.0, 2.0, 0.5, -0.3], ".#...")
    assert edge.least_cover_mm == -0.3
    assert edge.median_cover_mm == 0.75
    assert edge.uncovered_share == 0.25
    assert edge.hidden_share == 0.2
    assert edge.worst_place == (4.0, 0.0)
    assert edge.least_reach_mm is None


def test_an_edge_is_bare_where_more_than_half_a_thread_of_it_sticks_out() -> None:
    assert judged([-0.2, -0.19, 0.0, 1.0], "....").uncovered_share == 0.0
    assert judged([-0.21, -0.19, 0.0, 1.0], "....").uncovered_share == 0.25


def test_reach_is_that_of_the_needle_point_nearest_the_edge() -> None:
    assert judged([1.0], ".", np.array([(20.0, 20.0), (37.0, 20.0)])).least_reach_mm == 3.0
    assert judged([1.0], ".", np.array([(20.0, 20.0), (42.0, 20.0)])).least_reach_mm == -2.0
    assert judged([1.0], "#", np.array([(20.0, 37.0)])).least_reach_mm == 3.0


def test_an_edge_that_shows_is_told_with_share_and_distance_and_place() -> None:
    edge = EdgeCheck(
        least_cover_mm=-0.74, median_cover_mm=1.0, uncovered_share=0.126, worst_place=(12.5, -3.0)
    )
    (finding,) = edge_findings("B", edge, NOTHING, SQUARE)
    assert (finding.code, finding.piece, finding.place) == ("edge-shows", "B", (12.5, -3.0))
    assert finding.message == "The raw edge of piece B shows along 12 % of it, by up to 0.7 mm."
    assert "smaller offset" in finding.advice


@pytest.mark.parametrize(
    ("median", "least", "told"),
    [
        (0.156, 0.02, "lies only 0.16 mm inside its cover; at the worst place it lies 0.02 mm inside it."),
        (0.456, -0.12, "lies only 0.46 mm inside its cover; at the worst place it sticks out by 0.12 mm."),
        (-0.09, -0.18, "sticks out by 0.09 mm; at the worst place it sticks out by 0.18 mm."),
    ],
)
def test_an_edge_that_hardly_hides_is_told_with_both_distances(
    median: float, least: float, told: str
) -> None:
    edge = EdgeCheck(
        least_cover_mm=least, median_cover_mm=median, uncovered_share=0.0, worst_place=(1.0, 2.0)
    )
    (finding,) = edge_findings("A", edge, NOTHING, SQUARE)
    assert (finding.code, finding.piece, finding.place) == ("edge-close", "A", (1.0, 2.0))
    assert finding.message == f"The raw edge of piece A {told}"
    assert "smaller offset" in finding.advice


@pytest.mark.parametrize(
    ("least", "median", "share", "code"),
    [
        (0.0, SPARE_MM, SHOWING, []),
        (0.0, SPARE_MM - 0.01, 0.0, ["edge-close"]),
        (-0.01, 1.0, SHOWING, ["edge-close"]),
        (-0.01, 1.0, SHOWING + 0.001, ["edge-shows"]),
        (None, None, None, []),
    ],
)
def test_from_where_on_an_edge_is_a_finding(
    least: float | None, median: float | None, share: float | None, code: list[str]
) -> None:
    edge = EdgeCheck(least_cover_mm=least, median_cover_mm=median, uncovered_share=share)
    assert [finding.code for finding in edge_findings("A", edge, NOTHING, SQUARE)] == code


def test_a_tack_down_that_hardly_catches_or_misses_is_told_with_the_place() -> None:
    tack = np.array([(20.0, 20.0), (39.876, 20.123), (20.0, 30.0)])
    (near,) = edge_findings("C", EdgeCheck(least_reach_mm=0.124), tack, SQUARE)
    assert (near.code, near.piece, near.place) == ("reach-short", "C", (39.88, 20.12))
    assert near.message == "The tack-down of piece C runs only 0.1 mm inside its edge."
    (missed,) = edge_findings("C", EdgeCheck(least_reach_mm=-1.26), tack, SQUARE)
    assert missed.message == "The tack-down of piece C misses the fabric by 1.3 mm."
    assert "larger offset" in missed.advice
    assert edge_findings("C", EdgeCheck(least_reach_mm=SPARE_MM), tack, SQUARE) == []


def test_gaps_between_threads_are_no_openings_of_a_cover_and_windows_are() -> None:
    slit = frozen([(5, 5), (5, 15), (5.09, 15), (5.09, 5)])
    window = frozen([(20, 5), (20, 15), (20.11, 15), (20.11, 5)])
    kept = without_slits(Region(exterior=SQUARE.exterior, holes=(slit, window)))
    assert kept.exterior is SQUARE.exterior
    assert [hole.tolist() for hole in kept.holes] == [window.tolist()]
