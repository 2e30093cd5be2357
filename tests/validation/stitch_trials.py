"""Every kind of stitch, sewn under many conditions: ``python -m tests.validation.stitch_trials [TEXT] [-v]``.

Prints for each way of sewing how much of it was told right, what else it was taken for, and how far width,
spacing and stitch length lie from the truth. TEXT chooses ways of sewing; ``-v`` names each that failed.
"""

from __future__ import annotations

import sys
from collections import Counter
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.design import Block, Design, Thread
from piecewright.cutting.geometry import frozen
from piecewright.cutting.passes import Stitch, find_runs
from tests.validation import stitchery as sew

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from piecewright.cutting.geometry import BoolArray, FloatArray
    from piecewright.cutting.passes import Run

NOISES_MM: Final = (0.0, 0.02, 0.05)
TIES: Final = ("none", "back", "triangle")
SEEDS: Final = (11, 12)

WELL_TOLD: Final = 0.9
"""Share of its needle points from which on a trial counts as told right: ties and travels may differ."""

LINE = frozenset({Stitch.SINGLE_RUN})
DOUBLE = frozenset({Stitch.DOUBLE_RUN})
BEAN = frozenset({Stitch.BEAN})
SATIN = frozenset({Stitch.SATIN})
ZIGZAG = frozenset({Stitch.ZIGZAG})
BLANKET = frozenset({Stitch.BLANKET})
FIGURE = frozenset({Stitch.MOTIF})
FILL = frozenset({Stitch.FILL})
CROSS = frozenset({Stitch.CROSS_STITCH})
MEANDER = frozenset({Stitch.MEANDER})


@dataclass(frozen=True)
class Trial:
    """Something sewn, and what it is.

    Attributes:
        way: Name of the way of sewing.
        points: Needle points, (n, 2) mm.
        kinds: What it may be called.
        width_mm: True width; None where it has none of its own.
        spacing_mm: True spacing.
        stitch_mm: True mean length of its stitches.
        judged: Which needle points are of these kinds, (n,); all, if nothing else is sewn with them.
        where: Path and conditions.
    """

    way: str
    points: FloatArray
    kinds: frozenset[Stitch]
    width_mm: float | None = None
    spacing_mm: float | None = None
    stitch_mm: float | None = None
    judged: BoolArray | None = None
    where: str = ""


@dataclass(frozen=True)
class Told:
    """What a trial was taken for: share told right, needle points by kind, and errors against the truth."""

    trial: Trial
    right: float
    said: Counter[Stitch]
    width_error_mm: float | None
    spacing_error_mm: float | None
    stitch_error: float | None


def _lines(path: sew.Path, rng: np.random.Generator) -> Iterator[Trial]:
    length = float(rng.uniform(1.2, 4.0))
    sewn = [
        ("run", sew.run(path, length, rng), LINE),
        ("run, uneven", sew.run(path, length, rng, 0.3), LINE),
        ("double run, same holes", sew.to_and_fro(path, length, rng, same_holes=True), DOUBLE),
        ("double run, own holes", sew.to_and_fro(path, length, rng, same_holes=False), DOUBLE),
        ("bean of 3", sew.bean(path, length, 3, rng), BEAN),
        ("bean of 5", sew.bean(path, length, 5, rng), BEAN),
        ("sketch", sew.sketch(path, length, float(rng.uniform(0.4, 1.6)), rng), LINE | DOUBLE | MEANDER),
        *([("two laps", sew.two_laps(path, length, rng), DOUBLE)] if path.closed else []),
    ]
    for way, points, kinds in sewn:
        mean = float(np.hypot(*np.diff(points, axis=0).T).mean())
        yield Trial(way, points, kinds, width_mm=0.0, spacing_mm=0.0, stitch_mm=mean)


def _across(path: sew.Path, rng: np.random.Generator, *, small: bool) -> Iterator[Trial]:
    width, wide = (
        float(rng.uniform(1.2, 2.5 if small else 5.0)),
        float(rng.uniform(1.2, 3.0 if small else 6.0)),
    )
    spacing, density = float(rng.uniform(1.3, 4.0)), float(rng.uniform(0.3, 0.7))
    yield Trial("zigzag", sew.zigzag(path, width, spacing), ZIGZAG, width, spacing)
    yield Trial("satin", sew.zigzag(path, wide, density), SATIN, wide, density)
    yield Trial("satin, square", sew.square_satin(path, wide, density), SATIN, wide, density)
    if not small:
        close = float(rng.uniform(0.9, 1.2))
        yield Trial("satin or zigzag", sew.zigzag(path, width, close), SATIN | ZIGZAG, width, close)


