"""The cases of both halves: every situation some times, each time by another hand in another format."""

from __future__ import annotations

import zlib
from typing import TYPE_CHECKING

import numpy as np
from shapely.affinity import affine_transform, translate

from tests.evaluation.cases import Case, TruePiece
from tests.evaluation.sealed import tape as tapes
from tests.evaluation.sealed.bench import Bench
from tests.evaluation.sealed.hands import hand
from tests.evaluation.sealed.open_half import SITUATIONS as OPEN
from tests.evaluation.sealed.sealed_half import SITUATIONS as SEALED
from tests.evaluation.sealed.truth import origin, stretches

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from shapely.geometry import Polygon

    from tests.evaluation.sealed.hands import Half

DESIGNS = 4
"""Designs of each situation."""

MORE = {"sampler": 40, "sampler-of-drawings": 24}
"""Designs of situations that are never the same."""

HALVES: Mapping[Half, Mapping[str, Callable[[Bench], None]]] = {"open": OPEN, "sealed": SEALED}


def cases(half: Half, situation: str = "") -> Iterator[Case]:
    """Every case of a half, or of the situations whose name contains a text."""
    for number, name in enumerate(HALVES[half]):
        if situation in name:
            for variant in range(MORE.get(name, DESIGNS)):
                yield case(half, name, variant, number)


def case(half: Half, situation: str, variant: int, number: int) -> Case:
    """One design with its truth."""
    rng = np.random.default_rng(zlib.crc32(f"{half} half, {situation}, {variant}".encode()))
    bench = Bench(hand(rng, half, variant * 3 + number), rng)
    HALVES[half][situation](bench)
    tape = tapes.moved(bench.tape, bench.matrix)
    for mishap in bench.mishaps:
        tape = mishap(tape)
    name = f"{half}-{situation}-{variant + 1}"
    design, data = tapes.read_back(tape, name, bench.hand.form)
    shift = origin(tape, design)
    (a, b), (c, d) = bench.matrix.tolist()

    def as_read(region: Polygon) -> Polygon:
        return translate(affine_transform(region, (a, b, c, d, 0.0, 0.0)), *shift)

    return Case(
        name=f"{name}.{bench.hand.form.lower()}",
        situation=situation,
        negative=all(piece.optional for piece in bench.pieces),
        design=design,
        data=data,
        pieces=tuple(TruePiece(as_read(p.region), as_read(p.sewn), p.kind, p.optional) for p in bench.pieces),
        stretches=stretches(tape, design, name),
    )
