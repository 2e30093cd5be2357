"""A sewing order put together colour by colour and written as a stitch file, the same bytes every time."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

import numpy as np
import pyembroidery

if TYPE_CHECKING:
    from tests.samples.shapes import Points

SEWN_ACROSS_MM = 3.0
"""A gap up to this is sewn across; over a longer one the thread is cut and the hoop jumps."""

_WRITERS = {f["extension"]: f["writer"] for f in pyembroidery.EmbPattern.supported_formats() if "writer" in f}


class Sewing:
    """One design being put together."""

    def __init__(self, name: str) -> None:
        """Begin with an empty hoop."""
        self.pattern = pyembroidery.EmbPattern()
        self.pattern.metadata("name", name)
        self._last: Points | None = None
        self._begun = False

    def colour(self, name: str, colour: str, *passes: Points) -> None:
        """Halt for a thread and sew with it."""
        self.pattern.add_thread(pyembroidery.EmbThread(colour, name))
        if self._begun:
            self.pattern.color_change()
        self._begun = True
        for points in passes:
            self._sew(points)

    def _sew(self, points: Points) -> None:
        if self._last is None or np.hypot(*(points[0] - self._last)) > SEWN_ACROSS_MM:
            if self._last is not None:
                self.pattern.trim()
            self.pattern.move_abs(*_units(points[:1])[0])
        for x, y in _units(points):
            self.pattern.stitch_abs(x, y)
        self._last = points[-1]

    def written(self, ending: str, **settings: object) -> bytes:
        """The file's bytes."""
        pattern = self.pattern.copy()
        pattern.end()
        stream = io.BytesIO()
        settings.setdefault("date", "20240601120000")  # JEF would write today's
        pyembroidery.EmbPattern.write_embroidery(_WRITERS[ending], pattern, stream, settings)
        return stream.getvalue()


def _units(points: Points) -> list[list[int]]:
    """Tenths of a millimetre; halves fall to the same side whatever the machine's last digit of a sine."""
    units: list[list[int]] = np.floor(points * 10 + 0.5 + 1e-6).astype(int).tolist()
    return units