def _split(path: sew.Path, rng: np.random.Generator) -> Iterator[Trial]:
    broad, density = float(rng.uniform(7.0, 10.0)), float(rng.uniform(0.3, 0.7))
    points = sew.split(sew.zigzag(path, broad, density), float(rng.uniform(3, 6.5)), rng)
    yield Trial("split satin", points, SATIN, broad, density)


def _blankets(path: sew.Path, rng: np.random.Generator, *, small: bool) -> Iterator[Trial]:
    bite = float(rng.uniform(1.2, 1.8 if small else 4.0))
    apart = float(rng.uniform(1.5, 2.5 if small else 4.0))
    for side, inward in (("left", 1.0), ("right", -1.0)):
        for times, name in ((1, "blanket"), (2, "double blanket")):
            points = sew.blanket(path, bite, apart, inward, sew.Tooth(times=times))
            yield Trial(f"{name}, {side}", points, BLANKET, bite, apart)
    inward, tooth = float(rng.choice([1.0, -1.0])), float(rng.uniform(0.5, 0.9))
    open_teeth = sew.blanket(path, bite, apart, inward, sew.Tooth(open_mm=tooth))
    yield Trial("blanket, open teeth", open_teeth, BLANKET, bite, apart)
    lean = float(rng.uniform(0.3, 0.8))
    leaning = sew.blanket(path, bite, apart, inward, sew.Tooth(lean_mm=lean))
    yield Trial("blanket, leaning", leaning, BLANKET, float(np.hypot(bite, lean)), apart)
    square = sew.battlement(path, bite, apart + tooth, inward, tooth + 0.3)
    yield Trial("blanket, square teeth", square, BLANKET | FIGURE, bite, apart + tooth)


def _together(path: sew.Path, rng: np.random.Generator) -> Iterator[Trial]:
    """Stitches of several kinds without a cut between."""
    wide, density = float(rng.uniform(2.5, 6.0)), float(rng.uniform(0.3, 0.6))
    parts = sew.in_columns(path, wide, density, int(rng.integers(2, 6)), rng)
    yield _judged(parts, range(1, len(parts), 3), Trial("satin in columns", parts[1], SATIN, wide, density))
    parts = sew.underlaid(path, wide, density, rng)
    yield _judged(parts, [2], Trial("satin over underlay", parts[2], SATIN, wide, density))
    yield _judged(parts, [1], Trial("zigzag under satin", parts[1], ZIGZAG, sew.UNDER * wide, 2.0))


def _judged(parts: list[FloatArray], chosen: Sequence[int], trial: Trial) -> Trial:
    judged = np.concatenate([np.full(len(part), k in chosen) for k, part in enumerate(parts)])
    return replace(trial, points=np.vstack(parts), judged=judged)


def _figures(path: sew.Path, rng: np.random.Generator) -> Iterator[Trial]:
    for name, figure in sew.FIGURES.items():
        size, gap = float(rng.uniform(2.0, 3.5)), float(rng.uniform(0.4, 3.0))
        spacing = float(figure[-1, 0]) * size or 0.6 * size + gap
        yield Trial(f"motif, {name}", sew.figures(path, figure, size, spacing), FIGURE)
    yield Trial("crosses in a row", sew.crosses(path, float(rng.uniform(2.0, 3.5))), FIGURE | CROSS)


def _areas(name: str, rng: np.random.Generator) -> Iterator[Trial]:
    area = sew.AREAS[name]
    row, length = float(rng.uniform(0.3, 0.7)), float(rng.uniform(2.5, 4.5))
    degrees = float(rng.uniform(0, 180))
    light = float(rng.uniform(0.9, 1.4))
    if name not in sew.NARROW:
        yield Trial("fill", sew.fill(area, row, length, degrees), FILL, None, row)
    if name in sew.OPEN:
        yield Trial("fill, light", sew.fill(area, light, length, degrees), FILL, None, light)
    if name != "small":
        wander = sew.stipple(area, float(rng.uniform(3, 5)), float(rng.uniform(1.2, 2.2)), rng)
        yield Trial("meander", wander, MEANDER)
    yield Trial("cross-stitch", sew.cross_area(area, float(rng.uniform(1.6, 2.6))), CROSS)


def trials(seeds: Sequence[int] = SEEDS) -> Iterator[Trial]:
    """Every way of sewing on every path, with noise, ties and direction drawn by lot."""
    for seed in seeds:
        for number, (where, path) in enumerate(sew.PATHS.items()):
            rng = np.random.default_rng([seed, number])
            for trial in _along(path if rng.random() < 0.5 else path.reversed(), where, rng):
                yield _finished(trial, where, rng)
        for number, where in enumerate(sew.AREAS):
            rng = np.random.default_rng([seed, 100 + number])
            for trial in _areas(where, rng):
                yield _finished(trial, where, rng)


