"""Signatures: what a file is by its first bytes, whatever it is called."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from piecewright.cutting.formats.stitchfile.refusals import NOT_THIS, unreadable

if TYPE_CHECKING:
    from piecewright.cutting.formats.stitchfile.catalogue import Format

STITCH_SIGNATURES: Final = (
    (b"#PES", "PES"),
    (b"#PEC0001", "PEC"),
    (b"#PHB000", "PHB"),
    (b"%vsm%\0", "VP3"),
    (b"\x5b\xaf\xc8\x00", "HUS"),
)
"""Of the formats that begin with bytes of their own."""

MUST_SIGN: Final = {"PES": ("PES", "PEC"), "PEC": ("PEC",), "PHB": ("PHB",), "VP3": ("VP3",), "HUS": ("HUS",)}
"""Formats whose files always carry a signature; a PES file may hold a bare PEC part."""

OTHER_SIGNATURES: Final = (
    (b"%PDF-", "a PDF document"),
    (b"\x89PNG\r\n\x1a\n", "a PNG picture"),
    (b"\xff\xd8\xff", "a JPEG picture"),
    (b"GIF8", "a GIF picture"),
    (b"BM", "a BMP picture"),
    (b"PK\x03\x04", "a zip"),
    (b"PK\x05\x06", "an empty zip"),
    (b"Rar!\x1a\x07", "a RAR archive"),
    (b"7z\xbc\xaf\x27\x1c", "a 7z archive"),
    (b"\x1f\x8b\x08", "a gzip archive"),
    (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "an Office document or another program's working file"),
    (b"MZ", "a Windows program"),
    (b"\x7fELF", "a Linux program"),
    (b"<?xml", "an XML or SVG text"),
    (b"<svg", "an SVG picture"),
    (b"<!DOCTYPE", "a web page"),
    (b"<!doctype", "a web page"),
    (b"<html", "a web page"),
    (b"\xef\xbb\xbf", "a text"),
)
"""From the published descriptions of these formats: PDF ISO 32000-1 7.5.2, PNG third edition 5.2, JPEG
ITU T.81 B.1.1.3, GIF89a 17, zip APPNOTE 4.3.7; the others from memory."""


def stitch_format(data: bytes) -> str | None:
    """The stitch format that the file shows to be, by its first bytes or its frame; None if none is seen."""
    signed = next((name for start, name in STITCH_SIGNATURES if data.startswith(start)), None)
    return signed or next((name for name, looks_so in _FRAMES.items() if looks_so(data)), None)


def _looks_like_jef(data: bytes) -> bool:
    """Stitches right behind two lists of colours, and a date of 14 digits."""
    start, colours = (int.from_bytes(data[k : k + 4], "little") for k in (0, 24))
    return start == 0x74 + 8 * colours and data[8:22].isdigit()


def _looks_like_xxx(data: bytes) -> bool:
    """A header that begins with zeros and tells where the end mark stands."""
    end = int.from_bytes(data[0xFC:0x100], "little")
    return not any(data[:23]) and data[end : end + 2] == b"\x7f\x7f"


_FRAMES: Final = {
    "DST": lambda data: data.startswith(b"LA:") and b"\rST:" in data[:64],
    "JEF": _looks_like_jef,
    "XXX": _looks_like_xxx,
}
"""Formats without a signature that show by how they are built. DSB and DSZ begin as DST does."""

_ALIKE: Final = frozenset({"DST", "DSB", "DSZ"})


def other_kind(data: bytes) -> str | None:
    """What else the first bytes show the file to be, in words; None if nothing known."""
    kind = next((kind for start, kind in OTHER_SIGNATURES if data.startswith(start)), None)
    if kind == "a BMP picture" and data[6:10] != b"\0\0\0\0":  # reserved, always zero
        return None
    if kind == "a Windows program" and b"PE\0\0" not in data[:1024]:
        return None
    return kind


def check_signature(data: bytes, name: str, form: Format) -> None:
    """Refuse a file that is something else than its ending says.

    Raises:
        UnreadableDesign: Naming what it really is.
    """
    wanted = MUST_SIGN.get(form.name)
    found = stitch_format(data)
    alike = form.name in _ALIKE and found in _ALIKE
    if found is not None and not alike and found not in (wanted or (form.name,)):
        unreadable(
            f"{name} is called {form.name} but is a {found} file inside.",
            f'Rename it so that it ends in ".{found.lower()}" and drop it again.',
        )
    kind = other_kind(data)
    if kind is not None:
        unreadable(
            f"{name} is called {form.name} but is {kind} inside.",
            "Drop the stitch file itself, as it was exported for the embroidery machine.",
        )
    if wanted is not None and found is None:
        unreadable(
            f"{name} does not begin as {form.name} files do.",
            NOT_THIS,
        )
