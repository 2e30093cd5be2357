"""Authors: sets of stitching habits, each drawn anew for every design within the author's ways."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from tests.evaluation.pen import MEMORY

if TYPE_CHECKING:
    import numpy as np

    from tests.evaluation.stitching import Division

AuthorName = Literal["north", "south", "east", "west", "library"]
Start = Literal["anywhere", "corner", "same"]


@dataclass(frozen=True)
class Author:
    """The habits of one author in one design; lengths in mm.

    Attributes:
        name: Whose habits they are; ``library`` stitches with stitch-generator.
        stitch: Length of running stitches.
        division: How a line is divided into stitches.
        noise: Standard deviation of the needle's place.
        lap: How far a closed line is sewn past its start.
        tie_in: Tie stitches at the start of a run.
        tie_off: The same at its end.
        start: Where closed lines begin; ``same`` for all passes of a piece alike.
        turns: Whether passes of a piece may run in different directions.
        satin_width: Width of a satin cover.
        outward: How far its middle lies outside the line.
        satin_spacing: How far each stitch of a satin goes ahead.
        straight: Whether the satin's bites lie square to the line instead of zigzagging.
        trims: Whether the thread is cut between pieces, rather than only travelling.
        stops: Whether halts are stops with the same thread instead of colour changes.
        colours: Whether each step has its own colour.
        form: The file's format.
    """

    name: AuthorName
    stitch: float
    division: Division
    noise: float
    lap: float
    tie_in: Literal["none", "back", "star"]
    tie_off: Literal["none", "back", "star"]
    start: Start
    turns: bool
    satin_width: float
    outward: float
    satin_spacing: float
    straight: bool
    trims: bool
    stops: bool
    colours: bool
    form: str


def drawn(name: AuthorName, form: str, rng: np.random.Generator) -> Author:
    """Draw the habits of one author for one design."""
    return {"north": _north, "south": _south, "east": _east, "west": _west, "library": _library}[name](
        form, rng
    )


def _stops(form: str, wanted: bool) -> bool:
    """Formats that hold stops beside colour changes; the others know colour changes only."""
    return wanted and form in {"PES", "JEF", "U01", MEMORY}


def _north(form: str, rng: np.random.Generator) -> Author:
    return Author(
        name="north", stitch=rng.uniform(2.0, 3.0), division=_division(rng, "even", "adaptive"),
        noise=rng.uniform(0, 0.05),
        lap=rng.uniform(0, 3), tie_in=_of(rng, "none", "back"), tie_off=_of(rng, "none", "back"),
        start="anywhere", turns=bool(rng.random() < 0.3), satin_width=rng.uniform(3.0, 4.5), outward=0.0,
        satin_spacing=rng.uniform(0.35, 0.5), straight=False, trims=True, stops=False, colours=True,
        form=form,
    )  # fmt: skip


def _south(form: str, rng: np.random.Generator) -> Author:
    return Author(
        name="south", stitch=rng.uniform(1.4, 2.3), division="corners", noise=0.0,
        lap=float(rng.choice([0.0, 0.0, 4.0, 8.0])), tie_in="back", tie_off=_of(rng, "back", "star"),
        start=_of(rng, "corner", "same"), turns=False,
        satin_width=rng.uniform(2.5, 4.0), outward=rng.uniform(0, 0.6),
        satin_spacing=rng.uniform(0.35, 0.45), straight=True, trims=bool(rng.random() < 0.5),
        stops=_stops(form, wanted=True), colours=bool(rng.random() < 0.3), form=form,
    )  # fmt: skip


def _east(form: str, rng: np.random.Generator) -> Author:
    return Author(
        name="east", stitch=rng.uniform(2.8, 3.8), division=_division(rng, "fixed", "adaptive"),
        noise=rng.uniform(0.02, 0.08),
        lap=rng.uniform(2, 10), tie_in=_of(rng, "none", "star"), tie_off=_of(rng, "none", "star"),
        start="anywhere", turns=True, satin_width=rng.uniform(3.5, 5.0), outward=rng.uniform(-0.2, 0.9),
        satin_spacing=rng.uniform(0.4, 0.6),
        straight=bool(rng.random() < 0.5), trims=bool(rng.random() < 0.5),
        stops=_stops(form, bool(rng.random() < 0.5)), colours=bool(rng.random() < 0.7), form=form,
    )  # fmt: skip


def _west(form: str, rng: np.random.Generator) -> Author:
    return Author(
        name="west", stitch=rng.uniform(2.2, 4.0), division=_division(rng, "even", "fixed", "corners"),
        noise=rng.uniform(0, 0.06), lap=rng.uniform(0, 12), tie_in=_of(rng, "none", "back", "star"),
        tie_off=_of(rng, "none", "back", "star"), start="same" if rng.random() < 0.5 else "anywhere",
        turns=bool(rng.random() < 0.5), satin_width=rng.uniform(2.2, 5.5), outward=rng.uniform(-0.4, 0.8),
        satin_spacing=rng.uniform(0.3, 0.7), straight=bool(rng.random() < 0.5),
        trims=bool(rng.random() < 0.4), stops=_stops(form, bool(rng.random() < 0.5)),
        colours=bool(rng.random() < 0.5), form=form,
    )  # fmt: skip


def _library(form: str, rng: np.random.Generator) -> Author:
    return Author(
        name="library", stitch=rng.uniform(1.8, 3.0), division="even", noise=rng.uniform(0, 0.03),
        lap=rng.uniform(0, 2), tie_in="none", tie_off="none", start="anywhere",
        turns=bool(rng.random() < 0.5), satin_width=rng.uniform(3.0, 4.0), outward=0.0,
        satin_spacing=rng.uniform(0.4, 0.5), straight=False,
        trims=bool(rng.random() < 0.7), stops=_stops(form, bool(rng.random() < 0.4)),
        colours=True, form=form,
    )  # fmt: skip


def _division(rng: np.random.Generator, *choices: Division) -> Division:
    return choices[int(rng.integers(len(choices)))]


def _of(rng: np.random.Generator, *choices: Literal["none", "back", "star", "corner", "same"]):  # type: ignore[no-untyped-def]  # noqa: ANN202
    return choices[int(rng.integers(len(choices)))]
