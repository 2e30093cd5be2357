"""The tape: what pyembroidery's readers call out, taken down as columns of numbers.

pyembroidery's own pattern keeps a list per record and then inserts and deletes in the middle of it
(trims of DST), which is quadratic. Taking down the same calls as columns is linear and faster, and keeps
halts and threads one to one.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from typing import TYPE_CHECKING, Any, Final

import numpy as np
import numpy.typing as npt

from piecewright.cutting.design import Thread

if TYPE_CHECKING:
    from collections.abc import Sequence
    from io import BytesIO

    from piecewright.cutting.geometry import FloatArray


class Record(IntEnum):
    """What one record does."""

    SEW = 0
    JUMP = 1
    TRIM = 2
    COLOUR = 3
    STOP = 4
    NEEDLE = 5


STUMBLES: Final = (
    ArithmeticError,
    AssertionError,
    AttributeError,
    EOFError,
    LookupError,
    OSError,
    RecursionError,
    TypeError,
    ValueError,
)
"""Whatever pyembroidery raises on bytes that it did not expect."""

_SEW: Final = int(Record.SEW)
_JUMP: Final = int(Record.JUMP)
_PLACE: Final = 255
"""A jump to a place instead of by a distance, until the tape is put together."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tape:
    """All records of a file in order.

    Attributes:
        at: Where the hoop is after each record, (n, 2), stitch units, y down.
        what: ``Record`` of each, (n,).
        threads: In the order in which the file lists them.
        end: Position in the file where the reader found the end, or None if it never did.
    """

    at: FloatArray
    what: npt.NDArray[np.uint8]
    threads: tuple[Thread, ...]
    end: int | None


class _Threads(list[Any]):
    """A thread list that answers for threads that the file forgot to list."""

    def __getitem__(self, index: Any) -> Any:  # noqa: ANN401 - list's own signature
        """The thread, or a nameless one."""
        return super().__getitem__(index) if not isinstance(index, int) or index < len(self) else Thread()


class Recorder:
    """Stands in for pyembroidery's pattern while one of its readers works.

    The method names and arguments are pyembroidery's. What would reorder the records afterwards does
    nothing here; meta data is dropped.
    """

    def __init__(self, stream: BytesIO, starts: Sequence[tuple[float, float]] = ()) -> None:
        """Start an empty tape.

        Args:
            stream: What the reader reads, to know where it stops.
            starts: Of VP3, where each block begins. pyembroidery moves there only if neither coordinate
                is 0, which a symmetric design's often is.
        """
        self._starts = list(reversed(starts))
        self.threadlist = _Threads()
        self._stream = stream
        self._flat: list[float] = []
        self._take = self._flat.extend
        self._end: int | None = None

    def __len__(self) -> int:
        """Records so far."""
        return len(self._flat) // 3

    def stitch(self, dx: float = 0, dy: float = 0) -> None:
        """A needle point."""
        self._take((dx, dy, _SEW))

    def move(self, dx: float = 0, dy: float = 0) -> None:
        """A jump."""
        self._take((dx, dy, _JUMP))

    def move_abs(self, x: float, y: float) -> None:
        """A jump to a place."""
        self._take((x, y, _PLACE))

    def sequin_eject(self, dx: float = 0, dy: float = 0) -> None:
        """A sequin falls: the hoop moves, no needle point on the line."""
        self._take((dx, dy, _JUMP))

    def sequin_mode(self, dx: float = 0, dy: float = 0) -> None:
        """The same while sequins are switched on or off."""
        self._take((dx, dy, _JUMP))

    def trim(self, dx: float = 0, dy: float = 0) -> None:
        """The thread is cut."""
        self._take((dx, dy, Record.TRIM))

    def color_change(self, dx: float = 0, dy: float = 0) -> None:
        """A halt with the next thread."""
        self._take((dx, dy, Record.COLOUR))

    def stop(self, dx: float = 0, dy: float = 0) -> None:
        """A halt with the same thread."""
        self._take((dx, dy, Record.STOP))

    def needle_change(self, needle: int = 0, dx: float = 0, dy: float = 0) -> None:  # noqa: ARG002
        """A halt with another needle."""
        self._take((dx, dy, Record.NEEDLE))

    def add_stitch_relative(self, *_command: object) -> None:
        """Speed commands of U01, which sew nothing."""

    def add_thread(self, thread: object) -> None:
        """The next thread that the file lists; in VP3 a block begins with it."""
        self.threadlist.append(thread)
        start = self._starts.pop() if self._starts else (0.0, 0.0)
        if start != (0.0, 0.0):
            self.move_abs(*start)

    def end(self, *_place: object) -> None:
        """The reader stops here, at the end mark or because it knows no further."""
        if self._end is None:
            self._end = self._stream.tell()

    def metadata(self, *_item: object) -> None:
        """Labels and thumbnails, which are not needed."""

    def interpolate_trims(self, *_limits: object) -> None:
        """Trims are inferred from the whole tape instead."""

    def interpolate_duplicate_color_as_stop(self) -> None:
        """Colour changes and stops are alike."""

    def tape(self, threads: tuple[Thread, ...]) -> Tape:
        """All records so far."""
        columns = np.array(self._flat, dtype=np.float64).reshape(-1, 3)
        what = columns[:, 2].astype(np.uint8)
        places = np.flatnonzero(what == _PLACE)
        told = columns[places, :2]
        columns[places, :2] = 0
        at = np.cumsum(columns[:, :2], axis=0)
        if len(places):
            leap = np.vstack([np.zeros((1, 2)), told - at[places]])
            at += leap[np.searchsorted(places, np.arange(len(at)), side="right")]
            what[places] = _JUMP
        return Tape(at=at, what=what, threads=threads, end=self._end)