def _along(path: sew.Path, where: str, rng: np.random.Generator) -> Iterator[Trial]:
    small = where in sew.SMALL
    yield from _lines(path, rng)
    yield from _across(path, rng, small=small)
    yield from _blankets(path, rng, small=small)
    if not small:
        yield from _together(path, rng)
        yield from _figures(path, rng)
    if where not in sew.SMALL | sew.TIGHT:
        yield from _split(path, rng)


def _finished(trial: Trial, where: str, rng: np.random.Generator) -> Trial:
    noise, tie = float(rng.choice(NOISES_MM)), str(rng.choice(TIES)) if trial.judged is None else "none"
    sizes = [
        f"{name} {value:.1f}"
        for name, value in (
            ("width", trial.width_mm),
            ("spacing", trial.spacing_mm),
            ("stitch", trial.stitch_mm),
        )
        if value
    ]
    return replace(
        trial,
        points=sew.as_sewn(sew.tied(trial.points, tie), noise, rng),
        where=", ".join([where, f"noise {noise}", f"ties {tie}", *sizes]),
    )


def tell(trial: Trial) -> Told:
    """Have a trial told, and set it beside the truth."""
    runs = find_runs(design_of(trial.points))
    said = Counter[Stitch]()
    told = np.zeros(len(trial.points), dtype=np.bool_)
    for run in runs:
        said[run.stitch] += len(run.points)
        told[run.first : run.last + 1] = run.stitch in trial.kinds
    right = [run for run in runs if run.stitch in trial.kinds]
    main = max(right, key=lambda run: len(run.points), default=None)
    stitch = _error(main, "stitch_length_mm", trial.stitch_mm)
    return Told(
        trial=trial,
        right=float((told if trial.judged is None else told[trial.judged]).mean()),
        said=said,
        width_error_mm=_error(main, "width_mm", trial.width_mm),
        spacing_error_mm=_error(main, "spacing_mm", trial.spacing_mm),
        stitch_error=None if stitch is None or not trial.stitch_mm else stitch / trial.stitch_mm,
    )


def _error(run: Run | None, name: str, true: float | None) -> float | None:
    return None if run is None or true is None else float(getattr(run, name)) - true


def design_of(points: FloatArray) -> Design:
    """A design of these needle points in one block."""
    none = np.zeros(len(points), dtype=np.bool_)
    none.setflags(write=False)
    block = Block(number=1, thread=Thread(), points=frozen(points), cut_before=none, travel_before=none)
    return Design(name="trial.dst", format="DST", blocks=(block,))


def table(results: Sequence[Told]) -> str:
    """One line for each way of sewing: median error and the error of nine of ten."""
    head = f"{'width':>13} {'spacing':>13} {'stitch':>13}"
    lines = [f"{'way of sewing':24} {'sewn':>5} {'told':>6}  {head}  taken for"]
    for way in dict.fromkeys(result.trial.way for result in results):
        told = [result for result in results if result.trial.way == way]
        wrong = [result for result in told if result.right < WELL_TOLD]
        errors = [
            _spread([getattr(result, name) for result in told])
            for name in ("width_error_mm", "spacing_error_mm", "stitch_error")
        ]
        lines.append(
            f"{way:24} {len(told):5} {1 - len(wrong) / len(told):6.3f}  {' '.join(errors)}  {_others(wrong)}"
        )
    return "\n".join(lines)


def _others(wrong: Sequence[Told]) -> str:
    half = 0.5
    names = Counter(
        result.said.most_common(1)[0][0].value if result.right < half else "partly" for result in wrong
    )
    return ", ".join(f"{name} {count}" for name, count in names.most_common())


def _spread(errors: Sequence[float | None]) -> str:
    known = [error for error in errors if error is not None]
    return f"{np.median(known):+6.2f} {np.quantile(np.abs(known), 0.9):6.2f}" if known else " " * 13


def main() -> None:
    """Print the table."""
    text = next((word for word in sys.argv[1:] if not word.startswith("-")), "")
    results = [tell(trial) for trial in trials() if text in trial.way]
    if "-v" in sys.argv:
        for result in results:
            if result.right < WELL_TOLD:
                said = ", ".join(f"{kind.value} {count}" for kind, count in result.said.most_common())
                sys.stdout.write(f"{result.trial.way} | {result.trial.where} | {result.right:.2f} | {said}\n")
    sys.stdout.write(table(results) + "\n")


if __name__ == "__main__":
    main()
