"""What writing cut files and reading them back costs, and how it grows with the pieces, in one command.

    python -m tests.benchmarks.cut_files

Processor time, the least of some runs. The figures of one run are only compared with each other: every
format with SVG, many pieces with few. An *exponent* of 1 means that twice the pieces take twice the time.
"""

from __future__ import annotations

import math
import sys
import time
from typing import TYPE_CHECKING, Final

import numpy as np

from piecewright.cutting.cutfiles import load_libraries, write_cut_files
from piecewright.cutting.geometry import CurvedRegion, frozen
from piecewright.cutting.matformats import MAT_FORMATS
from piecewright.cutting.selfcheck import check
from tests.cutting.formats.mats_by_hand import laid, layout, mat, rules

if TYPE_CHECKING:
    from collections.abc import Callable

    from piecewright.cutting.mats import Layout
    from piecewright.cutting.rules import Writable

FORMATS: Final[tuple[Writable, ...]] = tuple(MAT_FORMATS)
FEW, MANY, RUNS = 15, 240, 5
MOST_EXPONENT: Final = 1.1
SEGMENTS: Final = 15
PITCH_MM: Final = 45.0


def main() -> int:
    """Print the table; 1 if a format grows faster than its pieces."""
    load_libraries()
    print(f"{'format':8}{'ms a piece':>12}{'of SVG':>8}{'check':>8}{'of SVG':>8}{'exponent':>10}")
    base: tuple[float, float] | None = None
    worst = 0.0
    for ending in FORMATS:
        few, many = _measured(ending, FEW), _measured(ending, MANY)
        write, read = (seconds / MANY for seconds in many)
        base = base or (write, read)
        exponent = math.log(sum(many) / sum(few)) / math.log(MANY / FEW)
        worst = max(worst, exponent)
        wrote = f"{write * 1e3:12.2f}{write / base[0]:8.1f}"
        print(f"{ending:8}{wrote}{read * 1e3:8.2f}{read / base[1]:8.1f}{exponent:10.2f}")
    return int(worst > MOST_EXPONENT)


def _measured(ending: Writable, pieces: int) -> tuple[float, float]:
    """Seconds to write and to check a mat of so many pieces."""
    mats, chosen = _mats(pieces), rules(formats=(ending,))
    files = write_cut_files(mats, (), chosen)
    return (_least(lambda: write_cut_files(mats, (), chosen)), _least(lambda: check(files, mats)))


def _least(work: Callable[[], object]) -> float:
    taken = []
    for _ in range(RUNS):
        begin = time.process_time()
        work()
        taken.append(time.process_time() - begin)
    return min(taken)


def _mats(pieces: int) -> Layout:
    side = math.ceil(math.sqrt(pieces))
    places = [((n % side + 0.5) * PITCH_MM, (n // side + 0.5) * PITCH_MM) for n in range(pieces)]
    size = side * PITCH_MM
    return layout(mat(*(laid(_wavy(x, y), copy=n) for n, (x, y) in enumerate(places)), size=(size, size)))


def _wavy(x: float, y: float) -> CurvedRegion:
    """A smooth outline of about 120 mm with as many cubics as outlines have in the median."""
    turns = np.arange(SEGMENTS + 1) * 2 * math.pi / SEGMENTS
    turns[-1] = 0.0
    reach, change = 18 * (1 + 0.12 * np.cos(3 * turns)), -18 * 0.36 * np.sin(3 * turns)
    out = np.stack([np.cos(turns), np.sin(turns)], axis=1)
    along = np.stack([-np.sin(turns), np.cos(turns)], axis=1)
    corners = reach[:, None] * out + (x, y)
    arms = (change[:, None] * out + reach[:, None] * along) * 2 * math.pi / SEGMENTS / 3
    segments = [corners[:-1], corners[:-1] + arms[:-1], corners[1:] - arms[1:], corners[1:]]
    return CurvedRegion(exterior=frozen(np.stack(segments, axis=1)))


if __name__ == "__main__":
    sys.exit(main())
