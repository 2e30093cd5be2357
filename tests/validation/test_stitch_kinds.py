"""What a run is called, and how wide, close and long its stitches are, set beside what was sewn.

The machine that sews (stitchery.py) shares nothing with the finder; the whole table is printed by
``python -m tests.validation.stitch_trials``.
"""

from __future__ import annotations

import io
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
import pyembroidery
import pytest

from piecewright.cutting.formats import stitchfile
from piecewright.cutting.passes import Stitch, find_runs
from piecewright.cutting.rules import ReadingRules
from tests.validation import stitchery as sew
from tests.validation.stitch_trials import WELL_TOLD, Told, design_of, table, tell, trials

if TYPE_CHECKING:
    from piecewright.cutting.geometry import FloatArray

TOLD = {
    "blanket, open teeth": 0.8,
    "motif, chain": 0.7,
    "motif, vine": 0.55,
    "meander": 0.75,
    "cross-stitch": 0.88,
    "fill, light": 0.7,
}
"""Share of trials told right, where it is less than nineteen in twenty: teeth so wide that they are waves,
figures on a path that bends as they do, a few rows of stippling in a heart, eight crosses, the first rows of
a disc."""
ELSEWHERE = 0.95

WIDTH_MM, SPACING_MM, STITCH = 0.1, 0.2, 0.15
"""How far nine of ten measures may lie from the truth: the grid, and a stitch more or less in a span."""


@cache
def results() -> tuple[Told, ...]:
    return tuple(tell(trial) for trial in trials())


def test_every_kind_of_stitch_is_told_on_every_path() -> None:
    told = results()
    assert len({result.trial.way for result in told}) >= 30
    for way in {result.trial.way for result in told}:
        of_way = [result.right >= WELL_TOLD for result in told if result.trial.way == way]
        assert np.mean(of_way) >= TOLD.get(way, ELSEWHERE), table(told)


def test_no_kind_that_places_is_taken_for_one_that_covers() -> None:
    """Runs, double runs and beans never for satin, zigzag, blanket or fill; nor these for them."""
    lines = {Stitch.SINGLE_RUN, Stitch.DOUBLE_RUN, Stitch.BEAN}
    across = {Stitch.SATIN, Stitch.ZIGZAG, Stitch.BLANKET, Stitch.FILL}
    for result in results():
        most = result.said.most_common(1)[0][0]
        if result.trial.kinds <= lines:
            assert most not in across, result.trial.where
        if result.trial.kinds <= {Stitch.SATIN}:
            assert most not in lines, result.trial.where


def wide(result: Told) -> bool:
    """On bends as tight as the stitch is wide the distances outside and inside are not those on the path."""
    return not result.trial.where.startswith(("dot", "circle-8", "spiral"))


@pytest.mark.parametrize(
    ("error", "most"),
    [("width_error_mm", WIDTH_MM), ("spacing_error_mm", SPACING_MM), ("stitch_error", STITCH)],
)
def test_what_is_measured_is_what_was_sewn(error: str, most: float) -> None:
    told = results()
    for way in {result.trial.way for result in told}:
        errors = [getattr(result, error) for result in told if result.trial.way == way and wide(result)]
        known = np.abs([value for value in errors if value is not None])
        assert not len(known) or np.quantile(known, 0.9) <= most, table(told)


WRITERS = {
    "DST": pyembroidery.write_dst,
    "PES": pyembroidery.write_pes,
    "JEF": pyembroidery.write_jef,
    "EXP": pyembroidery.write_exp,
    "VP3": pyembroidery.write_vp3,
    "XXX": pyembroidery.write_xxx,
}


def read_back(points: FloatArray, kind: str) -> FloatArray:
    """Needle points written in a format by another library, and read as a drop is."""
    pattern = pyembroidery.EmbPattern()
    pattern.add_thread({"color": 0x336699})
    for x, y in np.round(points * 10).tolist():
        pattern.add_stitch_absolute(pyembroidery.STITCH, x, y)
    pattern.end()
    stream = io.BytesIO()
    WRITERS[kind](pattern, stream)
    (block,) = stitchfile.read(stream.getvalue(), f"trial.{kind.lower()}", ReadingRules()).blocks
    return block.points


@pytest.mark.parametrize("kind", sorted(WRITERS))
def test_every_format_gives_the_same_kinds(kind: str) -> None:
    rng = np.random.default_rng(5)
    path = sew.PATHS["heart"]
    sewn = {
        Stitch.SINGLE_RUN: sew.run(path, 2.5, rng),
        Stitch.DOUBLE_RUN: sew.two_laps(path, 2.5, rng),
        Stitch.BEAN: sew.bean(path, 2.5, 5, rng),
        Stitch.ZIGZAG: sew.zigzag(path, 3.0, 2.0),
        Stitch.SATIN: sew.square_satin(path, 4.0, 0.4),
        Stitch.BLANKET: sew.blanket(path, 2.5, 2.5, -1.0, sew.Tooth(times=2)),
        Stitch.FILL: sew.fill(sew.AREAS["heart"], 0.6, 3.5, 30.0),
        Stitch.MOTIF: sew.figures(path, sew.FIGURES["candlewick"], 2.5, 4.5),
    }
    for meant, points in sewn.items():
        runs = find_runs(design_of(read_back(sew.as_sewn(points, 0.0, rng), kind)))
        assert max(runs, key=lambda run: len(run.points)).stitch is meant
