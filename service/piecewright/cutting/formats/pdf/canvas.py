"""Drawing on paper in mm, y down; the one module that knows the PDF library."""

from __future__ import annotations

from bisect import bisect_right
from contextlib import contextmanager
from dataclasses import dataclass
from functools import lru_cache
from io import BytesIO
from typing import TYPE_CHECKING, Final

from piecewright.cutting.geometry import straight
from piecewright.cutting.plaintext import plain
from piecewright.cutting.units import MM_PER_INCH, POINTS_PER_INCH

if TYPE_CHECKING:
    from collections.abc import Iterator

    from piecewright.cutting.geometry import CurvedRegion, FloatArray

_POINTS: Final = POINTS_PER_INCH / MM_PER_INCH
_FONTS: Final = {False: "Helvetica", True: "Helvetica-Bold"}
"""Two of the fourteen fonts that every PDF reader has; their alphabet is that of Western Europe."""

_ALPHABET: Final = "cp1252"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pen:
    """How a line is drawn.

    Attributes:
        width_mm: Its width; each kind of line has its own, by which it is told when read back.
        dash_mm: Lengths of dash and gap, empty for a solid line.
        grey: 0 is black, 1 white.
    """

    width_mm: float
    dash_mm: tuple[float, ...] = ()
    grey: float = 0.0


CUT: Final = Pen(width_mm=0.35)
SEWING: Final = Pen(width_mm=0.25, dash_mm=(2.0, 1.2))
THIN: Final = Pen(width_mm=0.18)
FAINT: Final = Pen(width_mm=0.12, dash_mm=(0.6, 1.4), grey=0.35)
FRAME: Final = Pen(width_mm=0.1, grey=0.6)


def load_library() -> None:
    """Import the PDF library ahead of the first file."""
    import reportlab.pdfgen.canvas  # noqa: F401, PLC0415 - what ``Canvas`` imports


class Canvas:
    """A stack of sheets that lines and words are drawn on."""

    def __init__(self, size_mm: tuple[float, float], title: str) -> None:
        """Start with an empty first sheet.

        Args:
            size_mm: Width and height of the paper.
            title: For the file's own description.
        """
        from reportlab.pdfgen.canvas import Canvas as Engine  # noqa: PLC0415 - only jobs with templates pay

        self._out = BytesIO()
        self._height = size_mm[1]
        # invariant: no clock, no chance; uncompressed: the bytes do not hang on the version of zlib
        self._engine = Engine(
            self._out, pagesize=(size_mm[0] * _POINTS, size_mm[1] * _POINTS), invariant=1, pageCompression=0
        )
        self._engine.setTitle(in_alphabet(title))
        self._engine.setCreator("Piecewright")
        self._engine.setLineCap(1)
        self._engine.setLineJoin(1)

    def next_sheet(self) -> None:
        """Go on to an empty sheet."""
        self._engine.showPage()

    def finished(self) -> bytes:
        """The file."""
        self._engine.showPage()
        self._engine.save()
        return self._out.getvalue()

    def region(self, region: CurvedRegion, pen: Pen) -> None:
        """Stroke all lines of a region as one path, holes first."""
        path = self._engine.beginPath()
        for curve in (*region.holes, region.exterior):
            points = self._points(curve)
            path.moveTo(*points[0][0])
            for (_, one, two, end), line in zip(points, straight(curve).tolist(), strict=True):
                if line:
                    path.lineTo(*end)
                else:
                    path.curveTo(*one, *two, *end)
            path.close()
        self._use(pen)
        self._engine.drawPath(path, stroke=1, fill=0)

    def line(self, begin: tuple[float, float], end: tuple[float, float], pen: Pen) -> None:
        """Stroke a straight line."""
        self._use(pen)
        self._engine.line(*self._point(*begin), *self._point(*end))

    def box(self, box: tuple[float, float, float, float], pen: Pen) -> None:
        """Stroke a rectangle, given by x, y, width and height."""
        x, y, width, height = box
        self._use(pen)
        self._engine.rect(*self._point(x, y + height), width * _POINTS, height * _POINTS)

    def words(
        self,
        text: str,
        place: tuple[float, float],
        tall_mm: float,
        *,
        bold: bool = False,
        middle: bool = False,
    ) -> None:
        """Write one line.

        Args:
            text: Anything; what the font does not have is written in Latin letters.
            place: Its left end, or its middle, on the base line.
            tall_mm: Size of the font.
            bold: Whether it is bold.
            middle: Whether the place is its middle.
        """
        self._engine.setFont(_FONTS[bold], tall_mm * _POINTS)
        draw = self._engine.drawCentredString if middle else self._engine.drawString
        draw(*self._point(*place), in_alphabet(text))

    @contextmanager
    def window(self, box: tuple[float, float, float, float]) -> Iterator[None]:
        """Show only what lies inside a rectangle."""
        x, y, width, height = box
        path = self._engine.beginPath()
        path.rect(*self._point(x, y + height), width * _POINTS, height * _POINTS)
        self._engine.saveState()
        self._engine.clipPath(path, stroke=0, fill=0)
        yield
        self._engine.restoreState()

    def _use(self, pen: Pen) -> None:
        self._engine.setLineWidth(pen.width_mm * _POINTS)
        self._engine.setDash([length * _POINTS for length in pen.dash_mm])
        self._engine.setStrokeGray(pen.grey)

    def _point(self, x: float, y: float) -> tuple[float, float]:
        return (x * _POINTS, (self._height - y) * _POINTS)

    def _points(self, curve: FloatArray) -> list[list[tuple[float, float]]]:
        return [[self._point(x, y) for x, y in segment] for segment in curve.tolist()]


def width_mm(text: str, tall_mm: float, *, bold: bool = False) -> float:
    """How long a line of words is."""
    from reportlab.pdfbase.pdfmetrics import stringWidth  # noqa: PLC0415 - only jobs with templates pay

    return float(stringWidth(in_alphabet(text), _FONTS[bold], tall_mm))


def fitted(text: str, most_mm: float, tall_mm: float) -> str:
    """A line of words, shortened to what a width holds."""
    if width_mm(text, tall_mm) <= most_mm:
        return text
    too_long = bisect_right(
        range(len(text)), most_mm, key=lambda count: width_mm(text[:count] + "…", tall_mm)
    )
    return text[: max(too_long - 1, 0)].rstrip() + "…"


@lru_cache(maxsize=1000)
def in_alphabet(text: str) -> str:
    """Text in letters that the font has; other scripts are written in Latin letters."""
    clean = plain(text)
    if _writable(clean):
        return clean
    from anyascii import anyascii  # noqa: PLC0415 - its tables are read only where a script needs them

    return plain("".join(letter if _writable(letter) else anyascii(letter) or "?" for letter in clean))


def _writable(text: str) -> bool:
    try:
        text.encode(_ALPHABET)
    except UnicodeEncodeError:
        return False
    return True
