"""The tape: what pyembroidery's readers call out, taken down as columns of numbers.

pyembroidery's own pattern keeps a list per record and then inserts and deletes in the middle of it
(trims of DST), which is quadratic. Taking down the same calls as columns is linear and faster, and keeps
halts and threads one to one.
"""

from __future__ import annotations

from array import array
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
        self._x = self._y = 0.0
        self._xs, self._ys, self._what = array("d"), array("d"), bytearray()
        self._end: int | None = None

    def __len__(self) -> int:
        """Records so far."""
        return len(self._what)

    def _record(self, what: int, dx: float, dy: float) -> None:
        self._x += dx
        self._y += dy
        self._xs.append(self._x)
        self._ys.append(self._y)
        self._what.append(what)

    def stitch(self, dx: float = 0, dy: float = 0) -> None:
        """A needle point."""
        self._record(_SEW, dx, dy)

    def move(self, dx: float = 0, dy: float = 0) -> None:
        """A jump."""
        self._record(_JUMP, dx, dy)

    def move_abs(self, x: float, y: float) -> None:
        """A jump to a place."""
        self._record(_JUMP, x - self._x, y - self._y)

    def sequin_eject(self, dx: float = 0, dy: float = 0) -> None:
        """A sequin falls: the hoop moves, no needle point on the line."""
        self._record(_JUMP, dx, dy)

    def sequin_mode(self, dx: float = 0, dy: float = 0) -> None:
        """The same while sequins are switched on or off."""
        self._record(_JUMP, dx, dy)

    def trim(self, dx: float = 0, dy: float = 0) -> None:
        """The thread is cut."""
        self._record(Record.TRIM, dx, dy)

    def color_change(self, dx: float = 0, dy: float = 0) -> None:
        """A halt with the next thread."""
        self._record(Record.COLOUR, dx, dy)

    def stop(self, dx: float = 0, dy: float = 0) -> None:
        """A halt with the same thread."""
        self._record(Record.STOP, dx, dy)

    def needle_change(self, needle: int = 0, dx: float = 0, dy: float = 0) -> None:  # noqa: ARG002
        """A halt with another needle."""
        self._record(Record.NEEDLE, dx, dy)

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
        at = np.column_stack((np.frombuffer(self._xs), np.frombuffer(self._ys)))
        what = np.frombuffer(bytes(self._what), dtype=np.uint8)
        return Tape(at=at, what=what, threads=threads, end=self._end)
